import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Kit, type Link, linkUnit, type Side } from '@kerfline/knee';
import { kitSheets, toSvg } from '@kerfline/sheets';
import { BadInput } from './bad-input.ts';
import { type KitRead, readKit } from './kit-check.ts';
import { table } from './table.ts';

export interface KitShowOptions {
  readonly out?: string;
  readonly side?: Side;
}

/** What is engraved on a part, or how far it goes. */
function engravedText(link: Link): string {
  const unit = linkUnit(link);
  if ('values' in link) return `${link.values.join(' ')} ${unit}`;
  if ('rows' in link) return link.rows.map((row) => `${row.says ?? row.id} at ${row.offsetMm}`).join(', ');
  if ('range' in link) {
    const marks = link.kind === 'slide' && link.marks ? `, "${link.marks.says}" every ${link.marks.everyMm} mm` : '';
    const turns = link.kind === 'thread' ? `, ${link.pitchMm} mm a turn` : '';
    const step = 'step' in link && link.step !== null ? `, steps of ${link.step}` : '';
    return `${link.range[0]} to ${link.range[1]} ${unit}${step}${marks}${turns}`;
  }
  if ('gapMm' in link) return `gap ${link.gapMm}, kerf ${link.kerfMm} mm, leans on ${link.referenceFace}`;
  return '';
}

function listing({ kit, sha256 }: KitRead, side: Side | undefined): string {
  const guides = kit.guides.filter((guide) => side === undefined || guide.side === undefined || guide.side === side);
  return [
    `${kit.says} (${kit.name}), version ${kit.version}, SHA-256 ${sha256}`,
    ...guides.flatMap((guide) => [
      '',
      `${guide.says} (${guide.id}), ${guide.bone}${guide.side ? `, ${guide.side.toUpperCase()} knee only` : ''}: ${guide.prepare.parts.join(', ')}`,
      table([
        ['part', 'kind', 'called', 'engraved', 'larger is', 'sides', 'sd', 'bias'],
        ...guide.links.map((link) => [
          link.id,
          link.kind,
          link.says,
          engravedText(link),
          'toward' in link ? link.toward : 'turn' in link ? link.turn : '',
          'faces' in link && link.faces
            ? side
              ? `${link.faces[side]} up`
              : `${link.faces.left} / ${link.faces.right} up`
            : (link.hand ?? ''),
          String(link.sd),
          link.bias === undefined ? '' : String(link.bias),
        ]),
      ]),
    ]),
  ].join('\n');
}

/** Writes the pages of a kit's scales, one SVG each, named for kit and guide. */
async function drawn(kit: Kit, sha256: string, folder: string, side: Side | undefined): Promise<string> {
  const sheets = kitSheets(kit, sha256, side);
  try {
    await mkdir(folder, { recursive: true });
    for (const { name, drawing } of sheets) {
      await writeFile(join(folder, `${kit.name}-${name}.svg`), toSvg(drawing, name));
    }
  } catch (e) {
    throw new BadInput([`${folder} cannot be written: ${(e as Error).message}.`]);
  }
  return `${folder}: ${sheets.length} pages of ${kit.name}, A4. Print at 100 % and measure the 50 mm bar.`;
}

/** The scales of a kit: as drawings in a folder, or as a list. */
export async function kitShowCommand(path: string, options: KitShowOptions): Promise<string> {
  const read = await readKit(path);
  return options.out === undefined
    ? listing(read, options.side)
    : drawn(read.kit, read.sha256, options.out, options.side);
}
