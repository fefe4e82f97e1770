import type { Polygon } from '@kerfline/geometry';
import {
  type ContactSite,
  type CutName,
  type CutPlane,
  contactsOf,
  cutDirection,
  type Leg,
  type Proof,
  type Side,
  viewAtMean,
  wearName,
} from '@kerfline/knee';
import { meanOf } from '@kerfline/uncertainty';
import type { BonePictures, BoneSection } from './bone-pictures.ts';
import type { Drawing, Point } from './drawing.ts';
import { pieceDrawing } from './piece-drawing.ts';

/** Which section shows which cut, and what part of it is drawn: below and above the joint, mm along its second axis. */
const shownOn: Readonly<
  Partial<
    Record<CutName, { readonly section: 'distal' | 'rear' | 'plateau'; readonly reach: readonly [number, number] }>
  >
> = {
  distalFemur: { section: 'distal', reach: [-2, 34] },
  posteriorFemur: { section: 'rear', reach: [-2, 70] },
  tibia: { section: 'plateau', reach: [-34, 10] },
};

const words: Readonly<Partial<Record<CutName, string>>> = {
  distalFemur: 'Far end of the femur from the front',
  posteriorFemur: 'End of the bent femur from the foot of the table',
  tibia: 'Top of the tibia from the front',
};

/** The loops of a section; one that stands for the bone is laid so that its contacts are where the leg's are. */
function laidOn(section: BoneSection, own: readonly [Point, Point]): readonly Polygon[] {
  const drawn = section.standsOn;
  if (!drawn) return section.loops;
  const scale = (own[1][0] - own[0][0]) / (drawn[1][0] - drawn[0][0]);
  const place = (p: Point): number => own[0][0] + (p[0] - drawn[0][0]) * scale;
  const rise = (own[1][1] - own[0][1] - (drawn[1][1] - drawn[0][1])) / (own[1][0] - own[0][0]);
  return section.loops.map((loop) =>
    loop.map((p) => {
      const x = place(p);
      return [x, p[1] + own[0][1] - drawn[0][1] + rise * (x - own[0][0])] as const;
    }),
  );
}

/** What comes off at a cut: the section with the fragment lifted, at life size; `undefined` where no section shows it. */
export function cutPicture(
  cut: CutName,
  plane: CutPlane,
  leg: Leg,
  proof: Proof,
  pictures: BonePictures,
): Drawing | undefined {
  const shown = shownOn[cut];
  const contacts = contactsOf(cut);
  if (!shown || !contacts) return undefined;
  const section = pictures[shown.section];
  const [first, second] = section.axes;
  const third = ([0, 1, 2] as const).find((k) => k !== first && k !== second)!;
  const view = viewAtMean(leg, cut === 'tibia' ? 'tibia' : 'femur');
  const onSection = (site: ContactSite): Point => {
    const p = view.site(site);
    return [p[first], p[second]];
  };
  const own: readonly [Point, Point] = [onSection(contacts[0]), onSection(contacts[1])];
  const removeUp: 1 | -1 = cutDirection(cut).into === -1 ? 1 : -1;
  const reader = readerRight(leg.side);
  const size = Math.hypot(plane.normal[first], plane.normal[second]);
  const toward = removeUp / size;
  const level = Math.min(own[0][1], own[1][1]);
  const top = Math.max(own[0][1], own[1][1]);
  const told = proof.cuts[cut]?.pieces;
  const flip = ([x, y]: Point): Point => [reader * x, y];
  const loops = laidOn(section, own).map((loop) => loop.map((p) => flip(p)));
  const reach = shown.reach;
  const xs = loops.flatMap((loop) =>
    loop.filter((p) => p[1] > level + reach[0] && p[1] < top + reach[1]).map((p) => p[0]),
  );
  return pieceDrawing({
    label: `${words[cut]}, flat section${section.standsOn ? ' (schematic)' : ''}, fragments lifted off`,
    loops: reader === 1 ? loops : loops.map((loop) => [...loop].reverse()),
    normal: [reader * plane.normal[first] * toward, plane.normal[second] * toward],
    offset: (plane.offset - plane.normal[third] * section.level) * toward,
    pieces: (['M', 'L'] as const).map((letter, k) => {
      const site = contacts[k]!;
      const piece = letter === 'M' ? told?.medial : told?.lateral;
      return {
        letter,
        at: flip(own[k]!),
        says: piece?.pieceMm.toFixed(2),
        wornMm: meanOf(leg.belief, wearName(site)),
      };
    }),
    liftMm: 9,
    window: [Math.min(...xs) - 1, level + reach[0] - (removeUp === 1 ? 0 : 1), Math.max(...xs) + 1, top + reach[1]],
  });
}

/** As the reader faces the patient, lateral of a left leg is to the right. */
export const readerRight = (side: Side): 1 | -1 => (side === 'left' ? 1 : -1);
