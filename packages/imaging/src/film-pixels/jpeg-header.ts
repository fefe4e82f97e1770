import { err, ok, type Result } from '@kerfline/geometry';
import type { PixelError } from './pixel-error.ts';

/** The frame header of a JPEG or JPEG-LS stream (ITU-T T.81 B.2.2, T.87 C.2.2). */
export interface JpegFrame {
  /** Second byte of the frame marker: C0 baseline, C1 extended, C3 lossless, F7 JPEG-LS ... */
  readonly marker: number;
  readonly precision: number;
  readonly rows: number;
  readonly columns: number;
  readonly components: readonly { readonly id: number; readonly across: number; readonly down: number }[];
}

const frameMarkers = new Set([0xc0, 0xc1, 0xc2, 0xc3, 0xc5, 0xc6, 0xc7, 0xc9, 0xca, 0xcb, 0xcd, 0xce, 0xcf, 0xf7]);

/** One segment of markers: its marker, the first byte of its content and the byte behind it. */
export interface Segment {
  readonly marker: number;
  readonly from: number;
  readonly to: number;
}

/** The marker segment at `at`, fill bytes passed over; markers without content have `from` = `to`. */
export function segmentAt(bytes: Uint8Array, at: number): Result<Segment, PixelError> {
  if (bytes[at] !== 0xff) return err({ kind: 'corrupt', what: 'a marker was expected', byte: at });
  let place = at;
  while (bytes[place] === 0xff) place += 1;
  const marker = bytes[place];
  if (marker === undefined) return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: place + 1 });
  const from = place + 1;
  if (marker === 0xd8 || marker === 0xd9 || (marker >= 0xd0 && marker <= 0xd7) || marker === 0x01)
    return ok({ marker, from, to: from });
  if (from + 2 > bytes.length)
    return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: from + 2 });
  const length = (bytes[from]! << 8) | bytes[from + 1]!;
  if (length < 2) return err({ kind: 'corrupt', what: 'a segment is shorter than its own length', byte: from });
  if (from + length > bytes.length)
    return err({ kind: 'truncated', counted: 'bytes', found: bytes.length, needed: from + length });
  return ok({ marker, from: from + 2, to: from + length });
}

/** The frame that the content of a frame marker states. */
export function frameIn(bytes: Uint8Array, segment: Segment): Result<JpegFrame, PixelError> {
  const { marker, from, to } = segment;
  const count = bytes[from + 5] ?? 0;
  if (to - from < 6 + 3 * count || count === 0)
    return err({ kind: 'corrupt', what: 'the frame header is too short', byte: from });
  const components = Array.from({ length: count }, (_, i) => {
    const at = from + 6 + 3 * i;
    return { id: bytes[at]!, across: bytes[at + 1]! >> 4, down: bytes[at + 1]! & 15 };
  });
  const word = (at: number) => (bytes[at]! << 8) | bytes[at + 1]!;
  return ok({ marker, precision: bytes[from]!, rows: word(from + 1), columns: word(from + 3), components });
}

/**
 * The only frame header of a picture, with room for its pixels in what follows.
 *
 * @param before a frame header that was read already
 * @param refusal what a decoder does not take
 * @param leastBytes what so many pixels take at least: a shorter stream is refused before room is made for them
 */
export function onlyFrameIn(
  bytes: Uint8Array,
  segment: Segment,
  before: JpegFrame | undefined,
  refusal: (frame: JpegFrame) => PixelError | undefined,
  leastBytes: number,
): Result<JpegFrame, PixelError> {
  if (before) return err({ kind: 'corrupt', what: 'a second frame header', byte: segment.from });
  const read = frameIn(bytes, segment);
  if (!read.ok) return read;
  const refused = refusal(read.value);
  if (refused) return err(refused);
  const found = bytes.length - segment.to;
  return found < leastBytes ? err({ kind: 'truncated', counted: 'bytes', found, needed: leastBytes }) : read;
}

export const isFrame = (marker: number): boolean => frameMarkers.has(marker);

/** Reads as far as the first frame header, without decoding. */
export function jpegFrame(bytes: Uint8Array): Result<JpegFrame, PixelError> {
  let at = 0;
  for (;;) {
    const segment = segmentAt(bytes, at);
    if (!segment.ok) return segment;
    if (isFrame(segment.value.marker)) return frameIn(bytes, segment.value);
    if (segment.value.marker === 0xda || segment.value.marker === 0xd9)
      return err({ kind: 'corrupt', what: 'there is no frame header before the picture', byte: at });
    at = segment.value.to;
  }
}
