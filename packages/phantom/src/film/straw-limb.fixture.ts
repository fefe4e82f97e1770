import { identity, type Vec3 } from '@kerfline/geometry';
import type { FilmLimb, LimbBone, LimbSite } from './film-limb.ts';

/**
 * A limb of a few points whose angles are known by construction, for checks by hand: femur 400 mm, tibia 350 mm, side points
 * level and straight side to side. `varus` radians, in the femur's front view when the knee is straight.
 */
export function strawLimb(
  side: 'left' | 'right',
  varus: number,
  more: Readonly<Record<string, LimbSite>> = {},
): FilmLimb {
  const up: Vec3 = [Math.sin(varus), 0, Math.cos(varus)];
  const site = (on: LimbBone, at: Vec3): LimbSite => ({ on, at });
  return {
    side,
    sites: {
      hipCentre: site('femur', [0, 0, 400]),
      femoralKneeCentre: site('femur', [0, 0, 0]),
      posteriorMedial: site('femur', [-25, -30, 5]),
      posteriorLateral: site('femur', [25, -30, 5]),
      distalMedial: site('femur', [-25, 0, -20]),
      distalLateral: site('femur', [25, 0, -20]),
      tibialKneeCentre: site('tibia', [0, 0, 0]),
      plateauMedial: site('tibia', [-25, 0, -25]),
      plateauLateral: site('tibia', [25, 0, -25]),
      plafondCentre: site('tibia', [-350 * up[0], 0, -350 * up[2]]),
      ...more,
    },
    headRadiusMm: 24,
    kneecapOutline: [],
    kneecapUp: undefined,
    bendLine: { through: [-40, 0, 0], toward: [1, 0, 0] },
    tibiaUp: up,
    limbFrom: {
      femur: { ...identity('limb'), from: 'femur' },
      tibia: { ...identity('limb'), from: 'tibia' },
    },
    surfaces: [],
    quantities: {},
    findings: [],
  };
}
