import { err, ok, type Result } from '@kerfline/geometry';
import { type ClinicalDefault, workingDefault } from '../defaults/clinical-default.ts';
import { outputWords } from '../guides/outputs.ts';
import type { Positive, Unit } from '../quantity.ts';
import { type Refusal, refusal } from '../refusal.ts';
import { type WantedName, wantedNames } from './aims-of-leg.ts';
import { type Fence, type Philosophy, philosophyNames } from './philosophy.ts';
import { brokenFence, fenceText } from './resolve-aims.ts';

/** A wanted value as a person says it. */
export interface SaidAim {
  readonly name: string;
  readonly value: number;
  readonly unit: Unit;
  readonly positive?: Positive | undefined;
}

/** Wanted values beyond these are slips, degrees or mm. */
const sane: Readonly<Record<WantedName, readonly [number, number]>> = {
  femurValgus: [-12, 12],
  tibiaVarus: [-12, 12],
  tibiaSlope: [-5, 15],
  femurRotation: [-8, 12],
  femurCutDepth: [4, 20],
  tibiaCutDepth: [2, 25],
};

/** Limits of everything that can be wanted. */
export const wantedDefaults: readonly ClinicalDefault[] = Object.entries(sane).map(([name, range]) => ({
  name: `Wanted values: ${name}`,
  range,
  unit: outputWords[name as WantedName].unit,
  usedFor: 'what is refused as a slip',
  source: workingDefault,
}));

const fenceOf: Readonly<Partial<Record<WantedName, { readonly on: Fence['on']; readonly as: (v: number) => number }>>> =
  {
    femurValgus: { on: 'LDFA', as: (v) => 90 - v },
    tibiaVarus: { on: 'MPTA', as: (v) => 90 - v },
    tibiaSlope: { on: 'slope', as: (v) => v },
  };

/** Checks wanted values against their unit, their word and the fences of the philosophy. */
export function checkAims(
  philosophy: Philosophy,
  said: readonly SaidAim[],
): Result<Readonly<Partial<Record<WantedName, number>>>, Refusal> {
  const wanted: Partial<Record<WantedName, number>> = {};
  for (const aim of said) {
    const name = wantedNames.find((n) => n === aim.name);
    if (!name) {
      return err(refusal('unknown-aim', `${aim.name} is no aim; these are: ${wantedNames.join(', ')}.`));
    }
    const words = outputWords[name];
    if (aim.unit !== words.unit) {
      return err(refusal('wrong-unit', `${name} is wanted in ${words.unit}; ${aim.value} ${aim.unit} was given.`));
    }
    if (words.positive && aim.positive === undefined) {
      return err(
        refusal(
          'no-sense',
          `${name} needs a word for its direction, such as ${words.positive}; ${aim.value} was given alone.`,
        ),
      );
    }
    const flipped = words.positive === 'varus' ? 'valgus' : words.positive === 'valgus' ? 'varus' : undefined;
    if (words.positive && aim.positive !== words.positive && aim.positive !== flipped) {
      return err(refusal('wrong-sense', `${name} is ${words.positive}; ${aim.positive} was given.`));
    }
    const value = aim.positive !== undefined && aim.positive === flipped ? -aim.value : aim.value;
    const [low, high] = sane[name];
    if (!(value >= low && value <= high)) {
      return err(
        refusal(
          'out-of-range',
          `${name} is wanted as ${aim.value} ${aim.unit}; values from ${low} to ${high} are taken.`,
        ),
      );
    }
    const fenced = fenceOf[name];
    const fence = fenced && brokenFence(philosophy, fenced.on, fenced.as(value));
    if (fence) {
      return err(
        refusal(
          'outside-fence',
          `${name} ${aim.value} ${aim.unit}${aim.positive ? ` ${aim.positive}` : ''} lies outside the fence of ${philosophy.says}: ${fenceText(fence)}.`,
        ),
      );
    }
    wanted[name] = value;
  }
  if (wanted.femurValgus !== undefined && wanted.tibiaVarus !== undefined) {
    const limb = wanted.femurValgus - wanted.tibiaVarus;
    const fence = brokenFence(philosophy, 'limb', limb);
    if (fence) {
      return err(
        refusal(
          'outside-fence',
          `Together they make the limb ${Math.abs(limb).toFixed(1)} ${limb < 0 ? 'varus' : 'valgus'}, outside the fence of ${philosophy.says}: ${fenceText(fence)}.`,
        ),
      );
    }
  }
  return ok(wanted);
}

/** A philosophy's name, or what the names are. */
export const checkPhilosophyName = (name: string): Refusal | undefined =>
  (philosophyNames as readonly string[]).includes(name)
    ? undefined
    : refusal('unknown-philosophy', `${name} is no philosophy here; these are: ${philosophyNames.join(', ')}.`);
