import { err, ok, type Result } from '@kerfline/geometry';
import { isFrame, type JpegFrame, onlyFrameIn, type Segment, segmentAt } from './jpeg-header.ts';
import type { Wanted, Watch } from './jpeg-lossless.ts';
import { type Coding, JpegLsScanner } from './jpeg-ls-scan.ts';
import type { PixelError } from './pixel-error.ts';

/** A decoded JPEG-LS picture. */
export interface JpegLsPicture {
  /** Components of a pixel together; unsigned. */
  readonly samples: Uint16Array;
  /** Greatest difference that coding may have made; 0 is lossless. */
  readonly near: number;
}

/** @numerical Rows between two reports of progress. */
const rowsTogether = 64;

/** Preset coding parameters (T.87 C.2.4.1.1); 0 stands for the usual one. */
interface Preset {
  readonly greatest: number;
  readonly thresholds: readonly [number, number, number];
  readonly reset: number;
}
const usual: Preset = { greatest: 0, thresholds: [0, 0, 0], reset: 0 };

/**
 * Decodes JPEG-LS, lossless and near-lossless, 2 to 16 bits; one component after the other or line by line
 * (ITU-T T.87).
 */
export function decodeJpegLs(bytes: Uint8Array, wanted: Wanted, watch: Watch = {}): Result<JpegLsPicture, PixelError> {
  let frame: JpegFrame | undefined;
  let samples: Uint16Array | undefined;
  let preset = usual;
  let near = 0;
  let missing = new Set<number>();
  let at = 0;
  for (;;) {
    const segment = segmentAt(bytes, at);
    if (!segment.ok) return segment;
    const { marker, from, to } = segment.value;
    at = to;
    if (isFrame(marker)) {
      // A row takes at least a bit of each component.
      const least = Math.ceil((wanted.rows * wanted.components) / 8);
      const read = onlyFrameIn(bytes, segment.value, frame, (found) => refusal(found, wanted), least);
      if (!read.ok) return read;
      frame = read.value;
      samples = new Uint16Array(wanted.rows * wanted.columns * wanted.components);
      missing = new Set(frame.components.map((_, i) => i));
    } else if (marker === 0xf8) {
      const read = presetIn(bytes, segment.value);
      if (!read.ok) return read;
      preset = read.value;
    } else if (marker === 0xdd) {
      return err({
        kind: 'not-supported',
        what: 'kind of JPEG-LS',
        found: 'one with restart intervals',
        needed: 'one without',
      });
    } else if (marker === 0xda) {
      if (!frame || !samples) return err({ kind: 'corrupt', what: 'a scan before the frame header', byte: from });
      const scan = scanIn(bytes, segment.value, frame, preset);
      if (!scan.ok) return scan;
      near = Math.max(near, scan.value.coding.near);
      const end = decodeScan(bytes, scan.value, frame, samples, watch);
      if (!end.ok) return end;
      for (const place of scan.value.places) missing.delete(place);
      if (missing.size === 0) return ok({ samples, near });
      at = end.value;
    } else if (marker === 0xd9) {
      return err({
        kind: 'truncated',
        counted: 'components',
        found: wanted.components - missing.size,
        needed: wanted.components,
      });
    }
  }
}

function refusal(frame: JpegFrame, wanted: Wanted): PixelError | undefined {
  if (frame.marker !== 0xf7)
    return { kind: 'not-supported', what: 'kind of JPEG', found: `SOF${frame.marker - 0xc0}`, needed: 'JPEG-LS' };
  const pairs = [
    ['rows', frame.rows, wanted.rows],
    ['columns', frame.columns, wanted.columns],
    ['components', frame.components.length, wanted.components],
  ] as const;
  for (const [what, found, needed] of pairs) if (found !== needed) return { kind: 'disagrees', what, found, needed };
  if (!(frame.precision >= 2 && frame.precision <= wanted.mostBits))
    return { kind: 'disagrees', what: 'bits', found: frame.precision, needed: wanted.mostBits };
  return undefined;
}

function presetIn(bytes: Uint8Array, { from, to }: Segment): Result<Preset, PixelError> {
  if (bytes[from] !== 1)
    return err({
      kind: 'not-supported',
      what: 'kind of JPEG-LS',
      found: `parameters of type ${bytes[from]}`,
      needed: 'type 1',
    });
  if (to - from < 11) return err({ kind: 'corrupt', what: 'the parameters are cut off', byte: from });
  const word = (i: number) => (bytes[from + 1 + 2 * i]! << 8) | bytes[from + 2 + 2 * i]!;
  return ok({ greatest: word(0), thresholds: [word(1), word(2), word(3)], reset: word(4) });
}

interface Scan {
  readonly places: readonly number[];
  readonly coding: Coding;
  readonly from: number;
}

function scanIn(bytes: Uint8Array, { from, to }: Segment, frame: JpegFrame, preset: Preset): Result<Scan, PixelError> {
  const count = bytes[from] ?? 0;
  if (count < 1 || count > 4 || to - from < 4 + 2 * count)
    return err({ kind: 'corrupt', what: 'the scan header is too short', byte: from });
  const places: number[] = [];
  for (let i = 0; i < count; i++) {
    const at = from + 1 + 2 * i;
    const place = frame.components.findIndex(({ id }) => id === bytes[at]);
    if (place < 0 || places.includes(place))
      return err({ kind: 'corrupt', what: 'a scan of an unknown component', byte: at });
    if (bytes[at + 1] !== 0)
      return err({
        kind: 'not-supported',
        what: 'kind of JPEG-LS',
        found: 'one with mapping tables',
        needed: 'one without',
      });
    places.push(place);
  }
  const near = bytes[from + 1 + 2 * count]!;
  const interleaving = bytes[from + 2 + 2 * count]!;
  if (interleaving > 2 || (count > 1 && interleaving === 0))
    return err({ kind: 'corrupt', what: 'an unknown order of components', byte: from });
  if (bytes[from + 3 + 2 * count] !== 0)
    return err({
      kind: 'not-supported',
      what: 'kind of JPEG-LS',
      found: 'one with a point transform',
      needed: 'one without',
    });
  const coding = codingOf(frame.precision, near, preset);
  if (!coding) return err({ kind: 'corrupt', what: 'parameters that no picture has', byte: from });
  return ok({ places, coding: { ...coding, together: interleaving === 2 && count > 1 }, from: to });
}

/** Parameters of a scan: those that were set, or the usual ones (T.87 C.2.4.1.1). */
function codingOf(precision: number, near: number, preset: Preset): Omit<Coding, 'together'> | undefined {
  const greatest = preset.greatest || 2 ** precision - 1;
  if (greatest >= 2 ** precision || near > Math.min(255, greatest >> 1)) return undefined;
  const within = (value: number, least: number) => (value > greatest || value < least ? least : value);
  const factor = greatest >= 128 ? (Math.min(greatest, 4095) + 128) >> 8 : Math.floor(256 / (greatest + 1));
  const basic = (base: number, floor: number, nears: number) =>
    greatest >= 128
      ? factor * (base - floor) + floor + nears * near
      : Math.max(floor, Math.floor(base / factor) + nears * near);
  const t1 = preset.thresholds[0] || within(basic(3, 2, 3), near + 1);
  const t2 = preset.thresholds[1] || within(basic(7, 3, 5), t1);
  const t3 = preset.thresholds[2] || within(basic(21, 4, 7), t2);
  if (!(near + 1 <= t1 && t1 <= t2 && t2 <= t3 && t3 <= greatest)) return undefined;
  const reset = preset.reset || 64;
  if (reset < 3 || reset > Math.max(255, greatest)) return undefined;
  return { greatest, near, thresholds: [t1, t2, t3], reset };
}

/** Decodes the lines of one scan into `samples`; the byte behind its data. */
function decodeScan(
  bytes: Uint8Array,
  { places, coding, from }: Scan,
  { rows, columns, components }: JpegFrame,
  samples: Uint16Array,
  { progress, stop }: Watch,
): Result<number, PixelError> {
  const scanner = new JpegLsScanner(bytes, from, coding, columns, places.length);
  const step = components.length;
  for (let row = 0; row < rows; row++) {
    if (!scanner.nextRow())
      return err({ kind: 'corrupt', what: `a code that does not exist, in row ${row + 1}`, byte: scanner.at });
    if (scanner.spent) return err({ kind: 'truncated', counted: 'rows', found: row, needed: rows });
    places.forEach((place, k) => {
      const line = scanner.line(k);
      const first = row * columns * step + place;
      for (let x = 0; x < columns; x++) samples[first + x * step] = line[x + 1]!;
    });
    if (row % rowsTogether === rowsTogether - 1) {
      if (stop?.()) return err({ kind: 'stopped' });
      progress?.((row + 1) / rows);
    }
  }
  return ok(scanner.end());
}
