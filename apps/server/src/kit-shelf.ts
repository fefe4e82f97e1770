import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { kitFromBytes } from '@kerfline/cases';
import { err, ok, type Result } from '@kerfline/geometry';
import { type Kit, type Refusal, refusal } from '@kerfline/knee';

/** The kits that a case can be begun with. */
export interface KitShelf {
  names(): Promise<readonly string[]>;
  kit(name: string): Promise<Result<{ readonly kit: Kit; readonly bytes: Uint8Array }, readonly Refusal[]>>;
}

const isName = (name: string): boolean => /^[a-z][a-z0-9-]*$/.test(name);

/** Kits that lie in a folder, each as `<name>/kit.json`. */
export function kitShelf(folder: string): KitShelf {
  const fileOf = (name: string): string => join(folder, name, 'kit.json');
  const names = async (): Promise<readonly string[]> => {
    const found = await readdir(folder, { withFileTypes: true });
    return found
      .filter((entry) => entry.isDirectory() && isName(entry.name))
      .map((entry) => entry.name)
      .sort();
  };
  return {
    names,
    async kit(name) {
      if (!isName(name) || !(await names()).includes(name)) {
        const known = (await names()).join(', ');
        return err([refusal('unknown-kit', `There is no kit "${name}"; these are: ${known}.`)]);
      }
      const bytes = new Uint8Array(await readFile(fileOf(name)));
      const kit = kitFromBytes(bytes);
      return kit.ok ? ok({ kit: kit.value, bytes }) : kit;
    },
  };
}
