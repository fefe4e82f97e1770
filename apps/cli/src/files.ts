import { readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type BoneFile, type CaseFile, kitFromBytes } from '@kerfline/cases';
import { loadCaseFile, saveCaseFile } from '@kerfline/cases/file-store';
import type { Kit } from '@kerfline/knee';
import { BadInput, must } from './bad-input.ts';

/** Bytes of a file, or the end of the command with the reason. */
export async function bytesOf(path: string, what: string): Promise<Uint8Array> {
  try {
    return new Uint8Array(await readFile(path));
  } catch (e) {
    const code = (e as NodeJS.ErrnoException).code;
    const why = code === 'ENOENT' ? 'there is no such file' : code === 'EISDIR' ? 'it is a folder' : String(code);
    throw new BadInput([`${what}: ${path} cannot be read: ${why}.`]);
  }
}

export const boneFile = async (path: string, role: string): Promise<BoneFile> => ({
  bytes: await bytesOf(path, `The ${role}`),
  fileName: basename(path),
});

/** A case file with its chain checked. */
export async function caseFile(path: string): Promise<CaseFile> {
  const read = await loadCaseFile(path);
  if (!read) throw new BadInput([`The case: there is no file ${path}.`]);
  return must(read);
}

const writeFaults: Readonly<Record<string, string>> = {
  EEXIST: 'it exists already',
  ENOENT: 'there is no such folder',
  ENOTDIR: 'part of the path is a file',
  EISDIR: 'it is a folder',
  EACCES: 'you may not write there',
  EROFS: 'the disk is read only',
  ENOSPC: 'the disk is full',
};

/** Ends the command with the reason why a file cannot be written, where it is one that a user can mend. */
export function cannotWrite(e: unknown, what: string): never {
  const why = writeFaults[(e as NodeJS.ErrnoException).code ?? ''];
  if (why === undefined) throw e;
  throw new BadInput([`${what} cannot be written: ${why}.`]);
}

/** Writes a case file whole, or ends the command with the reason and leaves what was there. */
export async function saveCase(path: string, file: CaseFile): Promise<void> {
  try {
    await saveCaseFile(path, file);
  } catch (e) {
    cannotWrite(e, `The case: ${path}`);
  }
}

const kitsFolder = fileURLToPath(new URL('../../../kits', import.meta.url));

/** A kit by the name of its folder in `kits/`, or by the path of its file. */
export async function kitFile(nameOrPath: string): Promise<{ readonly kit: Kit; readonly bytes: Uint8Array }> {
  const named = /^[a-z][a-z0-9-]*$/.test(nameOrPath);
  const bytes = await bytesOf(named ? join(kitsFolder, nameOrPath, 'kit.json') : nameOrPath, 'The kit');
  return { kit: must(kitFromBytes(bytes)), bytes };
}
