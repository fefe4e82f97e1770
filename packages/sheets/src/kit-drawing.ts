import type { Guide, Kit, Side } from '@kerfline/knee';
import { caution } from './caution.ts';
import { checkBar } from './check-bar.ts';
import { box, type Drawing, text } from './drawing.ts';
import { type Figure, moved, page, room, sizes, wrapped } from './kit-page.ts';
import { blockOf, isAcross } from './kit-parts.ts';

/** One page of a kit's drawings, A4 upright in true millimetres. */
export interface KitSheet {
  /** Guide and page, such as `shin-mast` or `shin-mast-2`: a name for its file. */
  readonly name: string;
  readonly drawing: Drawing;
}

/** Whether anything of a guide differs between the sides. */
const sideMatters = ({ links, side }: Guide): boolean =>
  side !== undefined ||
  links.some(
    (link) =>
      (link.hand !== undefined && link.hand !== 'same') ||
      ('toward' in link && isAcross(link.toward)) ||
      ('turn' in link && isAcross(link.turn)),
  );

function pageOf(
  guide: Guide,
  kit: Kit,
  sha256: string,
  side: Side | undefined,
  blocks: readonly { readonly y: number; readonly figure: Figure }[],
  number: number,
  of: number,
): Drawing {
  const bar = checkBar(50, '50 mm: measure before use');
  const knee = guide.side ?? side;
  const whose = !sideMatters(guide) ? '' : knee ? `${knee.toUpperCase()} KNEE` : 'EITHER KNEE';
  const right = page.width - page.margin;
  return {
    label: `${guide.says} of the kit ${kit.says}, version ${kit.version}, its scales in true millimetres${whose === '' ? '' : `, ${whose.toLowerCase()}`}`,
    box: [0, 0, page.width, page.height],
    marks: [
      box(0, 0, page.width, page.height, { fill: 'paper' }),
      text([page.margin, 20], `${guide.says}, ${guide.bone}`, sizes.title, 'metal', { bold: true }),
      text([right, 20], whose, sizes.name, 'metal', { anchor: 'end', bold: true }),
      text(
        [page.margin, 26],
        `${kit.says} (${kit.name}), version ${kit.version}${of > 1 ? `, page ${number} of ${of}` : ''}`,
        sizes.words,
        'caption',
      ),
      text([page.margin, 30], `SHA-256 ${sha256}`, 2.4, 'caption'),
      ...blocks.map(({ y, figure }) => moved([page.margin, y], figure.marks)),
      moved([page.margin, page.bottom + 3], bar.marks),
      ...wrapped(caution, 2.2, room - 60).map((words, k) =>
        text([page.margin + 60, page.bottom + 5 + 3 * k], words, 2.2, 'caption'),
      ),
    ],
  };
}

/**
 * The scales of every guide of a kit in true millimetres, for holding against the metal; no leg is needed.
 *
 * @param sha256 of the kit's file, printed on each page
 * @param side draws only what this side uses and says directions as they are seen on it; without it both are shown
 */
export function kitSheets(kit: Kit, sha256: string, side?: Side): readonly KitSheet[] {
  const sizesOfKit = kit.components.femur.map((femur) => femur.size);
  return kit.guides.flatMap((guide) => {
    if (side !== undefined && guide.side !== undefined && guide.side !== side) return [];
    const pages: { y: number; figure: Figure }[][] = [[]];
    let y: number = page.top;
    for (const link of guide.links) {
      const figure = blockOf(link, sizesOfKit, side);
      if (!figure) continue;
      if (y + figure.height > page.bottom && pages.at(-1)!.length > 0) {
        pages.push([]);
        y = page.top;
      }
      pages.at(-1)!.push({ y, figure });
      y += figure.height;
    }
    return pages.map((blocks, i) => ({
      name: i === 0 ? guide.id : `${guide.id}-${i + 1}`,
      drawing: pageOf(guide, kit, sha256, side, blocks, i + 1, pages.length),
    }));
  });
}
