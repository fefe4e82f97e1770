import { err, ok, type Result } from '@kerfline/geometry';
import { calibrationDefaults, filmViews, postures, type Refusal, refusal } from '@kerfline/knee';
import { z } from 'zod';
import type { BodyOf } from './case-view.ts';
import type { Statement } from './entry.ts';

/** A number, or a text that is one: a decimal comma is what many tables have. */
const decimal = z.union([
  z.number(),
  z
    .string()
    .regex(/^\s*[+-]?\d+([.,]\d+)?\s*$/, 'a number is needed, with a point or a comma')
    .transform((text) => Number(text.replace(',', '.'))),
]);
const pixel = z.tuple([decimal, decimal], 'a place is [column, row]');
const pair = z.tuple([decimal, decimal]);

const shape = z.strictObject({
  view: z.enum(filmViews, `one of ${filmViews.join(', ')} is needed`),
  side: z.enum(['left', 'right'], 'left or right is needed').optional(),
  posture: z.enum(postures, `one of ${postures.join(', ')} is needed`).optional(),
  mirrored: z.boolean().optional(),
  landmarks: z.record(
    z.string(),
    z.union(
      [
        pixel.transform((at) => ({ pixel: at })),
        z.strictObject({ pixel, covPx2: z.tuple([pair, pair]).optional(), radiusPx: decimal.optional() }),
      ],
      'a mark is {"pixel": [column, row]} or [column, row]',
    ),
  ),
  calibration: z
    .strictObject({
      diameterMm: decimal,
      rim: z.array(pixel).min(3, 'a circle needs at least 3 points on the rim of the ball'),
      depthMm: decimal.optional(),
      depthSdMm: decimal.optional(),
    })
    .optional(),
});

/** Marks of one film as a file: our own plain form, the one that films made by the program come with. */
export type MarksFile = z.infer<typeof shape>;

/** Reads a file of marks; every problem is named with its place. */
export function readMarksFile(text: string, fileName: string): Result<MarksFile, readonly Refusal[]> {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (e) {
    return err([refusal('bad-marks', `${fileName} is not JSON: ${(e as Error).message}.`)]);
  }
  const read = shape.safeParse(raw);
  return read.success
    ? ok(read.data)
    : err(
        read.error.issues.map((issue) =>
          refusal('bad-marks', `${fileName}, ${issue.path.join('.') || 'the file'}: ${issue.message}.`),
        ),
      );
}

/** The statements that a file of marks makes of a film that is in a case. */
export const marksStatements = (film: string, marks: MarksFile): readonly Statement[] => [
  ...Object.entries(marks.landmarks).map(
    ([name, mark]): Statement => ({ kind: 'mark', body: { film, name, ...mark, by: 'hand' } as BodyOf<'mark'> }),
  ),
  ...(marks.calibration
    ? [
        {
          kind: 'calibration',
          body: {
            film,
            kind: 'ball',
            sizeMm: marks.calibration.diameterMm,
            rim: marks.calibration.rim,
            depthMm: marks.calibration.depthMm ?? 0,
            depthSdMm: marks.calibration.depthSdMm ?? calibrationDefaults.depthSd.value,
          },
        } as Statement,
      ]
    : []),
];
