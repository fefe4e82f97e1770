import { type Mesh, moved, reflectMesh, type Transform } from '@kerfline/geometry';
import type { Random } from '@kerfline/uncertainty';
import { type Body, STEEPNESS } from './body.ts';
import { type KneeBodies, kneeBodies } from './knee-bodies.ts';
import type { KneeParameters } from './knee-parameters.ts';
import type { DrawnFrame } from './scan-pose.ts';
import { sparseIsosurface } from './sparse-isosurface.ts';
import { displaced, type SurfaceNoise } from './surface-noise.ts';

export interface PhantomBones {
  readonly femur: Mesh<'scan'>;
  readonly tibia: Mesh<'scan'>;
  readonly fibula: Mesh<'scan'>;
  readonly patella: Mesh<'scan'>;
}

export interface PhantomBonesOptions {
  /** Edge of a grid cell, mm; about the mean edge of a triangle. */
  readonly cellMm?: number;
  /** Error of the segmentation; none when absent. */
  readonly noise?: SurfaceNoise & { readonly random: Random };
}

const CELL_MM = 1.2;

/**
 * The surfaces of one virtual knee as a scan would show them: each bone closed, in one piece, facing outward, in one frame
 * (x toward the patient's left, y backward, z toward the head, mm), posed as the patient lay.
 */
export function phantomBones(knee: KneeParameters, options: PhantomBonesOptions = {}): PhantomBones {
  return meshes(kneeBodies(knee), options);
}

function meshes(bodies: KneeBodies, { cellMm = CELL_MM, noise }: PhantomBonesOptions): PhantomBones {
  const { placement } = bodies;
  const bone = <F extends DrawnFrame>(frame: F, body: Body, scanFromBone: Transform<'right-scan', F>): Mesh<'scan'> => {
    const clean = sparseIsosurface(frame, body.field, body.box, cellMm, STEEPNESS);
    const segmented = noise ? displaced(clean, noise, noise.random) : clean;
    const placed = moved(scanFromBone, segmented);
    return placement.mirror ? reflectMesh(placement.mirror, placed) : { ...placed, frame: 'scan' };
  };
  return {
    femur: bone('drawn-femur', bodies.femur, placement.scanFromFemur),
    tibia: bone('drawn-tibia', bodies.tibia, placement.scanFromTibia),
    fibula: bone('drawn-tibia', bodies.fibula, placement.scanFromTibia),
    patella: bone('drawn-patella', bodies.patella, placement.scanFromPatella),
  };
}
