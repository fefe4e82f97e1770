import { err, ok, type Result } from '@kerfline/geometry';
import type { Decoder } from './codecs.ts';
import type { PixelError } from './pixel-error.ts';

/** What the stream's own header, read by us, promised. */
export interface Promised {
  readonly rows: number;
  readonly columns: number;
  readonly bits: number;
  readonly components: number;
}

/**
 * Runs one decoder on one stream. Whatever it throws becomes an error, its memory is given back, and what it says of
 * itself must be what the header said.
 *
 * @returns the decoder's bytes, copied out of its memory
 */
export async function runCodec(
  name: string,
  load: () => Promise<Decoder>,
  bytes: Uint8Array,
  promised: Promised,
): Promise<Result<Uint8Array, PixelError>> {
  let decoder: Decoder | undefined;
  try {
    decoder = await load();
    decoder.getEncodedBuffer(bytes.length).set(bytes);
    decoder.decode();
    const info = decoder.getFrameInfo();
    const pairs = [
      ['rows', info.height, promised.rows],
      ['columns', info.width, promised.columns],
      ['components', info.componentCount, promised.components],
    ] as const;
    for (const [what, found, needed] of pairs)
      if (found !== needed) return err({ kind: 'disagrees', what, found, needed });
    const decoded = decoder.getDecodedBuffer();
    const needed = promised.rows * promised.columns * promised.components * (promised.bits > 8 ? 2 : 1);
    if (decoded.length !== needed) return err({ kind: 'truncated', counted: 'bytes', found: decoded.length, needed });
    // A copy, since the memory goes; some decoders give a clamped array.
    return ok(new Uint8Array(decoded));
  } catch (thrown) {
    return err({ kind: 'decoder-failed', decoder: name, said: wordsOf(thrown) });
  } finally {
    try {
      decoder?.delete();
    } catch {
      // A decoder that aborted cannot be taken apart; its memory goes with it.
    }
  }
}

/** What a decoder throws may be an error, a bare number or an object without words. */
const wordsOf = (thrown: unknown): string =>
  thrown instanceof Error && thrown.message ? thrown.message.slice(0, 200) : 'the stream is damaged';
