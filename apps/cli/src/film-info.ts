import { randomUUID } from 'node:crypto';
import { basename } from 'node:path';
import { type TakenFilm, takenFilm } from '@kerfline/cases';
import { doubt, type Finding } from '@kerfline/geometry';
import {
  decodePixels,
  exposure,
  exposureText,
  filmLengthText,
  pixelErrorText,
  pixelSourceOf,
  readFilmHeader,
  readPicture,
} from '@kerfline/imaging';
import { codecsNode } from '@kerfline/imaging/codecs-node';
import { must } from './bad-input.ts';
import { bytesOf } from './files.ts';
import { findingsText } from './findings-text.ts';

const sideText: Readonly<Record<TakenFilm['facts']['sideTag'], string>> = {
  left: 'The file says it shows the LEFT side.',
  right: 'The file says it shows the RIGHT side.',
  both: 'The file says it shows both sides.',
  none: 'The file names no side.',
};

const spacingText = ({ spacing }: TakenFilm['facts']['length']): string =>
  spacing ? `, a pixel of ${spacing.columnMm} mm across and ${spacing.rowMm} mm down` : '';

/** Names with how often each occurs, in their order. */
const counted = (names: readonly string[]): string =>
  [...new Set(names)]
    .map((name) => {
      const n = names.filter((other) => other === name).length;
      return n === 1 ? name : `${name} (${n})`;
    })
    .join(', ');

/** What the pixels of a film say: that they cannot be read, or that they were not well exposed. */
async function pixelFindings(bytes: Uint8Array, kind: TakenFilm['facts']['kind']): Promise<readonly Finding[]> {
  const header = kind === 'dicom' ? readFilmHeader(bytes) : undefined;
  const read = header?.ok
    ? await decodePixels(pixelSourceOf(header.value), codecsNode)
    : await readPicture(bytes, codecsNode);
  if (!read.ok) return [doubt('pixels-not-read', `Its pixels cannot be read: ${pixelErrorText(read.error)}`)];
  const said = exposureText(exposure(read.value));
  return said === undefined ? [] : [doubt('exposure', said)];
}

/** What a film's file is, what may be measured on it, and what in it identifies a person. Nothing of that is printed itself. */
export async function filmInfoCommand(path: string, options: { readonly json?: boolean }): Promise<string> {
  // Nothing is kept, so that the secret may be any.
  const bytes = await bytesOf(path, 'The film');
  const { facts, removed, findings } = must(takenFilm(bytes, basename(path), randomUUID()));
  const { kind, columns, rows, length, sideTag, stitched, sourceToDetectorMm } = facts;
  const all = [...findings, ...facts.findings, ...length.findings, ...(await pixelFindings(bytes, kind))];
  if (options.json) {
    return JSON.stringify(
      {
        file: path,
        kind,
        columns,
        rows,
        length: {
          state: length.state,
          spacing: length.spacing,
          ...(length.offered ? { offered: length.offered } : {}),
          description: length.description,
        },
        sideTag,
        stitched,
        ...(sourceToDetectorMm === undefined ? {} : { sourceToDetectorMm }),
        identifies: removed,
        findings: all,
      },
      null,
      2,
    );
  }
  return [
    `${path}: ${kind === 'dicom' ? 'a radiograph, DICOM' : 'a picture'}, ${columns} columns and ${rows} rows${spacingText(length)}${stitched ? ', put together from several exposures' : ''}.`,
    `Lengths: ${length.state}. ${filmLengthText(length).join(' ')}`,
    'Angles may be measured whatever the lengths are.',
    sideText[sideTag],
    kind === 'picture'
      ? 'What would identify a person in a picture file is not looked for.'
      : removed.length === 0
        ? 'Nothing in its attributes identifies a person.'
        : `A case keeps it without ${removed.length} attributes that identify or may do so: ${counted(removed.map((r) => r.name))}.`,
    ...(all.length > 0 ? ['', findingsText(all)] : []),
  ].join('\n');
}
