import { fromDegrees } from './degrees.ts';
import type { TibiaParameters } from './knee-parameters.ts';

/**
 * The ankle's own directions in the tibia's drawn frame: `x` along the line of the malleoli toward lateral, `y` forward and
 * square to it, both square to P; the origin is the middle between the malleoli.
 */
export interface AnkleFrame {
  readonly cos: number;
  readonly sin: number;
  /** Height of the middle between the malleoli, mm (negative: below the knee centre). */
  readonly level: number;
  /** How far the joint surface is moved along x, mm, so that its centre comes to lie at the wanted ankle offset. */
  readonly shift: number;
  readonly toBone: (x: number, y: number, p: number) => readonly [number, number, number];
}

export function ankleFrame(tibia: TibiaParameters): AnkleFrame {
  const turn = fromDegrees(tibia.torsionDeg);
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const level = -tibia.lengthMm;
  // As drawn, the centre of the joint surface lies medial of the middle and a little in front of it.
  const scale = tibia.malleolarWidthMm / DRAWN_MALLEOLAR_WIDTH_MM;
  const [drawnX, drawnY] = [-3.9 * scale, 1 * scale];
  const shift = (-tibia.ankleOffsetMm - drawnY * sin) / cos - drawnX;
  return { cos, sin, level, shift, toBone: (x, y, p) => [x * cos + y * sin, y * cos - x * sin, level + p] };
}

/** The ankle is drawn for this distance between the prominences of the malleoli, mm. */
export const DRAWN_MALLEOLAR_WIDTH_MM = 66;

/** Mean height of the two plateau points below the middle of the spine tips, mm (negative). */
export const plateauLevel = (tibia: TibiaParameters): number => -(tibia.medialSpineMm + tibia.lateralSpineMm) / 2;
