import { unreachable } from '@kerfline/geometry';

/** A place in a file: bytes before it, or its line counted from 1. */
export type FilePlace = { readonly byte: number } | { readonly line: number };

/** Why no mesh could be had from a file: where, what was found there and what was needed instead. */
export type MeshFileError =
  | { readonly kind: 'empty-file' }
  /** `found`: the first bytes, those that are not plain characters as dots. */
  | { readonly kind: 'unknown-format'; readonly found: string; readonly needed: string }
  | { readonly kind: 'bad-header'; readonly at: FilePlace; readonly found: string; readonly needed: string }
  | { readonly kind: 'unexpected-word'; readonly at: FilePlace; readonly found: string; readonly needed: string }
  | { readonly kind: 'bad-number'; readonly at: FilePlace; readonly found: string; readonly needed: string }
  /** The file ends early: `found` and `needed` are numbers of `counted`; `needed` is the least that would do. */
  | {
      readonly kind: 'truncated';
      readonly at: FilePlace;
      readonly counted: string;
      readonly found: number;
      readonly needed: number;
    }
  /** Not a number, infinite, or too large for 32-bit floating point. `vertex` counts from 0 in the order of the file. */
  | {
      readonly kind: 'non-finite-coordinate';
      readonly at: FilePlace;
      readonly vertex: number;
      readonly found: string;
    }
  /** `needed`: the least and greatest number that would be right here, in the file's own way of counting. */
  | {
      readonly kind: 'index-out-of-range';
      readonly at: FilePlace;
      readonly found: number;
      readonly needed: readonly [least: number, greatest: number];
    }
  | { readonly kind: 'too-few-triangles'; readonly found: number; readonly needed: number }
  | { readonly kind: 'too-many-triangles'; readonly found: number; readonly allowed: number }
  | { readonly kind: 'too-many-vertices'; readonly found: number; readonly allowed: number };

const placeText = (at: FilePlace): string => ('line' in at ? `line ${at.line}` : `byte ${at.byte}`);

/** The error as one sentence for people. */
export function meshFileErrorText(error: MeshFileError): string {
  switch (error.kind) {
    case 'empty-file':
      return 'The file is empty.';
    case 'unknown-format':
      return `The file begins with "${error.found}"; ${error.needed} was expected.`;
    case 'bad-header':
      return `The header holds "${error.found}" at ${placeText(error.at)}; ${error.needed} was expected.`;
    case 'unexpected-word':
    case 'bad-number':
      return `"${error.found}" stands at ${placeText(error.at)}; ${error.needed} was expected.`;
    case 'truncated':
      return `The file ends early, at ${placeText(error.at)}: ${error.found} of at least ${error.needed} ${error.counted} are there.`;
    case 'non-finite-coordinate':
      return `Vertex ${error.vertex} at ${placeText(error.at)} has the coordinate ${error.found}, which is no finite 32-bit number.`;
    case 'index-out-of-range':
      return error.needed[1] < error.needed[0]
        ? `A face at ${placeText(error.at)} names vertex ${error.found}, but there is none yet.`
        : `A face at ${placeText(error.at)} names vertex ${error.found}; ${error.needed[0]} to ${error.needed[1]} are there.`;
    case 'too-few-triangles':
      return `The surface, or its largest piece, has ${error.found} triangles; at least ${error.needed} are needed to enclose anything.`;
    case 'too-many-triangles':
      return `The surface has ${error.found} triangles or more; at most ${error.allowed} are read.`;
    case 'too-many-vertices':
      return `The surface has ${error.found} vertices or more; at most ${error.allowed} are read.`;
    default:
      return unreachable(error);
  }
}
