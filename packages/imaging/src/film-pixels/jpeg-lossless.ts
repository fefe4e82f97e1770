import { err, ok, type Result } from '@kerfline/geometry';
import { type DifferenceTable, differenceTable, extended, lookBits } from './huffman-table.ts';
import { isFrame, type JpegFrame, onlyFrameIn, type Segment, segmentAt } from './jpeg-header.ts';
import type { PixelError } from './pixel-error.ts';

/** What is asked of a stream before room is made for it. */
export interface Wanted {
  readonly rows: number;
  readonly columns: number;
  readonly components: number;
  readonly mostBits: number;
}

export interface Watch {
  /** Told the share that is done, 0 to 1, every few rows. */
  readonly progress?: ((share: number) => void) | undefined;
  /** Asked every few rows; true ends the work. */
  readonly stop?: (() => boolean) | undefined;
}

/** @numerical Rows between two reports of progress. */
const rowsTogether = 64;

interface Scan {
  /** Places of the scan's components within a pixel. */
  readonly places: readonly number[];
  readonly tables: readonly DifferenceTable[];
  readonly predictor: number;
  readonly pointTransform: number;
  readonly from: number;
}

/**
 * Decodes lossless JPEG, process 14: Huffman codes, predictors 1 to 7, 2 to 16 bits (ITU-T T.81 Annex H).
 *
 * @returns samples in the order of the picture, components of a pixel together; unsigned, in 16 bits each
 */
export function decodeJpegLossless(
  bytes: Uint8Array,
  wanted: Wanted,
  watch: Watch = {},
): Result<Uint16Array, PixelError> {
  const tables: (DifferenceTable | undefined)[] = [];
  let frame: JpegFrame | undefined;
  let out: Uint16Array | undefined;
  let restart = 0;
  let missing = new Set<number>();
  let at = 0;
  for (;;) {
    const segment = segmentAt(bytes, at);
    if (!segment.ok) return segment;
    const { marker, from, to } = segment.value;
    at = to;
    if (isFrame(marker)) {
      // The shortest code is one bit.
      const least = Math.ceil((wanted.rows * wanted.columns * wanted.components) / 8);
      const read = onlyFrameIn(bytes, segment.value, frame, (found) => refusal(found, wanted), least);
      if (!read.ok) return read;
      frame = read.value;
      out = new Uint16Array(wanted.rows * wanted.columns * wanted.components);
      missing = new Set(frame.components.map((_, i) => i));
    } else if (marker === 0xc4) {
      const done = readTables(bytes, segment.value, tables);
      if (!done.ok) return done;
    } else if (marker === 0xdd) {
      if (to - from < 2) return err({ kind: 'corrupt', what: 'a restart interval without a number', byte: from });
      restart = (bytes[from]! << 8) | bytes[from + 1]!;
    } else if (marker === 0xda) {
      if (!frame || !out) return err({ kind: 'corrupt', what: 'a scan before the frame header', byte: from });
      const scan = scanIn(bytes, segment.value, frame, tables);
      if (!scan.ok) return scan;
      const end = decodeScan(bytes, scan.value, frame, restart, out, watch);
      if (!end.ok) return end;
      for (const place of scan.value.places) missing.delete(place);
      if (missing.size === 0) return ok(out);
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
  if (frame.marker !== 0xc3)
    return {
      kind: 'not-supported',
      what: 'kind of JPEG',
      found: `SOF${frame.marker - 0xc0}`,
      needed: 'lossless with Huffman codes (SOF3)',
    };
  const pairs = [
    ['rows', frame.rows, wanted.rows],
    ['columns', frame.columns, wanted.columns],
    ['components', frame.components.length, wanted.components],
  ] as const;
  for (const [what, found, needed] of pairs) if (found !== needed) return { kind: 'disagrees', what, found, needed };
  if (!(frame.precision >= 2 && frame.precision <= wanted.mostBits))
    return { kind: 'disagrees', what: 'bits', found: frame.precision, needed: wanted.mostBits };
  if (frame.components.length > 1 && frame.components.some(({ across, down }) => across !== 1 || down !== 1))
    return {
      kind: 'not-supported',
      what: 'sampling of a component',
      found: 'coarser than the picture',
      needed: 'one sample a pixel',
    };
  return undefined;
}

function readTables(
  bytes: Uint8Array,
  { from, to }: Segment,
  tables: (DifferenceTable | undefined)[],
): Result<void, PixelError> {
  let at = from;
  while (at < to) {
    const place = bytes[at]!;
    if (place > 3) return err({ kind: 'corrupt', what: 'a table of codes that lossless JPEG has not', byte: at });
    const table = differenceTable(bytes, at + 1, to);
    if (!table.ok) return table;
    tables[place] = table.value;
    at += 17 + table.value.values.length;
  }
  return ok(undefined);
}

function scanIn(
  bytes: Uint8Array,
  { from, to }: Segment,
  frame: JpegFrame,
  tables: readonly (DifferenceTable | undefined)[],
): Result<Scan, PixelError> {
  const count = bytes[from] ?? 0;
  if (count < 1 || count > 4 || to - from < 4 + 2 * count)
    return err({ kind: 'corrupt', what: 'the scan header is too short', byte: from });
  const places: number[] = [];
  const chosen: DifferenceTable[] = [];
  for (let i = 0; i < count; i++) {
    const at = from + 1 + 2 * i;
    const place = frame.components.findIndex(({ id }) => id === bytes[at]);
    const table = tables[bytes[at + 1]! >> 4];
    if (place < 0 || places.includes(place))
      return err({ kind: 'corrupt', what: 'a scan of an unknown component', byte: at });
    if (!table) return err({ kind: 'corrupt', what: 'a scan without its table of codes', byte: at });
    places.push(place);
    chosen.push(table);
  }
  const predictor = bytes[from + 1 + 2 * count]!;
  const pointTransform = bytes[from + 3 + 2 * count]! & 15;
  if (predictor < 1 || predictor > 7)
    return err({ kind: 'not-supported', what: 'predictor', found: `${predictor}`, needed: '1 to 7' });
  if (pointTransform >= frame.precision) return err({ kind: 'corrupt', what: 'all bits are shifted out', byte: from });
  return ok({ places, tables: chosen, predictor, pointTransform, from: to });
}

/** The bits of one scan, taken from the left; stuffed zero bytes are passed over (T.81 F.1.2.3). */
class Bits {
  readonly bytes: Uint8Array;
  at: number;
  /** The lowest `count` bits are still to be used. */
  held = 0;
  count = 0;
  /** Bits that were made up behind the end of the data. */
  made = 0;

  constructor(bytes: Uint8Array, at: number) {
    this.bytes = bytes;
    this.at = at;
  }

  /** Holds at least 25 bits afterwards. Behind the data zeros follow; `made` counts them. */
  fill(): void {
    const { bytes } = this;
    let { at, held, count } = this;
    while (count <= 24) {
      let byte = at < bytes.length ? bytes[at]! : -1;
      if (byte === 0xff) {
        if (bytes[at + 1] === 0) at += 2;
        else byte = -1;
      } else if (byte >= 0) at += 1;
      if (byte < 0) {
        byte = 0;
        this.made += 8;
      }
      held = (held << 8) | byte;
      count += 8;
    }
    this.at = at;
    this.held = held;
    this.count = count;
  }

  /** Whether more bits were used than there were. */
  get spent(): boolean {
    return this.made > 0 && this.count < this.made;
  }

  /** Goes to the next byte, where a marker is due. */
  align(): void {
    // Whole bytes that were read ahead lie before `at`; a marker stops reading ahead, so none do here.
    this.held = 0;
    this.count = 0;
    this.made = 0;
  }
}

/** A difference whose code and bits are too long for the quick table, or -100,000 for a code that does not exist. */
function longDifference(bits: Bits, table: DifferenceTable): number {
  bits.fill();
  let code = 0;
  for (let length = 1; length <= 16; length++) {
    code = (bits.held >>> (bits.count - length)) & ((1 << length) - 1);
    if (code <= table.greatest[length]!) {
      bits.count -= length;
      const size = table.values[table.shift[length]! + code]!;
      if (size === 0 || size === 16) return extended(size, 0);
      bits.fill();
      bits.count -= size;
      return extended(size, (bits.held >>> bits.count) & ((1 << size) - 1));
    }
  }
  return -100_000;
}

/** Decodes one scan into `out`; the byte behind its data. */
function decodeScan(
  bytes: Uint8Array,
  scan: Scan,
  frame: JpegFrame,
  restart: number,
  out: Uint16Array,
  { progress, stop }: Watch,
): Result<number, PixelError> {
  const { rows, columns } = frame;
  if (restart % columns !== 0)
    return err({ kind: 'corrupt', what: 'a restart interval that is no whole number of rows', byte: scan.from });
  const restartRows = restart / columns;
  const bits = new Bits(bytes, scan.from);
  const step = frame.components.length;
  const width = columns * step;
  let expected = 0;
  for (let row = 0; row < rows; row++) {
    let fresh = row === 0;
    if (restartRows > 0 && row > 0 && row % restartRows === 0) {
      bits.align();
      const marker = segmentAt(bytes, bits.at);
      if (!marker.ok) return marker;
      if (marker.value.marker !== 0xd0 + expected)
        return err({ kind: 'corrupt', what: 'a restart marker is missing', byte: bits.at });
      expected = (expected + 1) & 7;
      bits.at = marker.value.to;
      fresh = true;
    }
    if (!decodeRow(bits, scan, frame.precision, out, row * width, width, step, fresh))
      return err({ kind: 'corrupt', what: `a code that does not exist, in row ${row + 1}`, byte: bits.at });
    if (bits.spent) return err({ kind: 'truncated', counted: 'rows', found: row, needed: rows });
    if (row % rowsTogether === rowsTogether - 1) {
      if (stop?.()) return err({ kind: 'stopped' });
      progress?.((row + 1) / rows);
    }
  }
  if (scan.pointTransform > 0) {
    for (const place of scan.places)
      for (let i = place; i < out.length; i += step) out[i] = out[i]! << scan.pointTransform;
  }
  return ok(bits.at);
}

/** Decodes one row of the scan's components; false when a code does not exist. Names of the neighbours as in T.81 H.1.2.1. */
function decodeRow(
  bits: Bits,
  scan: Scan,
  precision: number,
  out: Uint16Array,
  from: number,
  width: number,
  step: number,
  fresh: boolean,
): boolean {
  const { places, tables, pointTransform } = scan;
  const single = places.length === 1;
  // In the first row, and after a restart, the sample before is the prediction.
  const predictor = fresh ? 1 : scan.predictor;
  for (let x = 0; x < width; x += step) {
    for (let k = 0; k < places.length; k++) {
      const i = from + x + (single ? places[0]! : places[k]!);
      const table = single ? tables[0]! : tables[k]!;
      if (bits.count < lookBits) bits.fill();
      const entry = table.quick[(bits.held >>> (bits.count - lookBits)) & ((1 << lookBits) - 1)]!;
      let difference: number;
      if (entry !== 0) {
        bits.count -= entry & 31;
        difference = entry >> 5;
      } else {
        difference = longDifference(bits, table);
        if (difference === -100_000) return false;
      }
      let prediction: number;
      if (x === 0) prediction = fresh ? 1 << (precision - pointTransform - 1) : out[i - width]!;
      else if (predictor === 1) prediction = out[i - step]!;
      else {
        const a = out[i - step]!;
        const b = out[i - width]!;
        const c = out[i - width - step]!;
        prediction =
          predictor === 2
            ? b
            : predictor === 3
              ? c
              : predictor === 4
                ? a + b - c
                : predictor === 5
                  ? a + ((b - c) >> 1)
                  : predictor === 6
                    ? b + ((a - c) >> 1)
                    : (a + b) >> 1;
      }
      out[i] = prediction + difference;
    }
  }
  return true;
}
