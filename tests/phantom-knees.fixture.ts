import { env } from 'node:process';
import { type LegFromBones, legFromBones } from '@kerfline/knee';
import {
  type KneeParameters,
  kneeFromSeed,
  type PhantomBones,
  type PhantomTruth,
  phantomBones,
  phantomTruth,
} from '@kerfline/phantom';
import { type Random, randomStream } from '@kerfline/uncertainty';

/** Knees that a test looks at: 20 in `npm test`, 200 in `npm run verify`. */
export const seeds = Array.from({ length: env.KERFLINE_FULL === '1' ? 200 : 20 }, (_, k) => k + 1);

/** Cells of the meshes, mm: coarser than a scan gives, to save time. */
export const cellMm = 1.6;

/** Half the default sampling: within 0.03 mm and 0.03 degrees of it, which no mark here can see. */
const sampling = { stepMm: 3, rays: 48 };

export interface MeasuredPhantom {
  readonly knee: KneeParameters;
  readonly bones: PhantomBones;
  readonly measured: LegFromBones;
}

/** A virtual knee, made into meshes and measured; a knee that is refused throws. */
export function measuredPhantom(
  seed: number,
  noise?: { readonly sdMm: number; readonly correlationMm: number; readonly random: Random },
): MeasuredPhantom {
  const knee = kneeFromSeed(seed);
  const bones = phantomBones(knee, { cellMm, ...(noise ? { noise } : {}) });
  const measured = legFromBones(bones, { side: knee.side });
  if (!measured.ok) throw new Error(`seed ${seed}: ${measured.error.map((e) => e.message).join(' ')}`);
  return { knee, bones, measured: measured.value };
}

export const truthOf = (knee: KneeParameters): PhantomTruth => phantomTruth(knee, sampling);

/** Segmentation as it is: errors of 0.2 to 0.5 mm that stay alike over 3 to 8 mm. Working default, no source. */
export function segmentation(seed: number): {
  readonly sdMm: number;
  readonly correlationMm: number;
  readonly random: Random;
} {
  const random = randomStream(seed, 'segmentation of a phantom');
  return { sdMm: 0.2 + 0.3 * random.uniform(), correlationMm: 3 + 5 * random.uniform(), random };
}
