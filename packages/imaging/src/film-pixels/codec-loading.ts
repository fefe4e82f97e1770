import type { Codecs, Decoder } from './codecs.ts';

type DecoderName = 'JPEGDecoder' | 'J2KDecoder';

/** What one of the two compiled decoders makes when it starts. */
type Started = { readonly [name in DecoderName]?: new () => Decoder };

/** The start function of a compiled decoder (its `decodewasmjs` entry). */
export type StartDecoder = (options: {
  readonly wasmBinary?: Uint8Array;
  readonly print: (text: string) => void;
  readonly printErr: (text: string) => void;
}) => Promise<Started>;

/** Start function and compiled bytes of one decoder; without bytes it looks for them beside itself, which works in Node. */
export interface CompiledDecoder {
  readonly start: StartDecoder;
  readonly wasm?: Uint8Array;
}

/** Decoders from what the caller loads. It is asked anew for each picture, and keeps what it likes to keep. */
export function codecsFrom(load: {
  readonly jpeg: () => Promise<CompiledDecoder>;
  readonly jpeg2000: () => Promise<CompiledDecoder>;
}): Codecs {
  return {
    jpeg: () => started(load.jpeg, 'JPEGDecoder'),
    jpeg2000: () => started(load.jpeg2000, 'J2KDecoder'),
  };
}

async function started(load: () => Promise<CompiledDecoder>, name: DecoderName): Promise<Decoder> {
  const { start, wasm } = await load();
  const quiet = () => {};
  const module = await start({ ...(wasm ? { wasmBinary: wasm } : {}), print: quiet, printErr: quiet });
  const Made = module[name];
  if (!Made) throw new Error(`the compiled decoder has no ${name}`);
  return new Made();
}
