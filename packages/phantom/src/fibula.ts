import type { Field } from '@kerfline/geometry';
import type { Body } from './body.ts';
import type { FibulaParameters, TibiaParameters } from './knee-parameters.ts';
import { ankleFrame, DRAWN_MALLEOLAR_WIDTH_MM, plateauLevel } from './leg-frame.ts';
import { loft, type Section } from './loft.ts';
import { ellipsoid, taperedRod } from './primitives.ts';
import { smoothMax, smoothMin } from './smooth-blend.ts';
import { curveThrough } from './spline-table.ts';

/** The drawing below is made for a tibia of this width, mm. */
const DRAWN_WIDTH_MM = 74;

/**
 * The fibula in the tibia's drawn frame: head behind and lateral under the plateau, thin bowed shaft, malleolus behind and
 * lateral of the ankle.
 */
export function fibulaBody(fibula: FibulaParameters, tibia: TibiaParameters): Body {
  const s = tibia.widthMm / DRAWN_WIDTH_MM;
  const m = tibia.malleolarWidthMm / DRAWN_MALLEOLAR_WIDTH_MM;
  const ankle = ankleFrame(tibia);
  const r = fibula.headRadiusMm;
  const headTop = plateauLevel(tibia) - fibula.headBelowMm;
  const thin = fibula.shaftRadiusMm;

  const along = (p: number): number => (headTop - p) / (headTop - ankle.level);
  const fromHead = headTop - 1.3 * r;
  const [upperL, upperA] = [33 * s, -16 * s];
  const [lowerL, lowerA] = ankle.toBone(21.5 * m + ankle.shift / 2, -0.5 * m, 30 * m);
  const start = along(fromHead);
  const end = along(ankle.level + 30 * m);
  const way = (p: number): number => Math.min(1.1, Math.max(-0.1, (along(p) - start) / (end - start)));
  const middleL = (p: number): number => upperL + (lowerL - upperL) * way(p) - 3 * 4 * way(p) * (1 - way(p));
  const middleA = (p: number): number => upperA + (lowerA - upperA) * way(p) - 6 * 4 * way(p) * (1 - way(p));

  const round = (level: number, half: number, deep = half): Section => ({
    level,
    medial: -half,
    lateral: half,
    posterior: -deep,
    anterior: deep,
    squareness: 2,
  });
  const shaft = loft({
    sections: [
      round(ankle.level - 4 * m, 8 * m, 10.5 * m),
      round(ankle.level + 12 * m, 7.4 * m, 9.6 * m),
      round(ankle.level + 28 * m, 6.2 * m, 7.2 * m),
      round(ankle.level + 60 * m, 0.85 * thin),
      round((ankle.level + headTop) / 2, thin, 1.1 * thin),
      round(headTop - 90, 0.9 * thin),
      round(headTop - 50, 0.9 * thin),
      round(headTop - 34, 1.1 * thin),
      round(headTop - 22, 0.75 * r),
      round(headTop, 0.9 * r),
    ],
    shift: (p) => [middleL(p), middleA(p)],
    ridges: [1.9, -0.4, -2.4].map((angle, i) => ({
      angle: () => angle,
      height: curveThrough([
        [ankle.level + 20 * m, 0],
        [ankle.level + 70 * m, 1.3],
        [headTop - 80, i === 0 ? 1.6 : 1],
        [headTop - 30, 0],
      ]),
      width: 0.35,
    })),
  });
  // The head: a knob that faces up and inward toward the tibia, with its apex behind and outside.
  const head = ellipsoid([upperL + 0.05 * r, upperA + 0.1 * r, headTop - 1.25 * r], [0.92 * r, 0.9 * r, 0.95 * r]);
  const apex = taperedRod(
    [upperL, upperA - 0.2 * r, headTop - 1.5 * r],
    [upperL + 0.2 * r, upperA - 0.4 * r, headTop - 0.42 * r],
    0.8 * r,
    0.42 * r,
  );
  const below = fibula.malleolusBelowMm;
  const half = tibia.malleolarWidthMm / 2;
  const [thick, deep] = [8.6 * m - ankle.shift / 2, 11 * m];
  // The malleolus is drawn in the ankle's directions: widest a little below the middle, its tip turned backward.
  const knob = ellipsoid([half - thick, 0, -3 * m], [thick, deep, 0.82 * below]);
  const tip = taperedRod([half - thick, 0, -6 * m], [half - thick + 0.5, -2.5 * m, -below + 5 * m], 7.5 * m, 5 * m);
  const field: Field = (x, y, z) => {
    let body = smoothMax(shaft(x, y, z), Math.max(z - headTop + 6, ankle.level - 2 - z), 8);
    if (z > headTop - 60) {
      body = smoothMin(body, head(x, y, z), 12);
      body = smoothMin(body, apex(x, y, z), 9);
    }
    if (z < ankle.level + 50) {
      const u = x * ankle.cos - y * ankle.sin;
      const v = x * ankle.sin + y * ankle.cos;
      body = smoothMin(body, knob(u, v, z - ankle.level), 9 * m);
      body = smoothMin(body, tip(u, v, z - ankle.level), 6 * m);
    }
    return body;
  };
  const side = half + 10;
  return {
    field,
    box: {
      min: [-10, -Math.max(side, 50), ankle.level - below - 12],
      max: [Math.max(side, upperL + r + 12), 20, headTop + 8],
    },
  };
}
