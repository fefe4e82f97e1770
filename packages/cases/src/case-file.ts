import { err, ok, type Result } from '@kerfline/geometry';
import { z } from 'zod';
import { base64Of, bytesOfBase64 } from './base64.ts';
import { canonicalJson } from './canonical-json.ts';
import { type Ledger, type LedgerFault, readLedger } from './ledger.ts';
import { sha256Of } from './sha256.ts';

/** Files of a case by their SHA-256. */
export type Blobs = ReadonlyMap<string, Uint8Array>;

/** A case that is whole in itself: ledger and every file it names. */
export interface CaseFile {
  readonly ledger: Ledger;
  readonly blobs: Blobs;
}

export type CaseFileFault =
  | LedgerFault
  | { readonly kind: 'not-a-case' | 'newer-file' | 'blob-changed' | 'blob-missing'; readonly message: string };

const shape = z.strictObject({
  kerf: z.number().int().positive(),
  case: z.string().min(1),
  entries: z.array(z.unknown()),
  blobs: z.record(z.string(), z.string()),
});

const fileVersion = 1;

/** Every blob that the entries name. */
export const blobsNamed = (ledger: Ledger): readonly string[] =>
  ledger.entries.flatMap((entry) =>
    entry.kind === 'bone' || entry.kind === 'kit' || entry.kind === 'film' ? [entry.body.blob] : [],
  );

/** The text of a `.kerf.json` file: entries one to a line, so that a person can read what changed. */
export function caseFileText(file: CaseFile): string {
  const entries = file.ledger.entries.map((entry) => canonicalJson(entry)).join(',\n');
  const blobs = [...file.blobs]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, bytes]) => `${JSON.stringify(name)}:${JSON.stringify(base64Of(bytes))}`)
    .join(',\n');
  return `{"kerf":${fileVersion},"case":${JSON.stringify(file.ledger.case)},"entries":[\n${entries}\n],"blobs":{\n${blobs}\n}}\n`;
}

/** Reads a `.kerf.json` file and checks its chain and its blobs. */
export function readCaseFile(text: string): Result<CaseFile, CaseFileFault> {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (e) {
    return err({ kind: 'not-a-case', message: `This is not a case file: ${(e as Error).message}.` });
  }
  const outer = shape.safeParse(raw);
  if (!outer.success) {
    return err({
      kind: 'not-a-case',
      message: `This is not a case file: ${outer.error.issues.map((i) => `${i.path.join('.') || 'it'}: ${i.message}`).join('; ')}.`,
    });
  }
  if (outer.data.kerf > fileVersion) {
    return err({
      kind: 'newer-file',
      message: `The file is of version ${outer.data.kerf}; this program reads up to ${fileVersion}. Use a newer one.`,
    });
  }
  const ledger = readLedger(outer.data);
  if (!ledger.ok) return ledger;
  const blobs = new Map<string, Uint8Array>();
  for (const [name, coded] of Object.entries(outer.data.blobs)) {
    const bytes = bytesOfBase64(coded);
    if (!bytes || sha256Of(bytes) !== name) {
      return err({
        kind: 'blob-changed',
        message: `The case file was changed: the enclosed file ${name.slice(0, 12)} is not what its name says.`,
      });
    }
    blobs.set(name, bytes);
  }
  const missing = blobsNamed(ledger.value).find((name) => !blobs.has(name));
  if (missing) {
    return err({
      kind: 'blob-missing',
      message: `The case names the file ${missing.slice(0, 12)}, which is not enclosed.`,
    });
  }
  return ok({ ledger: ledger.value, blobs });
}
