import type { Polygon } from '@kerfline/geometry';
import { femurSites, type Leg, quantity, quantityDefinition } from '@kerfline/knee';
import { covarianceOf, has, meanVectorOf } from '@kerfline/uncertainty';
import type { BonePictures } from './bone-pictures.ts';
import { readerRight } from './cut-pictures.ts';
import type { Drawing, Point } from './drawing.ts';
import { type BoneOutline, legDrawing, type SiteShown } from './leg-drawing.ts';

const labels: Readonly<Record<string, string>> = {
  hipCentre: 'head centre',
  femoralKneeCentre: 'knee centre',
  distalMedial: 'distal M',
  distalLateral: 'distal L',
  plateauMedial: 'plateau M',
  plateauLateral: 'plateau L',
  malleolarMidpoint: 'middle of the malleoli',
  femoralCanalHigh: 'canal, upper',
  femoralCanalLow: 'canal, lower',
};

const isFemoral = (name: string): boolean => (femurSites as readonly string[]).includes(name);

/** Where sites of either bone are seen from the front: lateral and up, mm. */
function seenFromFront(leg: Leg, pictures: BonePictures, name: string): { readonly at: Point; readonly sd: Point } {
  const p = meanVectorOf(leg.belief, name);
  const c = covarianceOf(leg.belief, name);
  const sd = (k: 0 | 2): number => Math.sqrt(Math.max(0, c[k][k]));
  if (isFemoral(name)) return { at: [p[0], p[2]], sd: [sd(0), sd(2)] };
  const [l, a, up, o] = pictures.front.fromTibia;
  return {
    at: [l[0] * p[0] + a[0] * p[1] + up[0] * p[2] + o[0], l[1] * p[0] + a[1] * p[1] + up[1] * p[2] + o[1]],
    sd: [sd(0), sd(2)],
  };
}

const turnedOutline = (bone: BoneOutline, sign: 1 | -1): BoneOutline => {
  const turn = (polygon: Polygon): Polygon => polygon.map(([x, y]) => [sign * x, y] as const);
  return { outline: bone.outline.map(turn), folds: bone.folds.map(turn) };
};

/** Size of the whole leg on paper, and how the knee is drawn beside it, mm. */
const legWidthMm = 86;
const legHeightMm = 190;
const kneeHalfMm = 62;
const kneeReduction = 1.3;
/** How far to the side the labels of the joint hang, mm of the leg. */
const jointLabelMm = 36;

/** Sites and axes on the bones' outlines: the whole leg, or the knee alone. */
export function legPicture(leg: Leg, pictures: BonePictures, part: 'leg' | 'knee'): Drawing {
  const sign = readerRight(leg.side);
  const { femur, tibia, fibula, patella } = pictures.front;
  const bones = [fibula, tibia, femur, part === 'leg' ? patella : undefined]
    .filter((bone): bone is BoneOutline => bone !== undefined)
    .map((bone) => turnedOutline(bone, sign));
  const seen = (name: string): { readonly at: Point; readonly sd: Point } => {
    const s = seenFromFront(leg, pictures, name);
    return { at: [sign * s.at[0], s.at[1]], sd: s.sd };
  };
  const names =
    part === 'leg'
      ? ['hipCentre', 'femoralCanalHigh', 'femoralCanalLow', 'femoralKneeCentre', 'malleolarMidpoint']
      : ['distalMedial', 'distalLateral', 'plateauMedial', 'plateauLateral', 'femoralKneeCentre'];
  const medialLeft = sign === 1;
  const sites: SiteShown[] = names
    .filter((name) => has(leg.belief, name))
    .map((name) => {
      const towards = name.endsWith('Medial') === medialLeft && name !== 'femoralKneeCentre' ? 'left' : 'right';
      const { at, sd } = seen(name);
      // In the joint a label hangs outside the bone, above or below its line.
      const inJoint = /^(distal|plateau)/.test(name);
      const outside = towards === 'left' ? -jointLabelMm : jointLabelMm;
      const labelAt: Point | undefined = inJoint ? [outside, at[1] + (name.startsWith('distal') ? 5 : -5)] : undefined;
      return { label: labels[name] ?? name, at, sd, towards, labelAt };
    });
  const hip = seen('hipCentre').at;
  const knee = seen('femoralKneeCentre').at;
  const tibialKnee = seen('tibialKneeCentre').at;
  const ankle = seen('malleolarMidpoint').at;
  const through = (a: Point, b: Point, beyond: number): readonly [Point, Point] => {
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const u: Point = [(b[0] - a[0]) / size, (b[1] - a[1]) / size];
    return [
      [a[0] - beyond * u[0], a[1] - beyond * u[1]],
      [b[0] + beyond * u[0], b[1] + beyond * u[1]],
    ];
  };
  const joint = [
    through(seen('distalMedial').at, seen('distalLateral').at, 22),
    through(seen('plateauMedial').at, seen('plateauLateral').at, 24),
  ];
  const ldfa = quantity(leg, quantityDefinition('LDFA')!).value;
  const mpta = quantity(leg, quantityDefinition('clinicalMPTA')!).value;
  const all = bones.flatMap((bone) => bone.outline).flat();
  const xs = all.map((p) => p[0]);
  const ys = all.map((p) => p[1]);
  const [lowest, highest] = [Math.min(...ys) - 40, Math.max(...ys) + 16];
  const reduction = part === 'leg' ? (highest - lowest) / legHeightMm : kneeReduction;
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const half = (legWidthMm * reduction) / 2;
  const window: readonly [number, number, number, number] =
    part === 'leg'
      ? [(left + right) / 2 - half, lowest, (left + right) / 2 + half, highest]
      : [-kneeHalfMm, tibialKnee[1] - kneeHalfMm, kneeHalfMm, kneeHalfMm];
  return legDrawing({
    label:
      part === 'leg'
        ? `${leg.side} leg from the front, with sites and axes`
        : `${leg.side} knee from the front: femur ${ldfa?.toFixed(0)}, tibia ${mpta?.toFixed(0)} degrees`,
    bones,
    sites,
    axes: [[hip, knee], [tibialKnee, ankle], ...joint],
    reduction,
    window,
    sideLetter: part === 'leg' ? (leg.side === 'left' ? 'L' : 'R') : undefined,
    barMm: part === 'leg' ? 100 : 20,
  });
}
