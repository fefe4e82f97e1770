import { add, along, type Field, scaled, unit, unitSquareTo, type Vec3 } from '@kerfline/geometry';
import type { Body } from './body.ts';
import { DRAWN_DEPTH_MM, DRAWN_WIDTH_MM, distalFemur } from './femur-distal.ts';
import { proximalFemur } from './femur-proximal.ts';
import type { BoneLoss, FemurParameters } from './knee-parameters.ts';
import { loft, type Section } from './loft.ts';
import { smoothMax, smoothMin, smoothStep } from './smooth-blend.ts';

const degrees = (value: number): number => (value * Math.PI) / 180;

/** Where the axis of the shaft meets the level of the knee centre, forward of it, mm. Working default, no source. */
const CANAL_FORWARD_MM = 9;

/**
 * The axis of the shaft as a curve: a straight line and a parabola for the bow, in L and in A.
 *
 * Its top is where the neck meets it (from offset, neck-shaft angle and anteversion); its direction 20 to 50 % of the way
 * up is `shaftMechanicalDeg`. Where it leaves the bone at the knee follows from the two.
 */
export interface ShaftAxis {
  /** L and A at a height P, mm. */
  readonly at: (level: number) => readonly [number, number];
  /** Where the axis of the neck meets it. */
  readonly neckBase: Vec3;
  /** From the neck base to the head centre, unit. */
  readonly neck: Vec3;
}

/** The notch's front edge, and with it the measured knee centre, lies this far below the drawing's origin, mm. */
const KNEE_CENTRE_BELOW_MM = 1.2;

/** Centre of the femoral head in the drawn frame, mm. */
export const headCentre = (femur: FemurParameters): Vec3 => [
  0,
  0,
  femur.lengthMm - KNEE_CENTRE_BELOW_MM * (femur.lateralDepthMm / DRAWN_DEPTH_MM),
];

export function shaftAxis(femur: FemurParameters): ShaftAxis {
  const length = femur.lengthMm;
  // A parabola of this height over the whole length turns by the bow between its lower and upper half.
  const bowL = (degrees(femur.coronalBowDeg) * length) / 4;
  const bowA = (degrees(femur.sagittalBowDeg) * length) / 4;
  // The middle of the window from 20 to 50 % of the total length, seen from the knee centre.
  const window = 0.36;
  const slopeL = Math.tan(degrees(femur.shaftMechanicalDeg)) - (bowL / length) * 4 * (1 - 2 * window);
  const version = degrees(femur.anteversionDeg);
  const head = headCentre(femur);
  let neckBase: Vec3 = [0, 0, 0];
  let neck: Vec3 = [0, 0, 1];
  let [startL, slopeA] = [0, 0];
  let proximal: Vec3 = unit([slopeL, 0, 1]);
  for (let round = 0; round < 6; round += 1) {
    const inward = unitSquareTo([-Math.cos(version), Math.sin(version), 0], proximal);
    const bend = degrees(femur.neckShaftDeg - 90);
    neck = add(scaled(inward, Math.cos(bend)), scaled(proximal, Math.sin(bend)));
    neckBase = along(head, neck, -femur.headOffsetMm / Math.cos(bend));
    const t = neckBase[2] / length;
    startL = neckBase[0] - slopeL * neckBase[2] - bowL * 4 * t * (1 - t);
    slopeA = (neckBase[1] - CANAL_FORWARD_MM - bowA * 4 * t * (1 - t)) / neckBase[2];
    proximal = unit([slopeL + (bowL / length) * 4 * (1 - 2 * t), slopeA + (bowA / length) * 4 * (1 - 2 * t), 1]);
  }
  return {
    at: (level) => {
      const t = level / length;
      return [
        startL + slopeL * level + bowL * 4 * t * (1 - t),
        CANAL_FORWARD_MM + slopeA * level + bowA * 4 * t * (1 - t),
      ];
    },
    neckBase,
    neck,
  };
}

/**
 * The femur, in its drawn frame: origin just above the front edge of the notch, P through the head centre, L along the
 * posterior condyles; mm.
 */
export function femurBody(femur: FemurParameters, loss: BoneLoss): Body {
  const axis = shaftAxis(femur);
  const shaft = femurShaft(femur, axis);
  const top = headCentre(femur)[2];
  const proximal = proximalFemur(femur, axis, shaft);
  const melt = 9 * (femur.widthMm / DRAWN_WIDTH_MM);
  const floor = 6 * (femur.lateralDepthMm / DRAWN_DEPTH_MM);
  const distal = distalFemur(femur, loss, (x, y, z, condyles) =>
    smoothMin(condyles, smoothMax(shaft(x, y, z), floor - z, melt), melt),
  );
  const lower = 80 * (femur.lateralDepthMm / DRAWN_DEPTH_MM);
  const upper = top - 115;
  const field: Field = (x, y, z) => {
    if (z > upper) return proximal(x, y, z);
    return z > lower ? shaft(x, y, z) : distal(x, y, z);
  };
  const side = femur.epicondylarWidthMm / 2 + 12;
  const [baseL] = axis.at(top - 30);
  return {
    field,
    box: {
      min: [-side, Math.min(-femur.lateralDepthMm * 0.62 - 12, axis.neckBase[1] - 50), -30],
      max: [Math.max(side, baseL + 50), femur.lateralDepthMm * 0.5 + 14, top + femur.headRadiusMm + 6],
    },
  };
}

/** The tube of the shaft with its flare at the knee and its linea aspera behind; it goes on below and above. */
function femurShaft(femur: FemurParameters, axis: ShaftAxis): Field {
  const sl = femur.widthMm / DRAWN_WIDTH_MM;
  const sa = femur.lateralDepthMm / DRAWN_DEPTH_MM;
  const s = (sl + sa) / 2;
  const top = headCentre(femur)[2];
  // Near the knee the sections stand where the condyles are; from about 80 mm up they follow the axis of the shaft.
  const drawnAxis = (p: number): readonly [number, number] => [0.0957 * p - 3.4 * sl, 9 - p * 0.01];
  const rows: readonly (readonly [number, number, number, number, number, number])[] = [
    [8 * sa, -32, 28, -11, 15, 2.6],
    [20 * sa, -35, 30, -13, 21, 2.2],
    [30 * sa, -37, 30, -13.5, 24, 2],
    [40 * sa, -32, 27.8, -12.5, 25, 2],
    [50 * sa, -26, 25.8, -10.5, 25, 2.1],
    [60 * sa, -21, 25, -9, 24.8, 2.3],
    [75 * sa, -15.5, 24.6, -7.8, 24.4, 2.2],
    [92 * sa, -11.7, 24.5, -7, 23.6, 2.1],
    [115 * sa, -7.4, 24.6, -6.6, 22.4, 2.1],
  ];
  const near = rows.map(([level, medial, lateral, posterior, anterior, squareness]): Section => {
    const [l, a] = drawnAxis(level);
    return {
      level,
      medial: (medial - 1) * sl - l,
      lateral: (lateral - 1) * sl - l,
      posterior: posterior * sa - a,
      anterior: anterior * sa - a,
      squareness,
    };
  });
  const oval = (level: number, halfL: number, halfA: number): Section => ({
    level,
    medial: -halfL * s,
    lateral: halfL * s,
    posterior: -halfA * s,
    anterior: halfA * s,
    squareness: 2.1,
  });
  return loft({
    sections: [
      ...near,
      oval(0.38 * top, 14.2, 13.9),
      oval(0.52 * top, 13.4, 14),
      oval(0.66 * top, 13.6, 14.2),
      oval(top - 110, 14.6, 14.4),
      oval(top - 80, 16, 15),
      oval(top - 55, 17.5, 16),
      oval(top - 20, 18.5, 16.5),
    ],
    shift: (p) => {
      const [l, a] = axis.at(p);
      const [dl, da] = drawnAxis(p);
      const follow = smoothStep(15 * sa, 95 * sa, p);
      return [dl + follow * (l - dl), da + follow * (a - da)];
    },
    ridges: [
      {
        angle: () => -Math.PI / 2 + 0.1,
        height: (p) => 2.6 * s * smoothStep(0.26 * top, 0.42 * top, p) * (1 - smoothStep(0.66 * top, 0.8 * top, p)),
        width: 0.3,
      },
      // The two lines that bound the flat back of the bone above the condyles.
      ...[-2.55, -0.6].map((angle) => ({
        angle: () => angle,
        height: (p: number) => 2 * s * smoothStep(30 * sa, 60 * sa, p) * (1 - smoothStep(80 * sa, 150 * sa, p)),
        width: 0.28,
      })),
    ],
  });
}
