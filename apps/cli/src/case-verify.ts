import { headOf } from '@kerfline/cases';
import { caseFile } from './files.ts';

/** Checks a case file's chain and enclosed files; a changed file ends the command with its reason. */
export async function caseVerifyCommand(path: string): Promise<string> {
  const file = await caseFile(path);
  return `${path}: ${file.ledger.entries.length} entries in an unbroken chain, ${file.blobs.size} enclosed ${
    file.blobs.size === 1 ? 'file' : 'files'
  } as named, head ${headOf(file.ledger).slice(0, 12)}.`;
}
