const alphabet = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const letters: Readonly<Uint8Array> = Uint8Array.from(alphabet, (letter) => letter.charCodeAt(0));
const padding = '='.charCodeAt(0);

/** Six bits of each character, -1 for one that is none. */
const values: Readonly<Int8Array> = Int8Array.from({ length: 256 }, (_, code) =>
  alphabet.indexOf(String.fromCharCode(code)),
);

/** Base64 (RFC 4648, with padding) of bytes. */
export function base64Of(bytes: Uint8Array): string {
  const coded = new Uint8Array(4 * Math.ceil(bytes.length / 3));
  let to = 0;
  for (let from = 0; from < bytes.length; from += 3) {
    const three = (bytes[from]! << 16) | ((bytes[from + 1] ?? 0) << 8) | (bytes[from + 2] ?? 0);
    coded[to] = letters[three >> 18]!;
    coded[to + 1] = letters[(three >> 12) & 63]!;
    coded[to + 2] = letters[(three >> 6) & 63]!;
    coded[to + 3] = letters[three & 63]!;
    to += 4;
  }
  const missing = (3 - (bytes.length % 3)) % 3;
  for (let k = 1; k <= missing; k += 1) coded[to - k] = padding;
  return new TextDecoder().decode(coded);
}

/** Bytes of a base64 text, or `undefined` if it is none. */
export function bytesOfBase64(text: string): Uint8Array | undefined {
  if (text.length % 4 !== 0) return undefined;
  const missing = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  const bytes = new Uint8Array((text.length / 4) * 3 - missing);
  const end = text.length - missing;
  const six = (at: number): number => {
    const code = text.charCodeAt(at);
    return code < 256 ? values[code]! : -1;
  };
  let to = 0;
  let wrong = 0;
  for (let from = 0; from < end; from += 4) {
    const a = six(from);
    const b = six(from + 1);
    const c = from + 2 < end ? six(from + 2) : 0;
    const d = from + 3 < end ? six(from + 3) : 0;
    wrong |= a | b | c | d;
    const three = (a << 18) | (b << 12) | (c << 6) | d;
    // Writes past the end of a typed array are passed over.
    bytes[to] = three >> 16;
    bytes[to + 1] = three >> 8;
    bytes[to + 2] = three;
    to += 3;
  }
  return wrong < 0 ? undefined : bytes;
}
