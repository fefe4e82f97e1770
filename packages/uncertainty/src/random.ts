import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

/** A source of numbers that gives the same ones again for the same seed and names. */
export interface Random {
  /** Even in [0, 1), 53 bits. */
  uniform(): number;
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number;
}

/** 32-bit hash of a text (FNV-1a), to turn a stream's name into a seed. */
function hash32(text: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i += 1) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  return h | 0;
}

/**
 * A stream of its own for each purpose, so that adding draws in one place changes nothing elsewhere.
 *
 * @param seed any integer; printed with every result that used it
 * @param names what the stream is for, such as `'film', 'case 7'`
 */
export function randomStream(seed: number, ...names: readonly (string | number)[]): Random {
  const generator = xoroshiro128plus(hash32(JSON.stringify([seed, ...names])));
  const bits = (): number => generator.next() >>> 0;
  const uniform = (): number => ((bits() >>> 5) * 67108864 + (bits() >>> 6)) / 9007199254740992;
  let spare: number | undefined;
  return {
    uniform,
    normal() {
      if (spare !== undefined) {
        const value = spare;
        spare = undefined;
        return value;
      }
      // Polar method (Marsaglia and Bray 1964).
      for (;;) {
        const u = 2 * uniform() - 1;
        const v = 2 * uniform() - 1;
        const s = u * u + v * v;
        if (s >= 1 || s === 0) continue;
        const factor = Math.sqrt((-2 * Math.log(s)) / s);
        spare = v * factor;
        return u * factor;
      }
    },
  };
}
