import type { Field } from '@kerfline/geometry';
import type { Body } from './body.ts';
import { fromDegrees } from './degrees.ts';
import type { BoneLoss, TibiaParameters } from './knee-parameters.ts';
import { ankleFrame, DRAWN_MALLEOLAR_WIDTH_MM, plateauLevel } from './leg-frame.ts';
import { loft, type Section } from './loft.ts';
import { ellipsoid, taperedRod } from './primitives.ts';
import { smoothMax, smoothMin, smoothStep } from './smooth-blend.ts';
import { curveThrough, splineTable } from './spline-table.ts';

/** The drawing below is made for a tibia of this width and depth, mm. */
const DRAWN_WIDTH_MM = 74;
const DRAWN_DEPTH_MM = 50;

/** Room between tibia and fibula at both of their joints, mm. Working default, no source. */
const FIBULA_GAP_MM = 1.6;

/** A worn facet is nearly flat. Working default, no source. */
const FACET_RADIUS_MM = 140;

/**
 * The tibia, in its drawn frame: origin in the middle of the two spine tips, P away from the middle between the malleoli
 * at -lengthMm, A forward; mm.
 *
 * A tube of cross sections, closed above by the plateaus as a height over L and A and below by the ankle's joint surface;
 * malleolus added, room for the fibula taken out.
 *
 * @param fibula the fibula's field in the same frame
 */
export function tibiaBody(tibia: TibiaParameters, loss: BoneLoss, fibula: Field): Body {
  const sl = tibia.widthMm / DRAWN_WIDTH_MM;
  const sa = tibia.depthMm / DRAWN_DEPTH_MM;
  const m = tibia.malleolarWidthMm / DRAWN_MALLEOLAR_WIDTH_MM;
  const ankle = ankleFrame(tibia);
  const tube = tibiaTube(tibia);
  const top = plateaus(tibia, loss);
  const behind = (x: number, y: number): number => Math.hypot((x - 1) / 1.1, y + 27 * sa) - 10 * sa;
  const gerdy = ellipsoid([27 * sl, 19 * sa, plateauLevel(tibia) - 14], [8 * sl, 7 * sa, 8]);

  // The ankle, in its own directions: joint surface hollow from front to back, malleolus on the medial side.
  const plafondX = ankle.shift - 3.9 * m;
  const plafondY = 1 * m;
  const plafondP = 6 * m;
  const half = tibia.malleolarWidthMm / 2;
  const thick = 7.5 * m + ankle.shift / 2;
  const middle = thick - half;
  const malleolus = ellipsoid([middle, 0.5 * m, 4.5 * m], [thick, 14 * m, 12 * m]);
  const colliculus = taperedRod([middle + m, 1 * m, 3 * m], [middle + m, 3 * m, -3 * m], 0.93 * thick, 0.6 * thick);

  const field: Field = (x, y, z) => {
    let body = tube(x, y, z);
    if (z > -70) {
      body = smoothMin(body, gerdy(x, y, z), 10);
      const shallower = 0.5 * Math.max(0, plateauLevel(tibia) - 6 - z);
      body = smoothMax(body, -behind(x, y) - shallower, 9);
      body = smoothMax(body, z - top(x, y), 7);
      return smoothMax(body, FIBULA_GAP_MM - fibula(x, y, z), 4);
    }
    if (z < ankle.level + 60) {
      const u = x * ankle.cos - y * ankle.sin;
      const v = x * ankle.sin + y * ankle.cos;
      const p = z - ankle.level;
      const hollow = plafondP - (v - plafondY - 1) ** 2 / (60 * m) - 0.3 * Math.cos((u - plafondX) / (5 * m));
      body = smoothMax(body, hollow - p, 5);
      body = smoothMin(body, smoothMin(malleolus(u, v, p), colliculus(u, v, p), 6), 11 * m);
      return smoothMax(body, FIBULA_GAP_MM - fibula(x, y, z), 4);
    }
    return body;
  };
  const side = half + 10;
  return {
    field,
    box: {
      min: [-Math.max(side, tibia.widthMm / 2 + 10), -side, ankle.level - 16 * m],
      max: [Math.max(side, tibia.widthMm / 2 + 14), Math.max(side, tibia.depthMm * 0.66 + 16), 12],
    },
  };
}

/** The tube of the tibia, turning into the ankle's directions below; it goes on above and below. */
function tibiaTube(tibia: TibiaParameters): Field {
  const sl = tibia.widthMm / DRAWN_WIDTH_MM;
  const sa = tibia.depthMm / DRAWN_DEPTH_MM;
  const s = (sl + sa) / 2;
  const m = tibia.malleolarWidthMm / DRAWN_MALLEOLAR_WIDTH_MM;
  const ankle = ankleFrame(tibia);
  const plateau = plateauLevel(tibia);
  const length = tibia.lengthMm;
  const row = (
    level: number,
    medial: number,
    lateral: number,
    posterior: number,
    anterior: number,
    squareness: number,
    [wide, deep]: readonly [number, number],
  ): Section => ({
    level,
    medial: medial * wide,
    lateral: lateral * wide,
    posterior: posterior * deep,
    anterior: anterior * deep,
    squareness,
  });
  const knee = [sl, sa] as const;
  const shaft = [s, s] as const;
  const low = [m, m] as const;
  const tubercle = plateau - tibia.tubercleBelowMm;
  const shift = ankle.shift / m;
  return loft({
    // Level, then how far the section reaches medially, laterally, backward and forward, and how square it is.
    sections: [
      row(ankle.level - 8 * m, -32.2, 19 + shift, -17, 20, 2.3, low),
      row(ankle.level + 6 * m, -32.2, 19 + shift, -17.5, 20, 2.3, low),
      row(ankle.level + 15 * m, -30.3, 18.5 + shift, -17, 19, 2.3, low),
      row(ankle.level + 28 * m, -23.5, 15.5 + shift / 2, -13.5, 15.5, 2.2, low),
      row(ankle.level + 45 * m, -17, 12.5, -11, 12.5, 2.1, low),
      row(ankle.level + 75 * m, -12.3, 10.8, -9.5, 11.5, 2, low),
      row(-0.66 * length, -12, 10.8, -8, 13, 1.9, shaft),
      row(-0.5 * length, -12, 11, -7, 17, 1.9, shaft),
      row(-0.36 * length, -12.5, 11.8, -6.8, 20, 1.9, shaft),
      row(plateau - 85 * s, -14, 14.5, -8, 23, 1.9, shaft),
      row(plateau - 65 * s, -15.5, 17.2, -8.8, 25, 2, shaft),
      row(plateau - 50 * s, -18, 20.4, -9.2, 26, 2.1, shaft),
      row(plateau - 39 * s, -21.5, 24, -10, 26, 2.1, knee),
      row(plateau - 30 * s, -26, 28.2, -11.8, 26.8, 2.15, knee),
      row(plateau - 22 * s, -30.6, 32.8, -15.2, 28.2, 2.25, knee),
      row(plateau - 15.5 * s, -34, 36.4, -19, 29.4, 2.3, knee),
      row(plateau - 10 * s, -35.7, 38.3, -20.2, 29.8, 2.35, knee),
      row(plateau - 5 * s, -36, 38.4, -20.2, 29.6, 2.35, knee),
      row(plateau + 1 * s, -35.4, 37.8, -19.8, 29, 2.35, knee),
      row(plateau + 6 * s, -34.6, 37, -19.4, 28.5, 2.35, knee),
    ],
    twist: (p) => fromDegrees(tibia.torsionDeg) * (1 - smoothStep(ankle.level + 25, ankle.level + 120, p)),
    ridges: [
      // Tubercle, running down into the shin.
      {
        angle: (p) => Math.atan2(20 * s, (tibia.tubercleLateralMm - 1.5 * s) * (1 - smoothStep(40, 160, tubercle - p))),
        height: curveThrough([
          [ankle.level + 60 * m, 0],
          [ankle.level + 120 * m, 2.2 * s],
          [tubercle - 60 * s, 3.4 * s],
          [tubercle - 22 * s, 5 * s],
          [tubercle, 8 * s],
          [tubercle + 8 * s, 6 * s],
          [tubercle + 18 * s, 0],
        ]),
        width: 0.27,
      },
      // Medial and lateral borders behind, which make the shaft three-sided.
      ...[-2.65, -0.35].map((angle) => ({
        angle: () => angle,
        height: curveThrough([
          [ankle.level + 50 * m, 0],
          [ankle.level + 110 * m, 1.4 * s],
          [plateau - 80 * s, 1.6 * s],
          [plateau - 45 * s, 0],
        ]),
        width: 0.4,
      })),
    ],
  });
}

/**
 * Height of the joint surface over L and A: a dished medial plateau, a lateral one hollow from side to side and convex from
 * front to back, and the two spines between.
 */
function plateaus(tibia: TibiaParameters, loss: BoneLoss): (l: number, a: number) => number {
  const sl = tibia.widthMm / DRAWN_WIDTH_MM;
  const sa = tibia.depthMm / DRAWN_DEPTH_MM;
  const level = plateauLevel(tibia);
  const half = tibia.plateauSpacingMm / 2;
  const middleL = 1.4 * sl;
  const middleA = 3.5 * sa;
  const tip = half * Math.tan(fromDegrees(90 - tibia.mptaDeg));
  const slopeMedial = Math.tan(fromDegrees(tibia.medialSlopeDeg));
  const slopeLateral = Math.tan(fromDegrees(tibia.lateralSlopeDeg));
  const surface = (l: number, a: number): number => {
    const back = a - middleA;
    const dm = l - middleL + half;
    const dl = l - middleL - half;
    // Towards the spines the surfaces rise, but only in the middle from front to back.
    const eminence = Math.exp(-0.5 * ((a - 0.5 * sa) / (11 * sa)) ** 2);
    const rise = (inward: number) => 4.4 * smoothStep(2 * sl, 17 * sl, inward) * eminence;
    const outer = (outward: number) => Math.max(0, outward) ** 2 / (2 * 70 * sl);
    const medial = level - tip + slopeMedial * back + (back * back) / (2 * 85 * sa) + outer(-dm) + rise(dm);
    const lateral = level + tip + slopeLateral * back - (back * back) / (2 * 75 * sa) + outer(dl) + rise(-dl);
    const side = smoothStep(-9 * sl, 9 * sl, l);
    const floor = medial + (lateral - medial) * side;
    const spine = (atL: number, atA: number, height: number): number =>
      height * Math.exp(-0.5 * (((l - atL) / (3.4 * sl)) ** 2 + ((a - atA) / (7 * sa)) ** 2));
    // The plateaus lie level beside each other at two heights; the spines between lean with the joint line as a whole.
    const lean = (atL: number): number => (tip / half) * atL - tip * (2 * smoothStep(-9 * sl, 9 * sl, atL) - 1);
    const at = 5.6 * sl;
    return (
      floor +
      spine(-at, 2 * sa, tibia.medialSpineMm - 4 + lean(-at)) +
      spine(at, -2 * sa, tibia.lateralSpineMm - 4 + lean(at))
    );
  };
  const worn = (l: number, a: number): number => {
    const height = surface(l, a);
    const medialSide = l < middleL;
    const gone = medialSide ? loss.plateauMedialMm : loss.plateauLateralMm;
    if (!(gone > 0)) return height;
    const [slope, centre] = medialSide ? [slopeMedial, middleL - half] : [slopeLateral, middleL + half];
    const back = a - middleA;
    const inward = Math.max(0, (medialSide ? 1 : -1) * (l - centre) - 0.35 * half);
    const off = (l - centre) ** 2 + back * back;
    const facet =
      level + (medialSide ? -tip : tip) + slope * back - gone + off / (2 * FACET_RADIUS_MM) + 0.35 * inward ** 2;
    return smoothMin(height, facet, 2);
  };
  return splineTable(
    { from: -60 * sl, to: 60 * sl, steps: Math.ceil(80 * sl) },
    { from: -50 * sa, to: 60 * sa, steps: Math.ceil(74 * sa) },
    worn,
  );
}
