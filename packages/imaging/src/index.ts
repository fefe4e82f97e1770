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
export type { Picture, Place } from './film-measures/brightness.ts';
export { type Exposure, exposure, exposureText } from './film-measures/exposure.ts';
export { type MeasureError, measureErrorText } from './film-measures/measure-error.ts';
export { ballCircle, type RimCircle, type RimOptions, rimCircle } from './film-measures/rim-circle.ts';
export { type TangentPoint, tangentPoint } from './film-measures/tangent-point.ts';
export {
  type AcrossOptions,
  type CanalMiddle,
  type CrossedEdge,
  canalMiddle,
  edgesAcross,
  type TubeEdges,
} from './film-measures/tube-edges.ts';
export { type CompiledDecoder, codecsFrom, type StartDecoder } from './film-pixels/codec-loading.ts';
export type { Codecs, Decoder, FrameInfo } from './film-pixels/codecs.ts';
export { decodePixels } from './film-pixels/decode-pixels.ts';
export { type PixelError, pixelErrorText } from './film-pixels/pixel-error.ts';
export type { ByteRun, FilmPixels, PixelSource, Samples } from './film-pixels/pixel-source.ts';
export { levelFor, pyramid, type Tile, tileOf } from './film-pixels/pyramid.ts';
export { type PictureFormat, pictureFormat, readPicture } from './film-pixels/read-picture.ts';
export { pixelSourceOf } from './film-pixels/source-of-header.ts';
export { shownGrey, windowed } from './film-pixels/windowed.ts';
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
