/** How a picture is written, by the UID of its transfer syntax (PS3.5 10, PS3.6 Annex A). */
export type Coding = 'little-endian' | 'big-endian' | 'run-length' | 'jpeg' | 'jpeg-lossless' | 'jpeg-ls' | 'jpeg-2000';

const codings: Readonly<Record<string, Coding>> = {
  '1.2.840.10008.1.2': 'little-endian',
  '1.2.840.10008.1.2.1': 'little-endian',
  '1.2.840.10008.1.2.1.99': 'little-endian',
  '1.2.840.10008.1.2.2': 'big-endian',
  '1.2.840.10008.1.2.5': 'run-length',
  '1.2.840.10008.1.2.4.50': 'jpeg',
  '1.2.840.10008.1.2.4.51': 'jpeg',
  '1.2.840.10008.1.2.4.57': 'jpeg-lossless',
  '1.2.840.10008.1.2.4.70': 'jpeg-lossless',
  '1.2.840.10008.1.2.4.80': 'jpeg-ls',
  '1.2.840.10008.1.2.4.81': 'jpeg-ls',
  '1.2.840.10008.1.2.4.90': 'jpeg-2000',
  '1.2.840.10008.1.2.4.91': 'jpeg-2000',
};

/** Syntaxes that may lose something: the picture is near what was exposed, not the same. */
const lossy = new Set(['50', '51', '81', '91'].map((last) => `1.2.840.10008.1.2.4.${last}`));

export const codingOf = (uid: string): Coding | undefined => codings[uid];
export const mayBeLossy = (uid: string): boolean => lossy.has(uid);
/** The names for people, in the order of the standard. */
export const readableCodings =
  'uncompressed, deflated, RLE, JPEG baseline (.50), JPEG extended (.51, 8 bits, or 12 in grey), JPEG lossless (.57, .70), JPEG-LS (.80, .81) and JPEG 2000 (.90, .91)';
