/** What a compressed stream says of itself once it is decoded. */
export interface FrameInfo {
  readonly width: number;
  readonly height: number;
  readonly bitsPerSample: number;
  readonly componentCount: number;
}

/** One decoder for one picture. The arrays it gives are its own memory and end with `delete`. */
export interface Decoder {
  /** Room for so many compressed bytes, to be filled before `decode`. */
  getEncodedBuffer(length: number): Uint8Array;
  decode(): void;
  getFrameInfo(): FrameInfo;
  /** Samples of a pixel together, rows from the top; little endian, 1 byte up to 8 bits, else 2. */
  getDecodedBuffer(): Uint8Array | Uint8ClampedArray;
  delete(): void;
}

/**
 * The decoders that are not ours. Each call gives a decoder in memory of its own, so that this memory goes when the
 * picture is read and a decoder that failed is never used again. Loading them is for the caller: `codecsFrom`.
 */
export interface Codecs {
  /** Baseline and 8-bit extended JPEG. */
  jpeg(): Promise<Decoder>;
  jpeg2000(): Promise<Decoder>;
}
