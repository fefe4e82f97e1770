import { randomUUID } from 'node:crypto';
import { access } from 'node:fs/promises';
import {
  appended,
  checkStatement,
  type Ledger,
  replay,
  type Stamp,
  type Statement,
  sha256Of,
  tooLarge,
  workCase,
} from '@kerfline/cases';
import { parseStated, type Side } from '@kerfline/knee';
import { BadInput, must } from './bad-input.ts';
import { boneFile, kitFile, saveCase } from './files.ts';
import { pairedFilms, withFilms } from './film-entries.ts';

export interface CaseNewOptions {
  readonly side: Side;
  readonly femur?: string;
  readonly tibia?: string;
  readonly fibula?: string;
  readonly patella?: string;
  readonly film: readonly string[];
  readonly marks: readonly string[];
  readonly set: readonly string[];
  readonly kit: string;
  readonly aim: string;
  readonly out: string;
  readonly label: string;
  readonly id?: string;
  readonly at?: string;
  readonly by: string;
}

const exists = (path: string): Promise<boolean> =>
  access(path).then(
    () => true,
    () => false,
  );

/** Begins a case and writes its file, if everything it is given can be worked with. */
export async function caseNewCommand(options: CaseNewOptions): Promise<string> {
  if (await exists(options.out)) {
    throw new BadInput([`${options.out} exists already; a case is never written over. Give another --out.`]);
  }
  const films = pairedFilms(options.film, options.marks);
  const blobs = new Map<string, Uint8Array>();
  const keep = (bytes: Uint8Array): string => {
    const name = sha256Of(bytes);
    blobs.set(name, bytes);
    return name;
  };
  const statements: Statement[] = [{ kind: 'created', body: { side: options.side, label: options.label } }];
  for (const role of ['femur', 'tibia', 'fibula', 'patella'] as const) {
    const path = options[role];
    if (path === undefined) continue;
    const file = await boneFile(path, role);
    statements.push({ kind: 'bone', body: { role, blob: keep(file.bytes), fileName: file.fileName } });
  }
  const { kit, bytes } = await kitFile(options.kit);
  statements.push({ kind: 'kit', body: { name: kit.name, version: kit.version, blob: keep(bytes) } });
  const stated = options.set.map((text) => must(parseStated(text)));
  const twice = stated.find((s, i) => stated.findIndex((other) => other.name === s.name) < i);
  if (twice) throw new BadInput([`${twice.name} is stated twice.`]);
  for (const s of stated) statements.push({ kind: 'typed', body: s });
  statements.push({ kind: 'aim', body: { philosophy: options.aim } });

  const stamp: Stamp = { at: options.at ?? new Date().toISOString(), by: options.by };
  const empty: Ledger = { case: options.id ?? randomUUID().slice(0, 8), entries: [] };
  const begun = statements.reduce((so, statement) => {
    must(checkStatement(so, blobs, statement));
    return appended(so, statement, stamp);
  }, empty);
  const { ledger, ...grown } = await withFilms(begun, blobs, films, { side: options.side, stamp });
  const file = { ledger, blobs: grown.blobs };
  const large = tooLarge(file.blobs);
  if (large !== undefined) throw new BadInput([large]);
  const worked = must(workCase(replay(ledger), file.blobs));
  await saveCase(options.out, file);
  const doubts = [...grown.findings, ...worked.leg.findings, ...worked.plan.findings].filter(
    (f) => f.severity !== 'info',
  ).length;
  return `${options.out}: case ${ledger.case}, ${options.side.toUpperCase()} knee, ${ledger.entries.length} entries, ${doubts} ${doubts === 1 ? 'doubt' : 'doubts'}.`;
}
