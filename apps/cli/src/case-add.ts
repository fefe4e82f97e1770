import { appended, checkStatement, readStatement, replay, workCase } from '@kerfline/cases';
import { BadInput, must } from './bad-input.ts';
import { bytesOf, caseFile, saveCase } from './files.ts';

/** Adds one entry to a case file, if the case can be worked with it. */
export async function caseAddCommand(
  path: string,
  entryPath: string,
  options: { readonly at?: string; readonly by: string },
): Promise<string> {
  const file = await caseFile(path);
  const text = new TextDecoder().decode(await bytesOf(entryPath, 'The entry'));
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (e) {
    throw new BadInput([`${entryPath} is not JSON: ${(e as Error).message}.`]);
  }
  const statement = must(readStatement(raw));
  must(checkStatement(file.ledger, file.blobs, statement));
  const ledger = appended(file.ledger, statement, { at: options.at ?? new Date().toISOString(), by: options.by });
  const view = replay(ledger);
  // What is recorded stands even while something is still missing; what is there must work together.
  if (view.kit && view.aim) must(workCase(view, file.blobs));
  await saveCase(path, { ...file, ledger });
  const entry = ledger.entries.at(-1)!;
  return `${path}: entry ${entry.id} (${entry.kind}), hash ${entry.hash.slice(0, 12)}.`;
}
