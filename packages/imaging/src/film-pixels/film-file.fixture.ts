import dicomParser from 'dicom-parser';
import type { ByteRun, PixelSource, Samples } from './pixel-source.ts';

/** What a test wants of a film. */
export interface MadeFilm {
  readonly rows: number;
  readonly columns: number;
  readonly samples: Samples;
  readonly bitsStored: number;
  readonly signed?: boolean;
  readonly samplesPerPixel?: 1 | 3;
  readonly photometric?: string;
}

const explicitLittleEndian = '1.2.840.10008.1.2.1';

/** One element, explicit little endian (PS3.5 7.1.2). */
function element(group: number, number: number, kind: string, value: Uint8Array | string | number): Uint8Array {
  const raw =
    typeof value === 'number'
      ? kind === 'UL'
        ? Uint8Array.of(value, value >> 8, value >> 16, value >> 24)
        : Uint8Array.of(value, value >> 8)
      : typeof value === 'string'
        ? new TextEncoder().encode(value)
        : value;
  const long = kind === 'OW' || kind === 'OB';
  const length = raw.length + (raw.length % 2);
  const out = new Uint8Array((long ? 12 : 8) + length);
  if (length > raw.length && typeof value === 'string' && kind !== 'UI') out[out.length - 1] = 32;
  const view = new DataView(out.buffer);
  view.setUint16(0, group, true);
  view.setUint16(2, number, true);
  out.set(new TextEncoder().encode(kind), 4);
  if (long) view.setUint32(8, length, true);
  else view.setUint16(6, length, true);
  out.set(raw, long ? 12 : 8);
  return out;
}

const joined = (parts: readonly Uint8Array[]): Uint8Array => {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
};

/** A whole DICOM file of one made film (Secondary Capture), explicit little endian. */
export function filmFile(film: MadeFilm): Uint8Array {
  const { samples } = film;
  const bits = 8 * samples.BYTES_PER_ELEMENT;
  const meta = joined([
    element(2, 0x1, 'OB', Uint8Array.of(0, 1)),
    element(2, 0x2, 'UI', '1.2.840.10008.5.1.4.1.1.7'),
    element(2, 0x3, 'UI', '2.25.1'),
    element(2, 0x10, 'UI', explicitLittleEndian),
    element(2, 0x12, 'UI', '2.25.2'),
  ]);
  return joined([
    new Uint8Array(128),
    new TextEncoder().encode('DICM'),
    element(2, 0, 'UL', meta.length),
    meta,
    element(8, 0x16, 'UI', '1.2.840.10008.5.1.4.1.1.7'),
    element(8, 0x18, 'UI', '2.25.1'),
    element(8, 0x60, 'CS', 'OT'),
    element(8, 0x64, 'CS', 'WSD'),
    element(0x20, 0xd, 'UI', '2.25.3'),
    element(0x20, 0xe, 'UI', '2.25.4'),
    element(0x28, 0x2, 'US', film.samplesPerPixel ?? 1),
    element(0x28, 0x4, 'CS', film.photometric ?? 'MONOCHROME2'),
    ...(film.samplesPerPixel === 3 ? [element(0x28, 0x6, 'US', 0)] : []),
    element(0x28, 0x10, 'US', film.rows),
    element(0x28, 0x11, 'US', film.columns),
    element(0x28, 0x100, 'US', bits),
    element(0x28, 0x101, 'US', film.bitsStored),
    element(0x28, 0x102, 'US', film.bitsStored - 1),
    element(0x28, 0x103, 'US', film.signed ? 1 : 0),
    element(
      0x7fe0,
      0x10,
      bits === 8 ? 'OB' : 'OW',
      new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength),
    ),
  ]);
}

/** Where a film's picture lies in a file, read with a general parser; only for tests. */
export function sourceIn(bytes: Uint8Array): PixelSource {
  const tags = dicomParser.parseDicom(bytes);
  const pixels = tags.elements.x7fe00010!;
  const number = (tag: string) => tags.uint16(tag)!;
  const planar = tags.uint16('x00280006') === 1;
  return {
    data: bytes,
    rows: number('x00280010'),
    columns: number('x00280011'),
    bitsAllocated: number('x00280100') as 8 | 16,
    bitsStored: number('x00280101'),
    highBit: number('x00280102'),
    signed: number('x00280103') === 1,
    samplesPerPixel: number('x00280002') as 1 | 3,
    ...(planar ? { planes: true } : {}),
    photometric: tags.string('x00280004')!,
    transferSyntax: tags.string('x00020010')!,
    at: pixels.fragments
      ? {
          kind: 'encapsulated',
          fragments: pixels.fragments.map(({ position, length }): ByteRun => ({ offset: position, length })),
        }
      : { kind: 'native', offset: pixels.dataOffset, length: pixels.length },
  };
}

/** A picture like a film: smooth ramps and a disc with a soft rim, with noise of a fixed stream, in `bits` bits. */
export function filmLike(rows: number, columns: number, bits: number, { signed = false, noise = 4 } = {}): Samples {
  const most = 2 ** bits - 1;
  const Kind = bits <= 8 && !signed ? Uint8Array : signed ? Int16Array : Uint16Array;
  const out = new Kind(rows * columns);
  let state = 12345;
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      const away = Math.hypot(r - rows / 2, c - columns / 2) - Math.min(rows, columns) / 4;
      const disc = 1 / (1 + Math.exp(away));
      const share = 0.15 + 0.3 * (r / rows) + 0.1 * (c / columns) + 0.4 * disc;
      const value = Math.round(share * most + ((state >>> 16) / 65_536 - 0.5) * noise);
      out[r * columns + c] = Math.max(0, Math.min(most, value)) - (signed ? 2 ** (bits - 1) : 0);
    }
  }
  return out;
}
