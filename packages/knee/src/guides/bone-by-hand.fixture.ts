import type { Vec3 } from '@kerfline/geometry';
import type { ContactSite } from '../leg/sites.ts';
import type { LegView, SurfaceLayers } from './leg-view.ts';
import type { Bone } from './sense.ts';

interface Parts {
  /** L-A-P in the bone's clinical frame, mm. */
  readonly sites: Readonly<Record<string, Vec3>>;
  readonly numbers?: Readonly<Record<string, number>>;
  readonly layers?: Readonly<Partial<Record<ContactSite, SurfaceLayers>>>;
}

/** One bone with its sites where a test puts them. Contacts are the intact surface unless layers say otherwise. */
export function boneByHand(bone: Bone, { sites, numbers = {}, layers = {} }: Parts): LegView {
  return {
    bone,
    side: 'right',
    has: (name) => name in sites || name in numbers,
    site(name) {
      const p = sites[name];
      if (!p) throw new Error(`the test put no ${name}`);
      return p;
    },
    number(name) {
      const value = numbers[name] ?? (name.startsWith('wear') ? 0 : undefined);
      if (value === undefined) throw new Error(`the test gave no ${name}`);
      return value;
    },
    layers: (site) => layers[site as ContactSite] ?? { intactOut: 0, nowOut: 0 },
  };
}

const rad = (deg: number): number => (deg * Math.PI) / 180;

/** A shin: knee centre at the origin (or `xp` beside it), ankle centre `span` below, middle of the malleoli `c` lateral of it. */
export function shin({ c = 0, span = 350, xp = 0, w = 48, lateralUp = 0, plateauP = -8 } = {}): LegView {
  return boneByHand('tibia', {
    sites: {
      tibialKneeCentre: [xp, 0, 0],
      malleolarMidpoint: [c, 0, -span],
      plateauMedial: [-w / 2, 0, plateauP - lateralUp / 2],
      plateauLateral: [w / 2, 0, plateauP + lateralUp / 2],
    },
    numbers: { tibiaSpan: span },
  });
}

/** A thigh bone whose canal leans `alpha` to lateral and `beta` forward going up (degrees), with contacts `w` apart. */
export function thigh({ alpha = 6, beta = 0, w = 48, lateralUp = 0, distalP = -8 } = {}): LegView {
  const along = (p: number): Vec3 => [Math.tan(rad(alpha)) * p, 8 + Math.tan(rad(beta)) * p, p];
  return boneByHand('femur', {
    sites: {
      hipCentre: [0, 0, 430],
      femoralKneeCentre: [0, 0, 0],
      femoralCanalLow: along(100),
      femoralCanalHigh: along(200),
      distalMedial: [-w / 2, 0, distalP - lateralUp / 2],
      distalLateral: [w / 2, 0, distalP + lateralUp / 2],
      posteriorMedial: [-w / 2, -30, 12],
      posteriorLateral: [w / 2, -30, 12],
    },
  });
}
