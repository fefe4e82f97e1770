import { err, ok, type Result } from '@kerfline/geometry';
import { type ClinicalDefault, type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { Unit } from '../quantity.ts';
import { checkKit, type KitFault } from './check-kit.ts';
import type { Kit } from './kit.ts';
import { fieldsOfLink } from './kit-form-fields.ts';
import { type InstrumentSteps, instrumentInHand, instruments } from './kit-form-instruments.ts';
import { parseNumbers } from './kit-form-numbers.ts';
import { isObject, type Plain, type PlainObject, valueAt, withValueAt } from './kit-form-path.ts';
import { type Question, questionsOf } from './kit-form-questions.ts';
import { type Answers, type Entry, guideFieldNames, isBlank, type Shaped, shaped } from './kit-form-typed.ts';
import { type Repeats, repeats, repeatsAsked, stepSd } from './repeats.ts';

/**
 * A kit from real metal: what a pattern needs to be told and measured, in order of use, and the kit that the answers make.
 * Engraved numbers stay as engraved: what the metal does beyond them goes to `bias` and `sd`, or is a fault. Dates and single
 * readings are not kept in a kit.
 */

/** One step of the form. */
export type FormStep =
  | { readonly kind: 'entry'; readonly entry: Entry; readonly path: string; readonly part: string }
  | { readonly kind: 'question'; readonly question: Question; readonly path: string; readonly part: string };

/** Name of the kit where nobody gives one. */
export interface FormDefaults {
  readonly name: string;
}

/** Beyond so much, one engraved number is not what its neighbours are. */
const singleOff = { mm: 0.3, deg: 0.5 } as const;
/** Beyond so much, a whole part is not what is engraved on it. */
const commonOff = { mm: 1, deg: 1 } as const;

/** An offset is there at all beyond so many of its own spreads. */
export const biasSpreads: ScalarDefault = {
  name: 'Measuring a kit: bias',
  value: 2,
  unit: 'sd',
  usedFor: 'what a whole part is off is its bias beyond so many spreads of that offset',
  source: workingDefault,
};

/** How far metal may be off its engraving. */
export const engravingDefaults: readonly ClinicalDefault[] = [
  ...Object.entries(singleOff).map(([unit, value]) => ({
    name: `Measuring a kit: one engraved number off, ${unit}`,
    value,
    unit: unit as Unit,
    usedFor: 'beyond this one engraved number is a fault',
    source: workingDefault,
  })),
  ...Object.entries(commonOff).map(([unit, value]) => ({
    name: `Measuring a kit: whole part off, ${unit}`,
    value,
    unit: unit as Unit,
    usedFor: 'beyond this a whole part is a fault; below it becomes its bias',
    source: workingDefault,
  })),
];

const round = (value: number): number => Number(value.toFixed(4)) + 0;

const isAsked = (question: Question, { unasked, brief }: Shaped): boolean =>
  !unasked.has(question.part) && (question.short || !brief);

/**
 * What is asked, in order: the kit, then guide by guide and part by part what is typed and what is measured, then components.
 * It depends on what has been answered: a part that is not there is not asked about.
 */
export function formSteps(pattern: Kit, answers: Answers, defaults: FormDefaults): readonly FormStep[] {
  const form = shaped(pattern as unknown as Plain, answers, defaults);
  const questions = questionsOf(form.kit).filter((q) => isAsked(q, form));
  const steps = form.entries.map((entry): FormStep => ({ kind: 'entry', entry, path: entry.path, part: entry.part }));
  return steps.flatMap((step, i): readonly FormStep[] => {
    if (steps[i + 1]?.part === step.part) return [step];
    return [
      step,
      ...questions
        .filter((q) => q.part === step.part)
        .map((question): FormStep => ({ kind: 'question', question, path: question.path, part: question.part })),
    ];
  });
}

/** One question with what was measured. */
export interface Measured {
  readonly question: Question;
  readonly readings: readonly number[];
  readonly repeats: Repeats;
  /** Whether it went into the kit. */
  readonly used: boolean;
}

export interface KitMade {
  /** The kit, or every fault by place. */
  readonly kit: Result<Kit, readonly KitFault[]>;
  /** What was measured, with its verdict, in order of the form. */
  readonly measured: readonly Measured[];
  /** Places that keep the pattern's value. */
  readonly notMeasured: readonly string[];
  /** Typed fields that nobody answered and that turn a cut round or move it when they are wrong. */
  readonly notChecked: readonly string[];
  /** Answers for parts that the kit does not have. */
  readonly setAside: readonly string[];
  /** Metal that is not what is engraved on it: the kit is made all the same. */
  readonly faults: readonly KitFault[];
  /** Answers that could not be read: with any of them the kit is not what was meant. */
  readonly unread: readonly KitFault[];
}

/** A mark after readings that look like a slip and are none: their own part is ten times the pattern's. */
const meantMark = /\s*!\s*$/;

/** Readings of one question as typed, and whether the person stands by them. */
function typedReadings(
  answer: string,
): Result<{ readonly readings: readonly number[]; readonly meant: boolean }, string> {
  const readings = parseNumbers(answer.replace(meantMark, ''));
  return readings.ok ? ok({ readings: readings.value, meant: meantMark.test(answer) }) : readings;
}

/** What the readings of one question come to, with the instrument in this person's hand. */
function readingsOf(
  question: Question,
  { readings, meant }: { readonly readings: readonly number[]; readonly meant: boolean },
  steps: InstrumentSteps,
): Repeats {
  // On the other side of zero some write the engraved sign and some do not.
  const sizes = question.sign === -1 ? readings.map(Math.abs) : readings;
  const seen = repeats(sizes, instrumentInHand(question.instrument, steps), question.unit, question.expected);
  return meant ? { ...seen, slips: [] } : seen;
}

const isUsable = ({ verdict, slips }: Repeats): boolean =>
  (verdict === 'fine' || verdict === 'scattered') && slips.length === 0;

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
};

interface Difference {
  readonly measured: Measured;
  /** What the metal does beyond what is engraved, toward larger numbers. */
  readonly off: number;
}

const fixed = (value: number): string => String(Number(value.toFixed(3)));

const singleFault = ({ measured: { question, repeats: seen } }: Difference, common: number): KitFault => ({
  path: question.path,
  found: `${fixed(seen.value)} ${question.unit} measured, ${question.engraved} engraved${Math.abs(common) > 1e-9 ? `, ${fixed(common)} off on the whole part` : ''}`,
  allowed: `within ${singleOff[question.unit]} ${question.unit} of what is engraved on this part`,
});

/** What a part does beyond its engraving: one offset for all its numbers, the spread of a setting, and numbers that stand out. */
function partResult(
  differences: readonly Difference[],
  step: number,
): { readonly bias: number; readonly sd: number; readonly faults: readonly KitFault[] } {
  const { unit, part } = differences[0]!.measured.question;
  const middle = median(differences.map((d) => d.off));
  const outside = differences.filter((d) => !(Math.abs(d.off - middle) <= singleOff[unit]));
  const inside = differences.filter((d) => !outside.includes(d));
  const counted = inside.length > 0 ? inside : differences;
  const common = counted.reduce((sum, d) => sum + d.off, 0) / counted.length;
  const freedom = counted.reduce((sum, d) => sum + d.measured.readings.length - 1, 0);
  const pooled = Math.sqrt(
    counted.reduce((sum, d) => sum + (d.measured.readings.length - 1) * d.measured.repeats.sd ** 2, 0) / freedom,
  );
  const readings = counted.reduce((sum, d) => sum + d.measured.readings.length, 0);
  // An offset is there when it is more than twice its spread; steps of the instrument do not average away.
  const spread = Math.max(pooled / Math.sqrt(readings), stepSd(step));
  return {
    bias: Math.abs(common) > biasSpreads.value * spread ? round(common) : 0,
    sd: round(pooled),
    faults: [
      ...outside.map((d) => singleFault(d, common)),
      ...(Math.abs(common) <= commonOff[unit]
        ? []
        : [
            {
              path: `${part}.bias`,
              found: `${fixed(common)} ${unit} between what is measured and what is engraved`,
              allowed: `at most ${commonOff[unit]} ${unit}`,
            },
          ]),
    ],
  };
}

const spreadField = (path: string): string => path.replace(/(Mm|Deg)$/, 'Sd$1');

/** Puts what was measured into a kit whose parts still have the pattern's names. */
function folded(
  kit: Plain,
  measured: readonly Measured[],
  steps: InstrumentSteps,
): { readonly kit: Plain; readonly faults: readonly KitFault[] } {
  const faults: KitFault[] = [];
  let now = kit;
  const used = measured.filter((m) => m.used);
  for (const { question, repeats: seen } of used) {
    if (question.goes === 'dimension') {
      for (const path of [question.path, ...question.also]) {
        now = withValueAt(now, path, round(seen.value / question.times));
        const spread = spreadField(path);
        if (spread !== path && valueAt(now, spread) !== undefined) now = withValueAt(now, spread, round(seen.sd));
      }
    }
    if (question.goes === 'engraved' && !(Math.abs(seen.value - question.engraved!) <= singleOff[question.unit])) {
      faults.push(singleFault({ measured: { question, repeats: seen, readings: [], used: true }, off: 0 }, 0));
    }
  }
  const parts = [...new Set(used.filter((m) => m.question.goes === 'setting').map((m) => m.question.part))];
  for (const part of parts) {
    const own = used.filter((m) => m.question.part === part && m.question.goes === 'setting');
    const differences = own.map((m): Difference => {
      const { question } = m;
      const spacing = question.marks && valueAt(now, question.marks.path);
      // A slide set to a mark is held against the spacing that was measured.
      const meant = question.marks && typeof spacing === 'number' ? question.marks.count * spacing : question.engraved!;
      return { measured: m, off: question.sign * (m.repeats.value - meant) };
    });
    const step = Math.max(...own.map((m) => instrumentInHand(m.question.instrument, steps).step));
    const result = partResult(differences, step);
    faults.push(...result.faults);
    now = withValueAt(now, `${part}.sd`, result.sd);
    if (result.bias !== 0 || valueAt(now, `${part}.bias`) !== undefined) {
      now = withValueAt(now, `${part}.bias`, result.bias === 0 ? undefined : result.bias);
    }
  }
  return { kit: now, faults };
}

const objects = (value: Plain | undefined): readonly PlainObject[] =>
  Array.isArray(value) ? value.filter(isObject) : [];

/** Gives guides and links their new names, and everything that speaks of them. */
function renamed(kit: Plain, names: ReadonlyMap<string, string>): Plain {
  if (names.size === 0 || !isObject(kit)) return kit;
  const guideName = (id: Plain | undefined): Plain | undefined =>
    typeof id === 'string' ? (names.get(`guides.${id}`) ?? id) : id;
  const linkName = (guide: Plain | undefined, id: Plain | undefined): Plain | undefined =>
    typeof id === 'string' ? (names.get(`guides.${String(guide)}.links.${id}`) ?? id) : id;
  const ofGuide = /(^|\.)(guide|pinsOf|insteadOf)$/;
  const guides = objects(kit.guides).map((guide): PlainObject => {
    const links = objects(guide.links).map(
      (link): PlainObject =>
        fieldsOfLink(link)
          .filter((field) => field.form.form === 'name' && (field.name === 'id' || !/(^|\.)id$/.test(field.name)))
          .reduce<Plain>((so, { name }) => {
            const value = valueAt(link, name);
            if (value === undefined) return so;
            const owner = valueAt(link, name.replace(/link$/, 'guide'));
            return withValueAt(
              so,
              name,
              ofGuide.test(name)
                ? guideName(value)
                : linkName(/\.link$/.test(name) && owner !== undefined ? owner : guide.id, value),
            );
          }, link) as PlainObject,
    );
    const through = (value: Plain | undefined): Plain | undefined =>
      value === undefined
        ? undefined
        : objects(value).map((item) => ({ ...item, link: linkName(guide.id, item.link) }));
    const { mountsOn } = guide;
    return {
      ...guide,
      id: guideName(guide.id),
      mountsOn:
        isObject(mountsOn) && mountsOn.pinsOf !== undefined
          ? { ...mountsOn, pinsOf: guideName(mountsOn.pinsOf) }
          : mountsOn,
      ...(guide.insteadOf === undefined ? {} : { insteadOf: guideName(guide.insteadOf) }),
      links,
      outputs: through(guide.outputs),
      ...(guide.aligns === undefined ? {} : { aligns: through(guide.aligns) }),
    };
  });
  return { ...kit, guides };
}

/** Undefined has no place in a file. */
const asFile = (kit: Plain): unknown => JSON.parse(JSON.stringify(kit));

/**
 * The kit that the answers make of a pattern.
 *
 * Readings go in when there are enough of them, none stands far from the others and none looks like a slip; else the pattern's
 * value stays and the report says so.
 */
export function kitFromAnswers(pattern: Kit, answers: Answers, defaults: FormDefaults): KitMade {
  const form = shaped(pattern as unknown as Plain, answers, defaults);
  const questions = questionsOf(form.kit);
  const unread: KitFault[] = [...form.faults];
  const notMeasured: string[] = [];
  const measured: Measured[] = [];
  const known = new Set<string>([...form.entries.map((e) => e.path)]);
  for (const question of questions) {
    // One of the places that share a dimension may have readings of its own.
    const alone = question.also.filter((path) => !isBlank(answers.get(path)));
    const shared = { ...question, also: question.also.filter((path) => !alone.includes(path)) };
    for (const path of [question.path, ...question.also]) known.add(path);
    for (const one of [shared, ...alone.map((path): Question => ({ ...question, path, also: [] }))]) {
      const answer = answers.get(one.path);
      if (isBlank(answer)) {
        notMeasured.push(one.path, ...one.also);
        continue;
      }
      const typed = typedReadings(answer!);
      if (!typed.ok) {
        unread.push({ path: one.path, found: answer!, allowed: typed.error });
        notMeasured.push(one.path, ...one.also);
        continue;
      }
      const seen = readingsOf(one, typed.value, form.steps);
      const used = isUsable(seen);
      measured.push({ question: one, readings: typed.value.readings, repeats: seen, used });
      if (!used) notMeasured.push(one.path, ...one.also);
    }
  }
  const result = folded(form.kit, measured, form.steps);
  return {
    kit: checkKit(asFile(renamed(result.kit, form.names))),
    measured,
    notMeasured,
    notChecked: form.entries
      .filter((entry) => entry.check && isBlank(answers.get(entry.path)))
      .map((entry) => entry.path),
    setAside: [...answers.keys()].filter((path) => !known.has(path)),
    faults: result.faults,
    unread,
  };
}

/**
 * Whether an answer will do, and what it comes to, for who asks one at a time.
 *
 * @returns what is there in words, or what is allowed; `again` when it should be typed once more
 */
export function heard(
  pattern: Kit,
  answers: Answers,
  step: FormStep,
  answer: string,
  defaults: FormDefaults,
): Result<{ readonly says: string; readonly again: boolean }, string> {
  if (isBlank(answer)) return ok({ says: '', again: false });
  if (step.kind === 'entry') {
    const form = shaped(pattern as unknown as Plain, new Map([...answers, [step.path, answer]]), defaults);
    const fault = form.faults.find((f) => f.path === step.path);
    return fault ? err(fault.allowed) : ok({ says: '', again: false });
  }
  const typed = typedReadings(answer);
  if (!typed.ok) return typed;
  const { question } = step;
  const seen = readingsOf(question, typed.value, shaped(pattern as unknown as Plain, answers, defaults).steps);
  return ok({
    says: repeatsText(question, seen),
    again: seen.slips.length > 0 || seen.verdict === 'contradictory' || seen.verdict === 'too few',
  });
}

const slipWords = {
  'ten times': 'ten times too large',
  'a tenth': 'ten times too small',
  'a comma lost': 'like a number whose comma was lost',
  inches: 'like inches',
  'mm for inches': 'like 25.4 times too large',
} as const;

/** What readings come to, as a sentence. */
export function repeatsText({ unit, times }: Pick<Question, 'unit' | 'times'>, seen: Repeats): string {
  const each = times === 1 ? '' : `, ${fixed(seen.value / times)} each`;
  // Readings that slipped in the same way are one thing to say.
  const kinds = seen.slips.filter((slip, i) => seen.slips.findIndex((other) => other.looks === slip.looks) === i);
  const slips = kinds
    .map((s) => `; ${s.reading} looks ${slipWords[s.looks]}: ${fixed(s.meant)}? (! after the readings: they are right)`)
    .join('');
  const odd = seen.odd.length > 0 ? `; far from the others: ${seen.odd.join(', ')}` : '';
  const few = seen.verdict === 'too few' ? ` (${seen.count} of ${repeatsAsked})` : '';
  return `${fixed(seen.value)} ${unit}${each}, give or take ${fixed(seen.sd)}: ${seen.verdict}${few}${odd}${slips}`;
}

const without = (path: string): string => path.replace(/\[\d+\]/g, '');

/**
 * Answers for places that no kit of this pattern can have: a slip of the pen. Places of parts that were left out are not among
 * them.
 */
export function unknownPlaces(pattern: Kit, answers: Answers, defaults: FormDefaults): readonly string[] {
  const root = pattern as unknown as Plain;
  const all = new Map([
    ...['femur', 'tray', 'insert', 'button'].map((f): [string, string] => [`components.${f}`, 'yes']),
    ['form', 'full'] as [string, string],
  ]);
  const known = new Set(formSteps(pattern, all, defaults).map((step) => without(step.path)));
  for (const question of questionsOf(root)) for (const path of question.also) known.add(without(path));
  known.add('components.allowedPairs');
  for (const guide of pattern.guides) {
    for (const name of guideFieldNames(guide as unknown as PlainObject)) known.add(`guides.${guide.id}.${name}`);
    for (const link of guide.links) {
      const fields = fieldsOfLink(link as unknown as Plain).map((field) => without(field.name));
      for (const name of fields) known.add(`guides.${guide.id}.links.${link.id}.${name}`);
    }
  }
  return [...answers.keys()].filter((path) => !known.has(without(path)));
}

const goesWords = {
  dimension: 'What you measure goes into the kit in place of the pattern.',
  setting:
    'What is engraved stays. What the metal does beyond it becomes the bias of the part if all its numbers share it; the scatter becomes its sd.',
  engraved: 'What is engraved stays; it is a fault if the metal differs from it.',
} as const;

/** What is asked, at more length. */
export function explained(step: FormStep): string {
  if (step.kind === 'question') {
    const { instrument, goes, also, times, repeats: wanted, unit } = step.question;
    return [
      `${wanted} readings in ${unit}, separated by spaces, each from anew. ${instruments[instrument].how}`,
      goesWords[goes],
      ...(times > 1 ? [`Type the whole length over ${times}; it is divided for you.`] : []),
      ...(also.length > 0 ? [`The same blade is used for ${also.length} more slits, which take it too.`] : []),
      `Place: ${step.path}`,
    ].join('\n');
  }
  const { entry } = step;
  return [
    entry.form.form === 'guide' || entry.form.form === 'link'
      ? 'Enter or yes: as it is here. no: yours has none. Or the names of what differs, separated by spaces; each is then asked.'
      : `Enter keeps: ${entry.now}.${entry.none ? ' none takes it out.' : ''}`,
    ...('options' in entry.form ? [`Allowed: ${entry.form.options.join(', ')}`] : []),
    ...(entry.differs ? [`What may differ: ${entry.differs.join(' ')}`] : []),
    `Place: ${step.path}`,
  ].join('\n');
}
