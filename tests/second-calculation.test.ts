import { env } from 'node:process';
import { expectOk } from '@kerfline/geometry';
import {
  checkKit,
  type Guide,
  type GuideInPlace,
  guidesInUse,
  type LegView,
  madeBy,
  type Settings,
  type Side,
  viewAtMean,
  walk,
} from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { type Draw, drawFrom } from './second-calculation/draw.fixture.ts';
import { inner, mark } from './second-calculation/mechanism.fixture.ts';
import { type Assembly, assemble, type Left, normalOf, type Sawn } from './second-calculation/parts.fixture.ts';
import { randomKit } from './second-calculation/random-kit.fixture.ts';
import { randomBone, randomLeg } from './second-calculation/random-leg.fixture.ts';
import { randomErrors, randomSettings } from './second-calculation/random-settings.fixture.ts';

/**
 * The forward map of the guides against a second calculation that shares nothing with it: there each part is a rigid body, held
 * by conditions on its marks (a rod meets both its ends, a plate slides until nothing is left between it and the bone), and a
 * general root finder puts it in place. Source of every expected value: that calculation, from docs/guides.md and the kit.
 */

/** Kits, each with a leg, settings and errors of its own: 10,000 in `npm run verify`, 300 in `npm test`. */
const cases = env.KERFLINE_FULL === '1' ? 10_000 : 300;
/** Rounding of a chain of a dozen parts up to half a metre long, mm and parts of a unit vector. */
const agrees = 1e-6;

type Bones = Readonly<Record<'femur' | 'tibia' | 'patella', LegView>>;

/** Two legs of three put by hand, the third laid out from stated values. */
function randomBones(draw: Draw, side: Side): Bones {
  if (draw.chance(2 / 3)) {
    return {
      femur: randomBone(draw, 'femur', side),
      tibia: randomBone(draw, 'tibia', side),
      patella: randomBone(draw, 'patella', side),
    };
  }
  const leg = randomLeg(draw, side);
  return { femur: viewAtMean(leg, 'femur'), tibia: viewAtMean(leg, 'tibia'), patella: viewAtMean(leg, 'patella') };
}

type Made = Parameters<typeof madeBy>[2];

/** One guide of a case, put together twice. */
interface Twice {
  readonly where: string;
  readonly guide: Guide;
  readonly second: Assembly;
  readonly first: GuideInPlace;
}

/** What fails inside says where. */
function saying<T>(where: string, made: () => T): T {
  try {
    return made();
  } catch (cause) {
    throw new Error(where, { cause });
  }
}

/** Every guide of one random kit that can be used on one random leg, by both calculations, each from its own cuts and pins. */
function workedTwice(seed: number): readonly Twice[] {
  const draw = drawFrom(seed, 'second calculation');
  const kit = expectOk(checkKit(randomKit(draw)), `kit of seed ${seed}`);
  const side = draw.pick(['left', 'right'] as const);
  const bones = randomBones(draw, side);
  const asked = draw.some(
    kit.guides.map((guide) => guide.id),
    0.5,
  );
  let left: Left = { cuts: new Map(), pins: new Map() };
  let made: Made = { cuts: new Map(), pins: new Map() };
  const taken = new Map<string, Settings>();
  const out: Twice[] = [];
  for (const guide of guidesInUse(kit, side, asked).used) {
    const { mountsOn } = guide;
    if (typeof mountsOn === 'object') {
      if ('cut' in mountsOn && !left.cuts.has(mountsOn.cut)) continue;
      if ('pinsOf' in mountsOn && !left.pins.has(mountsOn.pinsOf)) continue;
    }
    const leg = bones[guide.bone];
    const settings = randomSettings(draw, kit, guide, side, taken);
    taken.set(guide.id, settings);
    const errors = draw.chance(0.7) ? randomErrors(draw, guide) : {};
    const { components } = kit;
    const where = `seed ${seed}, ${side}, ${guide.id}`;
    const first = walk(guide, leg, settings, components, made, errors);
    const second = saying(where, () => assemble({ guide, leg, settings, components, errors, left }));
    left = second.left;
    made = madeBy(guide, first, made);
    out.push({ where, guide, second, first });
  }
  return out;
}

const worst = (differences: readonly number[]): number =>
  differences.reduce((most, d) => (Math.abs(d) > most || Number.isNaN(d) ? Math.abs(d) : most), 0);

/** Most that a plane of the program is off three marks of a blade (mm), or off their normal. */
function offPlane(sawn: Sawn, plane: GuideInPlace['cuts'][number]): number {
  const off = sawn.marks.map((m) => inner(m, plane.normal) - plane.offset);
  return worst([...off, ...normalOf(sawn).map((n, k) => n - plane.normal[k]!)]);
}

/** Most that a part of the program stands off a body, mm of its origin or parts of its unit axes. */
function offBody(body: Assembly['bores'][number]['at'], at: GuideInPlace['bores'][number]['at']): number {
  const origin = mark(body, [0, 0, 0]);
  return worst([
    ...origin.map((value, k) => value - at.origin[k]!),
    ...at.axes.flatMap((axis, row) => axis.map((value, k) => body[4 * k + row]! - value)),
  ]);
}

describe(`the guides of ${cases} random kits on random legs, at random settings and with errors under every key`, () => {
  const seen = new Map<string, number>();
  const saw = (what: string): void => void seen.set(what, (seen.get(what) ?? 0) + 1);

  it('put every plane, part, bore and reading where a second calculation puts it, to 1e-6 mm and 1e-6 of a normal', {
    timeout: 3_600_000,
  }, () => {
    for (let seed = 1; seed <= cases; seed += 1) {
      for (const { where, guide, second, first } of workedTwice(seed)) {
        const close = (off: number, what: string): void => {
          if (!(off <= agrees)) expect.fail(`${where}, ${what}: ${off} off`);
        };
        const planes = (sawn: readonly Sawn[], found: GuideInPlace['cuts']): void => {
          expect(
            found.map((plane) => plane.cut),
            where,
          ).toEqual(sawn.map(({ cut }) => cut));
          sawn.forEach((blade, k) => {
            close(offPlane(blade, found[k]!), `${blade.cut} plane`);
            close(Math.abs(blade.kerfMm - found[k]!.kerf), `${blade.cut} kerf`);
            saw(blade.cut);
          });
        };
        planes(second.cuts, first.cuts);
        planes(second.aligned, first.aligned);
        expect([...first.reads.keys()].sort(), where).toEqual([...second.reads.keys()].sort());
        for (const [name, value] of second.reads) {
          const found = first.reads.get(name)!;
          // A plate on a single contact has no next one: what stands over it is minus infinity in both.
          if (found !== value) close(Math.abs(found - value), `reading ${name}`);
        }
        expect(
          first.bores.map(({ link, makes }) => ({ link, makes })),
          where,
        ).toEqual(second.bores.map(({ link, makes }) => ({ link, makes })));
        for (const [k, bore] of second.bores.entries())
          close(offBody(bore.at, first.bores[k]!.at), `bore ${bore.link}`);
        for (const link of guide.links) {
          close(offBody(second.bodies.get(link.id)!, first.placed.get(link.id)!), `part ${link.id}`);
          saw(link.kind);
        }
      }
    }
    // The law is not kept by silence: every kind of link was put in place, and every cut made.
    const kinds = ['frame', 'mast', 'core', 'rest', 'feeler', 'slide', 'thread', 'swing', 'ring', 'dial', 'peg', 'pin'];
    const more = ['seat', 'sized', 'drill', 'sight', 'slit', 'openFace'];
    const cuts = ['tibia', 'distalFemur', 'posteriorFemur', 'anteriorFemur', 'posteriorChamfer', 'anteriorChamfer'];
    for (const what of [...kinds, ...more, ...cuts, 'kneecap']) {
      expect(seen.get(what) ?? 0, what).toBeGreaterThan(cases / 20);
    }
  });
});
