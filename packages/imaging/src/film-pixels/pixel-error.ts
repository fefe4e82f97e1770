import { unreachable } from '@kerfline/geometry';

/** Why no picture could be had: what was found and what was needed. */
export type PixelError =
  | { readonly kind: 'not-supported'; readonly what: string; readonly found: string; readonly needed: string }
  /** A stated number that no film can have. */
  | { readonly kind: 'bad-number'; readonly what: string; readonly found: number; readonly needed: string }
  | { readonly kind: 'too-large'; readonly what: string; readonly found: number; readonly allowed: number }
  /** `found` and `needed` are numbers of `counted`. */
  | { readonly kind: 'truncated'; readonly counted: string; readonly found: number; readonly needed: number }
  /** The compressed stream says one thing and the file's tags another. */
  | { readonly kind: 'disagrees'; readonly what: string; readonly found: number; readonly needed: number }
  | { readonly kind: 'corrupt'; readonly what: string; readonly byte: number }
  /** A decoder gave up; `said` are its own words. */
  | { readonly kind: 'decoder-failed'; readonly decoder: string; readonly said: string }
  /** `apart`: the largest difference between the colours of one pixel. */
  | { readonly kind: 'colour'; readonly apart: number; readonly allowed: number }
  | { readonly kind: 'unknown-format'; readonly found: string; readonly needed: string }
  | { readonly kind: 'stopped' };

/** The error as one sentence for people. */
export function pixelErrorText(error: PixelError): string {
  switch (error.kind) {
    case 'not-supported':
      return `The ${error.what} is ${error.found}; ${error.needed} can be read.`;
    case 'bad-number':
      return `The ${error.what} is ${error.found}; ${error.needed} was expected.`;
    case 'too-large':
      return `The ${error.what} is ${error.found}; at most ${error.allowed} is read.`;
    case 'truncated':
      return `The picture ends early: ${error.found} of ${error.needed} ${error.counted} are there.`;
    case 'disagrees':
      return `The compressed picture has ${error.what} ${error.found}, but the file says ${error.needed}.`;
    case 'corrupt':
      return `The compressed picture is damaged at byte ${error.byte}: ${error.what}.`;
    case 'decoder-failed':
      return `The ${error.decoder} decoder could not read the picture: ${error.said}.`;
    case 'colour':
      return `This is a colour picture, not a film: colours of one pixel differ by ${error.apart}, and at most ${error.allowed} is taken for grey.`;
    case 'unknown-format':
      return `The file begins with "${error.found}"; ${error.needed} was expected.`;
    case 'stopped':
      return 'Reading was stopped.';
    default:
      return unreachable(error);
  }
}
