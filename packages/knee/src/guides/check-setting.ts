import { err, ok, type Result } from '@kerfline/geometry';
import type { Kit } from '../kits/kit.ts';
import type { Unit } from '../quantity.ts';
import { type Refusal, refusal } from '../refusal.ts';
import { detents } from './choices.ts';
import { isSettable, type Link, linkUnit } from './guide.ts';
import { opposite, type Sense } from './sense.ts';
import type { Setting } from './setting.ts';
import { linkSense, unspoken } from './speak.ts';

/** A setting as a person says it: an amount in a unit, with a word for the direction. */
export interface SaidSetting {
  readonly guide: string;
  readonly link: string;
  readonly value: number;
  readonly unit: Unit;
  readonly sense?: Sense | undefined;
  readonly site?: string | undefined;
  readonly pivot?: 'middle' | 'medial' | 'lateral' | undefined;
  readonly keeps?: 'rear' | 'front' | undefined;
  readonly shimsMm?: Readonly<Record<string, number>> | undefined;
}

/** Two settings nearer than this are the same mark, mm or degrees. */
const sameMark = 1e-6;

const among = (value: number, values: readonly number[]): boolean => values.some((v) => Math.abs(v - value) < sameMark);

/** Values a link may stand at, as a list or as a range. */
function allowed(link: Link, kit: Kit): readonly number[] | readonly [string, number, number] {
  switch (link.kind) {
    case 'ring':
    case 'dial':
    case 'peg':
    case 'feeler':
      return link.values;
    case 'slide':
      if (link.sizes) return kit.components.femur.map((f) => f.size);
      return link.step === null ? ['range', ...link.range] : detents({ ...link, step: link.step });
    case 'swing':
      return link.step === null ? ['range', ...link.range] : detents({ ...link, step: link.step });
    case 'thread':
      return ['range', ...link.range];
    default:
      return [];
  }
}

const isRange = (values: ReturnType<typeof allowed>): values is readonly [string, number, number] =>
  typeof values[0] === 'string';

/** Turns a said setting into one the walker understands, or says what the link allows. */
export function checkSetting(kit: Kit, said: SaidSetting): Result<Setting, Refusal> {
  const guide = kit.guides.find((g) => g.id === said.guide);
  if (!guide) {
    return err(
      refusal(
        'unknown-guide',
        `${said.guide} is no guide of this kit; it has ${kit.guides.map((g) => g.id).join(', ')}.`,
      ),
    );
  }
  const link = guide.links.find((l) => l.id === said.link);
  if (!link || !(isSettable(link) || link.kind === 'rest')) {
    const settable = guide.links.filter((l) => isSettable(l) || l.kind === 'rest').map((l) => l.id);
    return err(refusal('unknown-link', `${said.link} cannot be set on ${said.guide}; it has ${settable.join(', ')}.`));
  }
  const where = `${said.guide} ${said.link}`;
  if (said.unit !== linkUnit(link)) {
    return err(refusal('wrong-unit', `${where} is set in ${linkUnit(link)}; ${said.value} ${said.unit} was given.`));
  }
  if (!Number.isFinite(said.value)) return err(refusal('not-a-number', `${where} was given no number.`));
  const value = unspoken(link, said.value, said.sense);
  if (value === undefined) {
    const own = linkSense(link);
    return err(
      refusal(
        'wrong-sense',
        own
          ? `${where} goes ${own} or ${opposite(own)}; ${said.sense ?? 'no direction'} was given with ${said.value}.`
          : `${where} has no direction; ${said.sense} was given.`,
      ),
    );
  }
  const values = allowed(link, kit);
  if (link.kind !== 'rest') {
    const fits = isRange(values)
      ? value >= values[1] - sameMark && value <= values[2] + sameMark
      : among(value, values as readonly number[]);
    if (!fits) {
      const list = isRange(values)
        ? `${values[1]} to ${values[2]} ${linkUnit(link)}`
        : `${(values as readonly number[]).join(', ')} ${linkUnit(link)}`;
      return err(refusal('off-detent', `${where} cannot stand at ${value} ${linkUnit(link)}; it allows ${list}.`));
    }
  }
  if (link.kind === 'feeler') {
    const site = said.site ?? link.touches[0]!;
    if (!link.touches.includes(site)) {
      return err(refusal('wrong-site', `${where} touches ${link.touches.join(' or ')}; ${site} was given.`));
    }
    return ok({ value, site });
  }
  if (link.kind === 'swing' && link.pivots) {
    const pivot = said.pivot ?? link.pivots[0]!;
    if (!link.pivots.includes(pivot)) {
      return err(refusal('wrong-pivot', `${where} pivots on ${link.pivots.join(', ')}; ${pivot} was given.`));
    }
    return ok({ value, pivot });
  }
  if (link.kind === 'slide' && link.sizes) {
    const keeps = said.keeps ?? link.sizes.keeps[0]!;
    if (!link.sizes.keeps.includes(keeps)) {
      return err(refusal('wrong-reference', `${where} keeps ${link.sizes.keeps.join(' or ')}; ${keeps} was given.`));
    }
    return ok({ value, keeps });
  }
  if (link.kind === 'rest') {
    const shims = said.shimsMm ?? {};
    for (const [site, mm] of Object.entries(shims)) {
      if (!link.sites.includes(site) || !among(mm, [0, ...(link.shimsMm ?? [])])) {
        return err(
          refusal(
            'wrong-shim',
            `${where} takes shims of ${(link.shimsMm ?? []).join(', ')} mm under ${link.sites.join(' or ')}; ${mm} mm under ${site} was given.`,
          ),
        );
      }
    }
    return ok({ value: 0, shimsMm: shims });
  }
  return ok({ value });
}
