// The compiled decoders come without types; these are the ones `codec-loading.ts` reads.
declare module '@cornerstonejs/codec-libjpeg-turbo-8bit/decodewasmjs' {
  const start: import('./codec-loading.ts').StartDecoder;
  export = start;
}
declare module '@cornerstonejs/codec-openjpeg/decodewasmjs' {
  const start: import('./codec-loading.ts').StartDecoder;
  export = start;
}
