import { deflateRawSync } from 'node:zlib';
import { joined, textBytes } from '../cube.fixture.ts';

/** A value: text, 16-bit numbers, bytes, items of a sequence, or pieces of compressed pixels. */
export type FixtureValue =
  | string
  | readonly number[]
  | Uint8Array
  | { readonly items: readonly FixtureSet[] }
  | { readonly pieces: readonly Uint8Array[] };
/** `ggggeeee` to VR and value. */
export type FixtureSet = Readonly<Record<string, readonly [vr: string, value: FixtureValue]>>;

export interface FixtureForm {
  readonly transferSyntax?: string;
  readonly preamble?: boolean;
  readonly meta?: boolean;
  readonly explicit?: boolean;
  readonly littleEndian?: boolean;
  /** Sequences and items end with marks instead of having lengths. */
  readonly marks?: boolean;
}

const forms: Readonly<Record<string, Pick<FixtureForm, 'explicit' | 'littleEndian'>>> = {
  '1.2.840.10008.1.2': { explicit: false, littleEndian: true },
  '1.2.840.10008.1.2.2': { explicit: true, littleEndian: false },
};
const longVr = /^(OB|OW|OF|SQ|UN|UT|OV)$/;

function number(value: number, bytes: 2 | 4, littleEndian: boolean): Uint8Array {
  const out = new Uint8Array(bytes);
  const view = new DataView(out.buffer);
  if (bytes === 2) view.setUint16(0, value, littleEndian);
  else view.setUint32(0, value, littleEndian);
  return out;
}

function tag(key: string, littleEndian: boolean): Uint8Array {
  const group = Number.parseInt(key.slice(0, 4), 16);
  return joined(number(group, 2, littleEndian), number(Number.parseInt(key.slice(4), 16), 2, littleEndian));
}

/** A data set by the letter of PS3.5 chapter 7, written without the code it tests. */
export function setBytes(
  set: FixtureSet,
  form: Required<Omit<FixtureForm, 'transferSyntax' | 'preamble' | 'meta'>>,
): Uint8Array {
  const { explicit, littleEndian, marks } = form;
  const u16 = (value: number) => number(value, 2, littleEndian);
  const u32 = (value: number) => number(value, 4, littleEndian);
  const marked = (key: string, length: number) => joined(tag(key, littleEndian), u32(length));
  const elements = Object.keys(set)
    .sort()
    .map((key) => {
      const [vr, value] = set[key]!;
      let body: Uint8Array;
      let length: number | undefined;
      if (typeof value === 'string') body = textBytes(value.length % 2 ? value + (vr === 'UI' ? '\0' : ' ') : value);
      else if (value instanceof Uint8Array) body = value;
      else if ('items' in value) {
        const items = value.items.map((item) => {
          const inner = setBytes(item, form);
          return marks
            ? joined(marked('fffee000', 0xffffffff), inner, marked('fffee00d', 0))
            : joined(marked('fffee000', inner.length), inner);
        });
        body = joined(...items, ...(marks ? [marked('fffee0dd', 0)] : []));
        if (marks) length = 0xffffffff;
      } else if ('pieces' in value) {
        const pieces = value.pieces.map((piece) => joined(marked('fffee000', piece.length), piece));
        body = joined(...pieces, marked('fffee0dd', 0));
        length = 0xffffffff;
      } else body = joined(...value.map(u16));
      const size = length ?? body.length;
      const head = !explicit
        ? u32(size)
        : longVr.test(vr)
          ? joined(textBytes(vr), new Uint8Array(2), u32(size))
          : joined(textBytes(vr), u16(size));
      return joined(tag(key, littleEndian), head, body);
    });
  return joined(...elements);
}

/** A DICOM file of the data set in a form. */
export function dicomFile(set: FixtureSet, form: FixtureForm = {}): Uint8Array {
  const { transferSyntax = '1.2.840.10008.1.2.1', preamble = true, meta = true, marks = false } = form;
  const { explicit = true, littleEndian = true } = { ...forms[transferSyntax], ...form };
  const metaSet: FixtureSet = {
    '00020001': ['OB', Uint8Array.of(0, 1)],
    '00020002': ['UI', typeof set['00080016']?.[1] === 'string' ? set['00080016'][1] : ''],
    '00020003': ['UI', '1.2.3'],
    '00020010': ['UI', transferSyntax],
    '00020012': ['UI', '1.2.3.4'],
  };
  const data = setBytes(set, { explicit, littleEndian, marks });
  const deflated = transferSyntax.endsWith('.99') ? new Uint8Array(deflateRawSync(data)) : data;
  return joined(
    preamble ? joined(new Uint8Array(128), textBytes('DICM')) : new Uint8Array(0),
    meta ? setBytes(metaSet, { explicit: true, littleEndian: true, marks: false }) : new Uint8Array(0),
    deflated,
  );
}

/** A small radiograph of 4 rows and 3 columns; `more` adds elements or replaces them. */
export const smallFilm = (more: FixtureSet = {}): FixtureSet => ({
  '00080008': ['CS', 'ORIGINAL\\PRIMARY'],
  '00080016': ['UI', '1.2.840.10008.5.1.4.1.1.1.1'],
  '00080018': ['UI', '1.2.3.4.5'],
  '00080060': ['CS', 'DX'],
  '00100010': ['PN', 'INVENTED^NAME'],
  '00100020': ['LO', 'ID-1234567'],
  '00100030': ['DA', '19500102'],
  '0020000d': ['UI', '1.2.3.4.6'],
  '0020000e': ['UI', '1.2.3.4.7'],
  '00280002': ['US', [1]],
  '00280004': ['CS', 'MONOCHROME2'],
  '00280010': ['US', [4]],
  '00280011': ['US', [3]],
  '00280100': ['US', [16]],
  '00280101': ['US', [12]],
  '00280102': ['US', [11]],
  '00280103': ['US', [0]],
  '7fe00010': ['OW', [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 4095]],
  ...more,
});

/** Without some of the elements. */
export const without = (set: FixtureSet, ...keys: readonly string[]): FixtureSet =>
  Object.fromEntries(Object.entries(set).filter(([key]) => !keys.includes(key)));

export const codedItem = (value: string, scheme: string, meaning: string): FixtureSet => ({
  '00080100': ['SH', value],
  '00080102': ['SH', scheme],
  '00080104': ['LO', meaning],
});

/** Sequences within sequences, `depth` of them. */
export const nested = (depth: number): FixtureSet =>
  depth === 0 ? codedItem('1', 'DCM', 'x') : { '00081140': ['SQ', { items: [nested(depth - 1)] }] };
