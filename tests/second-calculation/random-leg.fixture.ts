import {
  type Bone,
  type ContactSite,
  contactSites,
  type Leg,
  type LegView,
  legFromStated,
  type Side,
  type StatedValue,
  type SurfaceLayers,
  stateable,
  wearName,
} from '@kerfline/knee';
import type { Draw } from './draw.fixture.ts';
import type { Point } from './mechanism.fixture.ts';

/** Ranges of what a leg may be, wider than most knees, in the unit of each quantity. */
const ranges: Readonly<Record<string, readonly [number, number]>> = {
  LDFA: [82, 95],
  MPTA: [80, 95],
  JLCA: [-2, 8],
  slope: [0, 14],
  shaftMechanical: [3, 9],
  canalFlexion: [-4, 4],
  condylarTwist: [-2, 8],
  femurLength: [360, 480],
  tibiaLength: [300, 440],
  tibiaSpan: [290, 430],
  tibialCanalVarus: [-4, 4],
  tibialCanalSlope: [-3, 6],
  crestLean: [-3, 9],
  cortexDepth: [52, 72],
  femurWidth: [58, 82],
  femurDepth: [50, 75],
  tibiaWidth: [60, 88],
  tibiaDepth: [40, 60],
  distalSpacing: [42, 54],
  posteriorSpacing: [44, 54],
  plateauSpacing: [38, 48],
  ankleOffset: [-1, 6],
  patellaThickness: [17, 27],
  ...Object.fromEntries(contactSites.map((site) => [wearName(site), [0, 3.5] as const])),
};

/** What a person may leave unsaid of a leg. */
const mayBeUnsaid = [
  'tibialCanalVarus',
  'tibialCanalSlope',
  'crestLean',
  'cortexDepth',
  'femurWidth',
  'femurDepth',
  'tibiaWidth',
  'tibiaDepth',
  'patellaThickness',
  'tibiaSpan',
];

/** Stated values of one leg. */
export const randomValues = (draw: Draw, saysAll = false): readonly StatedValue[] =>
  Object.entries(ranges)
    .filter(([name]) => saysAll || !mayBeUnsaid.includes(name) || draw.chance(0.85))
    .map(([name, [low, high]]) => ({
      name,
      value: draw.within(low, high),
      unit: stateable(name)!.unit,
      sd: 0.7,
      sdFrom: 'stated',
    }));

export const randomLeg = (draw: Draw, side: Side): Leg => legFromStated(side, randomValues(draw, true));

/** One bone with every site, number and layer put by chance within what people have; L-A-P, mm. */
export function randomBone(draw: Draw, bone: Bone, side: Side): LegView {
  const about = (l: number, a: number, p: number, spread: number): Point => [
    draw.within(l - spread, l + spread),
    draw.within(a - spread, a + spread),
    draw.within(p - spread, p + spread),
  ];
  const { sites, numbers } = { femur: thigh, tibia: shin, patella: kneecap }[bone](draw, about);
  const layers = new Map<ContactSite, SurfaceLayers>(
    contactSites.map((site) => {
      const intactOut = draw.chance(0.7) ? draw.within(0, 4) : 0;
      return [site, { intactOut, nowOut: intactOut - draw.within(0, 5) }];
    }),
  );
  return {
    bone,
    side,
    has: (name) => name in sites || name in numbers,
    site(name) {
      const at = sites[name];
      if (!at) throw new Error(`the bone has no ${name}`);
      return at;
    },
    number(name) {
      const value = numbers[name];
      if (value === undefined) throw new Error(`the bone has no ${name}`);
      return value;
    },
    layers: (site) => layers.get(site as ContactSite) ?? { intactOut: 0, nowOut: 0 },
  };
}

interface Parts {
  readonly sites: Readonly<Record<string, Point>>;
  readonly numbers: Readonly<Record<string, number>>;
}
type About = (l: number, a: number, p: number, spread: number) => Point;

const tan = (degrees: number): number => Math.tan((degrees * Math.PI) / 180);

function thigh(draw: Draw, about: About): Parts {
  const half = draw.within(21, 27);
  const [lean, forward] = [draw.within(2, 10), draw.within(-5, 5)];
  const entry = about(0, 8, 0, 6);
  const canal = (p: number): Point => [entry[0] + tan(lean) * p, entry[1] + tan(forward) * p, p];
  return {
    sites: {
      hipCentre: [0, 0, draw.within(360, 480)],
      femoralKneeCentre: [0, 0, 0],
      distalMedial: about(-half, -4, -8, 4),
      distalLateral: about(half, -4, -8, 4),
      posteriorMedial: about(-half, -33, 12, 3),
      posteriorLateral: about(half, -33, 12, 3),
      femoralCanalLow: canal(draw.within(60, 120)),
      femoralCanalHigh: canal(draw.within(150, 260)),
      anteriorCortex: about(0, 27, 38, 7),
    },
    numbers: {
      femurWidth: draw.within(58, 84),
      femurDepth: draw.within(50, 75),
      femoralCanalWidth: draw.within(9, 20),
      wearDistalMedial: 0,
      wearDistalLateral: 0,
      wearPosteriorMedial: 0,
      wearPosteriorLateral: 0,
    },
  };
}

function shin(draw: Draw, about: About): Parts {
  const half = draw.within(18, 26);
  const span = draw.within(280, 440);
  const [lean, back] = [draw.within(-4, 4), draw.within(-6, 3)];
  const entry = about(2, 5, 0, 5);
  const canal = (p: number): Point => [entry[0] + tan(lean) * p, entry[1] + tan(back) * p, p];
  return {
    sites: {
      tibialKneeCentre: about(0, 0, 0, 1),
      malleolarMidpoint: about(3, 0, -span, 4),
      plateauMedial: about(-half, -5, -8, 6),
      plateauLateral: about(half, -5, -8, 6),
      tubercle: about(6, 35, -35, 6),
      crestUpper: about(0, 24, -80, 8),
      crestLower: about(-3, 20, -0.7 * span, 8),
      tibialCanalLow: canal(-draw.within(200, 260)),
      tibialCanalHigh: canal(-draw.within(70, 120)),
    },
    numbers: {
      ankleOffset: draw.within(-1, 6),
      tibiaSpan: span + draw.within(-20, 10),
      tibiaWidth: draw.within(60, 88),
      tibiaDepth: draw.within(40, 60),
      tibialCanalWidth: draw.within(9, 18),
      wearPlateauMedial: 0,
      wearPlateauLateral: 0,
    },
  };
}

function kneecap(draw: Draw, about: About): Parts {
  const thickness = draw.within(17, 27);
  return {
    sites: {
      patellaAnterior: about(0, thickness / 2, 0, 2),
      patellaFacetMedial: about(-12, -thickness / 2, 0, 3),
      patellaFacetLateral: about(13, -thickness / 2, 0, 3),
    },
    numbers: { patellaThickness: thickness, patellaWidth: draw.within(36, 55) },
  };
}
