import { readFileSync } from 'node:fs';
import { readCaseFile, replay, workCase } from '@kerfline/cases';
import { type CutName, contactsOf } from '@kerfline/knee';
import { cutPicture, type Mark } from '@kerfline/sheets';
import { expect, it } from 'vitest';
import { schematicPictures } from './schematic-pictures.ts';

const example = readFileSync(new URL('../../../examples/reference-left-knee.kerf.json', import.meta.url), 'utf8');
const read = readCaseFile(example);
if (!read.ok) throw new Error(JSON.stringify(read.error));
const worked = workCase(replay(read.value.ledger), read.value.blobs);
if (!worked.ok) throw new Error(JSON.stringify(worked.error));
const { leg, proof } = worked.value;
const pictures = schematicPictures()(leg);

const flat = (marks: readonly Mark[]): readonly Mark[] =>
  marks.flatMap((mark) => (mark.kind === 'group' ? flat(mark.marks) : [mark]));

// Bones of people: the end of a femur is 58 to 95 mm wide, a plateau 60 to 95 (common practice, no source); contacts of this leg
// are stated as 48 mm apart, medial at the left of whoever faces a left knee.
it.each([
  { cut: 'distalFemur', width: [50, 95] },
  { cut: 'posteriorFemur', width: [50, 95] },
  { cut: 'tibia', width: [55, 95] },
] as const)('stands for the bone under the $cut cut at the size of a bone', ({ cut, width }) => {
  expect(contactsOf(cut as CutName)).toBeDefined();
  const drawing = cutPicture(cut, proof.cuts[cut]!.plane!, leg, proof, pictures)!;
  expect(drawing.label).toContain('schematic');
  const marks = flat(drawing.marks);
  const xs = marks.flatMap((mark) =>
    mark.kind === 'path' && mark.fill === 'hatch' ? mark.points.map(([x]) => x) : [],
  );
  const across = Math.max(...xs) - Math.min(...xs);
  expect(across).toBeGreaterThan(width[0]);
  expect(across).toBeLessThan(width[1]);
  const letters = marks.flatMap((mark) => (mark.kind === 'letter' ? [[mark.letter, mark.at[0]] as const] : []));
  const at = new Map(letters);
  expect(Math.abs(at.get('L')! - at.get('M')! - 48)).toBeLessThan(6);
});
