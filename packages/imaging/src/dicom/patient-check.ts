import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import { textOf } from './element-values.ts';
import type { Elements } from './part10.ts';

const checkForm = /^check [0-9a-f]{3}$/;

/**
 * What stands for a patient in a film without one: `check` and 12 bits, as three hexadecimal digits, of the SHA-256 of a
 * secret with the patient's identifier, name and birth date.
 *
 * Two films of one patient always agree. Films of two patients disagree 4,095 times of 4,096, which is enough to notice
 * the wrong film in a case. It is too short to find a person by: one in 4,096 of all people has any given check, so even
 * somebody who knows the secret and a list of patients is left with many of them, and without the secret it says nothing.
 *
 * @returns `undefined` where identifier, name and birth date are all empty: nothing can be compared then
 */
export function patientCheckOf(elements: Elements, salt: string): string | undefined {
  const kept = patientCheckIn(elements);
  if (kept !== undefined) return kept;
  const parts = (['patientId', 'patientName', 'birthDate'] as const).map((tag) =>
    // Empty name parts at the end are the same name, and case is often changed on the way. PS3.5 section 6.2.
    (textOf(elements, tag) ?? '').replace(/[\^= ]+$/, '').toUpperCase(),
  );
  if (parts.every((part) => part === '')) return undefined;
  return `check ${bytesToHex(sha256(utf8ToBytes([salt, ...parts].join('\0')))).slice(0, 3)}`;
}

/** The check of a file whose patient has been removed; `undefined` in any other. */
export function patientCheckIn(elements: Elements): string | undefined {
  const id = textOf(elements, 'patientId') ?? '';
  return textOf(elements, 'identityRemoved') === 'YES' && checkForm.test(id) ? id : undefined;
}
