const alphabet = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const value = new Map([...alphabet].map((letter, i) => [letter.charCodeAt(0), i]));

/** Base64 (RFC 4648, with padding) of bytes. */
export function base64Of(bytes: Uint8Array): string {
  const out: string[] = [];
  // In pieces, so that no argument list grows with the file.
  for (let from = 0; from < bytes.length; from += 0x6000) {
    out.push(btoa(String.fromCharCode(...bytes.subarray(from, from + 0x6000))));
  }
  return out.join('');
}

/** Bytes of a base64 text, or `undefined` if it is none. */
export function bytesOfBase64(text: string): Uint8Array | undefined {
  if (text.length % 4 !== 0) return undefined;
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  const bytes = new Uint8Array((text.length / 4) * 3 - padding);
  let bits = 0;
  let held = 0;
  let at = 0;
  for (let i = 0; i < text.length - padding; i += 1) {
    const six = value.get(text.charCodeAt(i));
    if (six === undefined) return undefined;
    held = (held << 6) | six;
    bits += 6;
    if (bits >= 8) {
      bits -= 8;
      bytes[at] = (held >> bits) & 0xff;
      at += 1;
    }
  }
  return bytes;
}
