import jpegBytes from '@cornerstonejs/codec-libjpeg-turbo-8bit/decodewasm?url';
import jpeg2000Bytes from '@cornerstonejs/codec-openjpeg/decodewasm?url';
import { type Codecs, type CompiledDecoder, codecsFrom, type StartDecoder } from '@kerfline/imaging';

/** A decoder from its own file, fetched when a film needs it. */
async function fetched(module: Promise<{ readonly default: StartDecoder }>, bytes: string): Promise<CompiledDecoder> {
  const [{ default: start }, answer] = await Promise.all([module, fetch(bytes)]);
  return { start, wasm: new Uint8Array(await answer.arrayBuffer()) };
}

/** The decoders of this page. */
export const codecsHere: Codecs = codecsFrom({
  jpeg: () => fetched(import('@cornerstonejs/codec-libjpeg-turbo-8bit/decodewasmjs'), jpegBytes),
  jpeg2000: () => fetched(import('@cornerstonejs/codec-openjpeg/decodewasmjs'), jpeg2000Bytes),
});
