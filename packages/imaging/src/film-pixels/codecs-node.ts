import { type CompiledDecoder, codecsFrom, type StartDecoder } from './codec-loading.ts';
import type { Codecs } from './codecs.ts';

/** A start function that finds its own compiled file beside itself, as it does in Node. */
const inNode = async (module: Promise<{ readonly default: StartDecoder }>): Promise<CompiledDecoder> => ({
  start: (await module).default,
});

/** The decoders for Node: command line, server and tests. A browser gives `codecsFrom` the addresses of its own copies. */
export const codecsNode: Codecs = codecsFrom({
  jpeg: () => inNode(import('@cornerstonejs/codec-libjpeg-turbo-8bit/decodewasmjs')),
  jpeg2000: () => inNode(import('@cornerstonejs/codec-openjpeg/decodewasmjs')),
});
