export type { Finding } from '@kerfline/geometry';
export { type DeidentifiedFilm, deidentified, type RemovedElement } from './dicom/deidentified.ts';
export { type FilmFileError, filmFileErrorText } from './dicom/film-file-error.ts';
export { type FilmHeader, readFilmHeader } from './dicom/film-header.ts';
export type { FilmKind } from './dicom/film-kind.ts';
export {
  type FilmLength,
  type FilmLengthState,
  type FilmSpacing,
  filmLength,
  filmLengthStates,
  filmLengthText,
  type LengthTags,
  type OfferedSpacing,
} from './dicom/film-length.ts';
export { type FilmLimits, filmLimits } from './dicom/film-limits.ts';
export type { ByteRange, PixelPlace } from './dicom/pixel-place.ts';
export { type FilmRegion, type WritableFilm, writtenFilm } from './dicom/write-film.ts';
export type { FileSurface, MeshFormat } from './file-surface.ts';
export { measureErrorText } from './film-measures/measure-error.ts';
export { ballCircle, rimCircle } from './film-measures/rim-circle.ts';
export { tangentPoint } from './film-measures/tangent-point.ts';
export { edgesAcross } from './film-measures/tube-edges.ts';
export { type CompiledDecoder, codecsFrom, type StartDecoder } from './film-pixels/codec-loading.ts';
export type { Codecs } from './film-pixels/codecs.ts';
export { decodePixels } from './film-pixels/decode-pixels.ts';
export { type PixelError, pixelErrorText } from './film-pixels/pixel-error.ts';
export type { FilmPixels, PixelSource, Samples } from './film-pixels/pixel-source.ts';
export { pyramid, type Tile, tileOf } from './film-pixels/pyramid.ts';
export { readPicture } from './film-pixels/read-picture.ts';
export { windowed } from './film-pixels/windowed.ts';
export { type LengthUnit, likelyUnit } from './likely-unit.ts';
export { type FilePlace, type MeshFileError, meshFileErrorText } from './mesh-file-error.ts';
export { mostTriangles, mostVertices } from './mesh-size.ts';
export { readObj } from './obj.ts';
export { type PictureSize, type PictureSizeError, pictureSize } from './picture-size.ts';
export { readPly } from './ply.ts';
export { type ReadMesh, readMesh } from './read-mesh.ts';
export { readStl } from './stl.ts';
export { type UsableMesh, usableMesh } from './usable-mesh.ts';
export { writePly } from './write-ply.ts';
export { writeStl } from './write-stl.ts';
