import { z } from 'zod';

/**
 * The components that fill the space. Sizes are named by millimetres, so that no label needs a table. Lengths in mm, angles
 * in degrees. What a kit does not say is not known, and what rests on it is not worked out.
 */

const positive = z.number().positive();

/** @numerical A flat square to the distal face is no chamfer, degrees. */
const steepest = 89;

/** A flat across the corner between the distal face and another: how far it takes off each, and its angle to the distal face. */
const chamfer = z.strictObject({ cornerMm: positive, deg: positive.max(steepest) });

/** @numerical Fewer points than these enclose nothing. */
const triangle = 3;

export const componentsSchema = z.strictObject({
  femur: z
    .array(
      z.strictObject({
        /** Front to back, mm: the name of the size. */
        size: positive,
        widthMm: positive,
        distalMm: positive,
        rearMm: positive,
        /** Height of the flange tip above the distal cut, mm. */
        flangeHeightMm: positive,
        rearChamfer: chamfer.optional(),
        frontChamfer: chamfer.optional(),
        /** Two pegs on the distal face: how deep, how thick, how far apart side to side. */
        pegs: z.strictObject({ depthMm: positive, diameterMm: positive, apartMm: positive }).optional(),
      }),
    )
    .min(1),
  tray: z
    .array(
      z.strictObject({
        /** Side to side, mm: the name of the size. */
        size: positive,
        depthMm: positive,
        thicknessMm: positive,
        /** How far the keel's tip reaches below the cut. */
        keelMm: positive,
        /** Diameter of the drill that goes before the keel. */
        drillMm: positive,
        /** Half the span of the keel's wings at the cut, side to side; they narrow to the drill at the tip. */
        wingMm: positive.optional(),
      }),
    )
    .min(1),
  /**
   * The tray seen from above, as shares of its size (L, lateral +) and depth (A, front +), each from -0.5 to 0.5, once round.
   */
  trayOutline: z
    .array(z.tuple([z.number().min(-0.5).max(0.5), z.number().min(-0.5).max(0.5)]))
    .min(triangle)
    .optional(),
  insert: z.array(z.strictObject({ /** Thickness, mm: the name of the size. */ size: positive })).min(1),
  button: z
    .array(
      z.strictObject({
        /** Diameter, mm: the name of the size. */
        size: positive,
        thicknessMm: positive,
        /** Its peg, in the middle of its back. */
        peg: z.strictObject({ depthMm: positive, diameterMm: positive }).optional(),
      }),
    )
    .min(1),
  allowedPairs: z.array(z.strictObject({ femur: positive, tray: positive })).min(1),
});
