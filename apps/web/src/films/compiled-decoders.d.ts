// The compiled decoders come without types.
declare module '@cornerstonejs/codec-libjpeg-turbo-8bit/decodewasmjs' {
  const start: import('@kerfline/imaging').StartDecoder;
  // biome-ignore lint/style/noDefaultExport: the decoders are exported so
  export default start;
}
declare module '@cornerstonejs/codec-openjpeg/decodewasmjs' {
  const start: import('@kerfline/imaging').StartDecoder;
  // biome-ignore lint/style/noDefaultExport: the decoders are exported so
  export default start;
}
