import { sha256Of } from '@kerfline/cases';
import { checkKit, faultText, type Kit } from '@kerfline/knee';
import { BadInput } from './bad-input.ts';
import { bytesOf, kitFile } from './files.ts';

export interface KitRead {
  readonly kit: Kit;
  readonly sha256: string;
}

/** A kit by name or path, or the end of the command with every fault; as JSON where a program asks. */
export async function readKit(nameOrPath: string, json = false): Promise<KitRead> {
  if (/^[a-z][a-z0-9-]*$/.test(nameOrPath)) {
    const { kit, bytes } = await kitFile(nameOrPath);
    return { kit, sha256: sha256Of(bytes) };
  }
  const bytes = await bytesOf(nameOrPath, 'The kit');
  const refused = (why: string): BadInput =>
    new BadInput([json ? JSON.stringify({ ok: false, reason: why }) : `${nameOrPath}: ${why}`]);
  if (bytes.length === 0) throw refused('the file is empty.');
  let raw: unknown;
  try {
    raw = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch (e) {
    throw refused(`this is not JSON: ${(e as Error).message}.`);
  }
  const kit = checkKit(raw);
  if (!kit.ok) {
    throw new BadInput(json ? [JSON.stringify({ ok: false, faults: kit.error }, null, 2)] : kit.error.map(faultText));
  }
  return { kit: kit.value, sha256: sha256Of(bytes) };
}

const counted = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;

/** Checks a kit file: one line when it is sound. */
export async function kitCheckCommand(path: string, options: { readonly json?: boolean }): Promise<string> {
  const { kit, sha256 } = await readKit(path, options.json);
  const guides = kit.guides.length;
  const parts = kit.guides.reduce((sum, guide) => sum + guide.links.length, 0);
  if (options.json) {
    return JSON.stringify(
      { ok: true, name: kit.name, says: kit.says, version: kit.version, sha256, guides, parts },
      null,
      2,
    );
  }
  return `${kit.name}, version ${kit.version}, SHA-256 ${sha256}, ${counted(guides, 'guide')}, ${counted(parts, 'part')}.`;
}
