import { createHash } from 'node:crypto';
import { open, readFile, rename, stat, unlink } from 'node:fs/promises';
import { dirname } from 'node:path';
import type { Result } from '@kerfline/geometry';
import { type BlobCodec, type CaseFile, type CaseFileFault, caseFilePieces, readCaseFile } from './case-file.ts';

const isMissing = (e: unknown): boolean => (e as NodeJS.ErrnoException).code === 'ENOENT';

/** The same as in `base64.ts` and `sha256.ts`, by the platform: a long film has a hundred million bytes. */
const fastCodec: BlobCodec = {
  bytesOfBase64(text) {
    // The platform passes over what is no base64, so that is looked for first.
    if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return undefined;
    const bytes = Buffer.from(text, 'base64');
    // Small ones lie together in one piece of memory; here each has its own, to be handed on whole.
    return bytes.buffer.byteLength === bytes.length ? new Uint8Array(bytes.buffer) : new Uint8Array(bytes);
  },
  sha256Of: (bytes) => createHash('sha256').update(bytes).digest('hex'),
};

/** Base64 of blobs by name, as it lies in a file. */
type Coded = Map<string, Uint8Array>;

const codedBlob = (coded: Coded, blob: string, bytes: Uint8Array): Uint8Array => {
  const known = coded.get(blob);
  if (known) return known;
  const fresh = Buffer.from(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).toString('base64'), 'latin1');
  coded.set(blob, fresh);
  return fresh;
};

/**
 * Files that were written are dated this far back: a change by somebody else, however soon after, has another date.
 *
 * @numerical Seconds; the clock of files may stand still for a hundredth of one.
 */
const backSeconds = 1;

/** How a file on disk is told from another at the same place. */
async function printOf(path: string): Promise<{ readonly print: string; readonly at: bigint } | undefined> {
  try {
    const { ino, size, mtimeNs } = await stat(path, { bigint: true });
    return { print: `${ino} ${size} ${mtimeNs}`, at: mtimeNs };
  } catch (e) {
    if (isMissing(e)) return undefined;
    throw e;
  }
}

/**
 * Writes a case file so that at any moment the old or the new one is whole on disk: a new file is written and synced beside
 * it, then takes its name, then the folder is synced.
 */
async function writeCaseFile(path: string, file: CaseFile, coded: Coded): Promise<void> {
  const pieces = caseFilePieces(file).map((piece) =>
    typeof piece === 'string' ? Buffer.from(piece, 'utf8') : codedBlob(coded, piece.blob, piece.bytes),
  );
  const fresh = `${path}.${process.pid}.new`;
  const handle = await open(fresh, 'w');
  try {
    try {
      for (const piece of pieces) await handle.writeFile(piece);
      const back = Date.now() / 1000 - backSeconds;
      await handle.utimes(back, back);
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(fresh, path);
  } catch (e) {
    await unlink(fresh);
    throw e;
  }
  const folder = await open(dirname(path), 'r');
  try {
    await folder.sync();
  } finally {
    await folder.close();
  }
}

interface Kept {
  readonly print: string;
  readonly file: CaseFile;
  readonly coded: Coded;
}

/** @numerical Blobs of case files that are kept read, bytes: a case with two long films, and its base64. */
const mostKeptBytes = 500_000_000;

const sizeOf = ({ file }: Kept): number => {
  let bytes = 0;
  for (const blob of file.blobs.values()) bytes += blob.length;
  // With its base64.
  return (7 / 3) * bytes;
};

/** Case files of one store: those read or written last stay in memory as long as the files on disk are the same. */
export interface KeptFiles {
  /** A case file, checked; one that is not there is `undefined`. */
  load(path: string): Promise<Result<CaseFile, CaseFileFault> | undefined>;
  save(path: string, file: CaseFile): Promise<void>;
}

export function keptFiles(): KeptFiles {
  const kept = new Map<string, Kept>();
  const keep = (path: string, made: Kept): void => {
    kept.delete(path);
    kept.set(path, made);
    let bytes = 0;
    // From the newest; the newest itself stays however large it is.
    for (const [name, one] of [...kept].reverse()) {
      bytes += sizeOf(one);
      if (bytes > mostKeptBytes && name !== path) kept.delete(name);
    }
  };
  return {
    async load(path) {
      const before = await printOf(path);
      if (!before) return undefined;
      const known = kept.get(path);
      if (known?.print === before.print) {
        keep(path, known);
        return { ok: true, value: known.file };
      }
      kept.delete(path);
      let text: string;
      try {
        text = await readFile(path, 'utf8');
      } catch (e) {
        if (isMissing(e)) return undefined;
        throw e;
      }
      const read = readCaseFile(text, fastCodec);
      // One that was written just now could be written again under the same date.
      const settled = BigInt(Date.now() - 1000 * backSeconds) * 1_000_000n > before.at;
      const after = await printOf(path);
      if (read.ok && settled && after?.print === before.print) {
        keep(path, { print: before.print, file: read.value, coded: new Map() });
      }
      return read;
    },
    async save(path, file) {
      const coded: Coded = kept.get(path)?.coded ?? new Map();
      await writeCaseFile(path, file, coded);
      for (const name of [...coded.keys()]) if (!file.blobs.has(name)) coded.delete(name);
      const now = await printOf(path);
      if (now) keep(path, { print: now.print, file, coded });
    },
  };
}
