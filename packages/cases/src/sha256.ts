import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';

/** SHA-256 of bytes, 64 hexadecimal digits. */
export const sha256Of = (bytes: Uint8Array): string => bytesToHex(sha256(bytes));

/** SHA-256 of a text in UTF-8. */
export const sha256OfText = (text: string): string => sha256Of(utf8ToBytes(text));
