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

/** A piece of a case file: text as it is, or the base64 of a blob. */
type Piece = string | { readonly blob: string; readonly bytes: Uint8Array };

/** A `.kerf.json` file in pieces: entries one to a line, so that a person can read what changed, then the blobs. */
export function caseFilePieces(file: CaseFile): readonly Piece[] {
  const entries = file.ledger.entries.map((entry) => canonicalJson(entry)).join(',\n');
  const blobs = [...file.blobs]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([blob, bytes], k): Piece[] => [`${k === 0 ? '' : ',\n'}${JSON.stringify(blob)}:"`, { blob, bytes }, '"']);
  return [
    `{"kerf":${fileVersion},"case":${JSON.stringify(file.ledger.case)},"entries":[\n${entries}\n],"blobs":{\n`,
    ...blobs,
    '\n}}\n',
  ];
}

/** The text of a `.kerf.json` file. */
export const caseFileText = (file: CaseFile): string =>
  caseFilePieces(file)
    .map((piece) => (typeof piece === 'string' ? piece : base64Of(piece.bytes)))
    .join('');

/** @numerical A case is read as one text, which may have 2^29 characters; base64 makes 4 of 3 bytes. */
const mostBlobBytes = 380_000_000;

/** Why the files of a case are too large for one case file, if they are. */
export function tooLarge(blobs: Blobs): string | undefined {
  let bytes = 0;
  for (const blob of blobs.values()) bytes += blob.length;
  const mb = (n: number): number => Math.ceil(n / 1e6);
  return bytes > mostBlobBytes
    ? `The films and bones of this case would have ${mb(bytes)} MB together; a case file holds at most ${mb(mostBlobBytes)} MB.`
    : undefined;
}

/** How blobs are decoded and named; the platform's own ways may be faster than those that run everywhere. */
export interface BlobCodec {
  readonly bytesOfBase64: (text: string) => Uint8Array | undefined;
  readonly sha256Of: (bytes: Uint8Array) => string;
}

/** Reads a `.kerf.json` file and checks its chain and its blobs. */
export function readCaseFile(
  text: string,
  codec: BlobCodec = { bytesOfBase64, sha256Of },
): Result<CaseFile, CaseFileFault> {
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
    const bytes = codec.bytesOfBase64(coded);
    if (!bytes || codec.sha256Of(bytes) !== name) {
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
