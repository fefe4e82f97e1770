import type { Field } from '@kerfline/geometry';
import type { Body } from './body.ts';
import { headCentre, type ShaftAxis, shaftAxis } from './femur-axis.ts';
import { DRAWN_DEPTH_MM, DRAWN_WIDTH_MM, distalFemur } from './femur-distal.ts';
import { proximalFemur } from './femur-proximal.ts';
import type { BoneLoss, FemurParameters } from './knee-parameters.ts';
import { loft, type Section } from './loft.ts';
import { smoothMax, smoothMin, smoothStep } from './smooth-blend.ts';

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
  // Level, then how far the section reaches medially, laterally, backward and forward, and how square it is.
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
