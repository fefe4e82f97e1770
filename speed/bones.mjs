// Bones of a virtual knee, fine enough that one of them has about as many triangles as a benchmark asks for.
import { phantomBones, typicalKnee } from '@kerfline/phantom';

/** Triangles of the femur at cells of 1 mm; they go with the square of the cell. */
const femurAtOneMm = 167_540;

export const side = typicalKnee.side;

/** Bones with about this many triangles on the femur. */
export const bonesWith = (femurTriangles) =>
  phantomBones(typicalKnee, { cellMm: Math.sqrt(femurAtOneMm / femurTriangles) });
