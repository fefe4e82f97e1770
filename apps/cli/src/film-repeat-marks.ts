import { type FilmView, filmViews, type Pixel, type Side } from '@kerfline/knee';
import { BadInput } from './bad-input.ts';
import { bytesOf } from './files.ts';

/** One marking of one film, from a marks file. */
export interface Marking {
  readonly view: FilmView;
  /** Absent where the file does not say it. */
  readonly side: Side | undefined;
  readonly marks: readonly { readonly name: string; readonly pixel: Pixel }[];
  /** Whether the file holds a calibration of the film. */
  readonly calibrated: boolean;
}

const isObject = (v: unknown): v is Readonly<Record<string, unknown>> =>
  typeof v === 'object' && v !== null && !Array.isArray(v);

const isPixel = (v: unknown): v is Pixel => Array.isArray(v) && v.length === 2 && v.every(Number.isFinite);

/** What a value is, short enough for a sentence. */
const shown = (v: unknown): string => {
  const text = JSON.stringify(v) ?? 'nothing';
  return text.length > 40 ? `${text.slice(0, 40)} ...` : text;
};

/** A marks file, or the end of the command with everything that is wrong in it. */
export async function markingFile(path: string): Promise<Marking> {
  const bytes = await bytesOf(path, 'The marks');
  let read: unknown;
  try {
    read = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch (e) {
    throw new BadInput([`${path} is no JSON: ${(e as Error).message}.`]);
  }
  if (!isObject(read))
    throw new BadInput([`${path} holds ${shown(read)}; an object with view, side and landmarks is needed.`]);
  const { view, side, landmarks, calibration } = read;
  const faults: string[] = [];
  const known = filmViews.find((v) => v === view);
  if (!known) faults.push(`${path}: view is ${shown(view)}; it must be one of ${filmViews.join(', ')}.`);
  const said = side === 'left' || side === 'right' ? side : undefined;
  if (side !== said) faults.push(`${path}: side is ${shown(side)}; it must be left or right.`);
  const marks: { name: string; pixel: Pixel }[] = [];
  if (isObject(landmarks)) {
    for (const [name, at] of Object.entries(landmarks)) {
      const pixel = isObject(at) ? at.pixel : at;
      if (isPixel(pixel)) marks.push({ name, pixel });
      else faults.push(`${path}: landmarks.${name} is ${shown(at)}; a pixel [column, row] is needed.`);
    }
  } else faults.push(`${path}: landmarks is ${shown(landmarks)}; an object of marks by name is needed.`);
  if (faults.length > 0 || !known) throw new BadInput(faults);
  return { view: known, side: said, marks, calibrated: calibration !== undefined };
}
