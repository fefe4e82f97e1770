import type { FilmHeader } from '../dicom/film-header.ts';
import type { PixelSource } from './pixel-source.ts';

/** Where a film's header says that its pixels are, as the decoder takes it. */
export const pixelSourceOf = (header: FilmHeader): PixelSource => ({
  data: header.data,
  rows: header.rows,
  columns: header.columns,
  bitsAllocated: header.bitsAllocated,
  bitsStored: header.bitsStored,
  highBit: header.highBit,
  signed: header.signed,
  samplesPerPixel: header.samplesPerPixel,
  planes: header.planar,
  photometric: header.photometric,
  transferSyntax: header.transferSyntax,
  at: header.pixels,
  ...(header.rescale ? { rescale: header.rescale } : {}),
  ...(header.window ? { window: header.window } : {}),
  presentationInverse: header.presentationShape === 'INVERSE',
  ...(header.padding ? { padding: header.padding } : {}),
});
