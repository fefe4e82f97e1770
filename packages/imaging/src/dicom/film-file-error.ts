import { unreachable } from '@kerfline/geometry';

/** Why no film could be had from a file: what was found and what was needed instead. Holds no value that names a person. */
export type FilmFileError =
  | { readonly kind: 'empty-file' }
  | { readonly kind: 'file-too-large'; readonly found: number; readonly allowed: number }
  | { readonly kind: 'not-dicom'; readonly needed: string }
  /** `byte` counts from the start of the file, or of what a deflated file becomes. */
  | { readonly kind: 'bad-element'; readonly byte: number; readonly tag: string; readonly needed: string }
  /** The file ends early: `found` and `needed` are numbers of `counted`. */
  | {
      readonly kind: 'truncated';
      readonly byte: number;
      readonly counted: string;
      readonly found: number;
      readonly needed: number;
    }
  | { readonly kind: 'too-many-elements'; readonly byte: number; readonly allowed: number }
  | { readonly kind: 'too-deep'; readonly byte: number; readonly allowed: number }
  | { readonly kind: 'inflates-too-far'; readonly allowed: number }
  | { readonly kind: 'bad-deflate'; readonly byte: number }
  | { readonly kind: 'unknown-transfer-syntax'; readonly found: string }
  | { readonly kind: 'missing-tag'; readonly tag: string; readonly name: string }
  | {
      readonly kind: 'bad-value';
      readonly tag: string;
      readonly name: string;
      readonly found: string;
      readonly needed: string;
    }
  /** An object of another kind: `found` says which. */
  | { readonly kind: 'not-a-film'; readonly found: string }
  | {
      readonly kind: 'too-many-pixels';
      readonly columns: number;
      readonly rows: number;
      readonly mostSide: number;
      readonly mostPixels: number;
    }
  | { readonly kind: 'side-tags-disagree'; readonly imageLaterality: string; readonly laterality: string }
  | { readonly kind: 'salt-too-short'; readonly found: number; readonly needed: number };

/** A number with spaces between its thousands, so that a length in bytes can be read. */
const grouped = (value: number): string => `${value}`.replace(/\B(?=(\d{3})+$)/g, ' ');

/** The error as one sentence for people. */
export function filmFileErrorText(error: FilmFileError): string {
  switch (error.kind) {
    case 'empty-file':
      return 'The file is empty.';
    case 'file-too-large':
      return `The file has ${grouped(error.found)} bytes; at most ${grouped(error.allowed)} are read.`;
    case 'not-dicom':
      return `The file is not a DICOM file: ${error.needed} was expected.`;
    case 'bad-element':
      return `The element ${error.tag} at byte ${grouped(error.byte)} is damaged: ${error.needed} was expected.`;
    case 'truncated':
      return `The file ends early, at byte ${grouped(error.byte)}: ${grouped(error.found)} of ${grouped(error.needed)} ${error.counted} are there.`;
    case 'too-many-elements':
      return `The file has too many elements before byte ${grouped(error.byte)}; at most ${grouped(error.allowed)} numbers are read to find them.`;
    case 'too-deep':
      return `Sequences lie within each other more than ${error.allowed} deep at byte ${grouped(error.byte)}.`;
    case 'inflates-too-far':
      return `The deflated file becomes longer than ${grouped(error.allowed)} bytes; no film is that large.`;
    case 'bad-deflate':
      return `The deflated part of the file, from byte ${grouped(error.byte)}, is damaged or cut off.`;
    case 'unknown-transfer-syntax':
      return `The file is written in a way that is not known here (transfer syntax "${error.found}").`;
    case 'missing-tag':
      return `${error.name} ${error.tag} is missing; a film cannot be read without it.`;
    case 'bad-value':
      return `${error.name} ${error.tag} is "${error.found}"; ${error.needed} was expected.`;
    case 'not-a-film':
      return `The file is no film: it is ${error.found}.`;
    case 'too-many-pixels':
      return `The image has ${error.columns} columns and ${error.rows} rows; at most ${grouped(error.mostPixels)} pixels and ${grouped(error.mostSide)} on a side are read.`;
    case 'side-tags-disagree':
      return `Image Laterality says "${error.imageLaterality}" and Laterality says "${error.laterality}". The side must be settled where the film comes from.`;
    case 'salt-too-short':
      return `The secret for removing names has ${error.found} characters; at least ${error.needed} are needed.`;
    default:
      return unreachable(error);
  }
}
