import { err, ok, type Result } from '@kerfline/geometry';
import type { z } from 'zod';
import { cutNames } from '../guides/guide.ts';
import { type Field, type FieldForm, fieldsOf, fieldsOfLink, isDimension } from './kit-form-fields.ts';
import { type InstrumentSteps, instruments } from './kit-form-instruments.ts';
import { parseNumber, parseNumbers } from './kit-form-numbers.ts';
import { isObject, type Plain, type PlainObject, valueAt, withValueAt } from './kit-form-path.ts';
import { guideSchema } from './kit-schema.ts';

/** What a person typed, by place; an empty answer or `-` leaves the pattern as it is. */
export type Answers = ReadonlyMap<string, string>;

/** One thing that is typed and not measured. */
export interface Entry {
  readonly path: string;
  readonly asks: string;
  readonly form: FieldForm | { readonly form: 'guide' | 'link' | 'family' | 'mount' | 'pairs' };
  /** What Enter keeps, as it would be typed. */
  readonly now: string;
  readonly none?: Field['none'];
  /** The part it belongs to, such as `guides.shin-mast.links.head`. */
  readonly part: string;
  /** Worth naming when nobody answered it: a wrong guess here turns a cut round or moves it by a kerf. */
  readonly check?: true;
  /** Of a guide or part: names of what may be said to differ. */
  readonly differs?: readonly string[];
}

export const isBlank = (text: string | undefined): boolean => text === undefined || /^\s*-?\s*$/.test(text);

const objects = (value: Plain | undefined): readonly PlainObject[] =>
  Array.isArray(value) ? value.filter(isObject) : [];
const textOf = (value: Plain | undefined): string => (typeof value === 'string' ? value : '');

/** A value as a person would type it. */
function typedText(value: Plain | undefined): string {
  if (value === undefined || value === null) return 'none';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (Array.isArray(value)) {
    return value.map((v) => typedText(v)).join(value.some((v) => typeof v === 'string' && /\s/.test(v)) ? '; ' : ' ');
  }
  if (isObject(value)) {
    if (typeof value.leg === 'string')
      return `leg ${value.leg}${value.times === undefined ? '' : ` times ${value.times}`}`;
    return Object.entries(value)
      .map(([key, inner]) => `${key === 'pinsOf' ? 'pins' : key === 'flushOn' ? 'flush' : key} ${typedText(inner)}`)
      .join(' ');
  }
  return String(value);
}

const listed = (words: readonly string[]): string => words.join(', ');

function mount(text: string): Result<Plain, string> {
  const found = /^(?:(bone)|cut\s+(\S+)|pins\s+(\S+)(?:\s+flush\s+(\S+))?)$/.exec(text);
  if (!found) return err('bone, or: cut NAME, or: pins GUIDE, or: pins GUIDE flush CUT');
  const [, bone, cut, pinsOf, flushOn] = found;
  if (bone) return ok('bone');
  for (const name of [cut, flushOn]) {
    if (name !== undefined && !(cutNames as readonly string[]).includes(name)) return err(`a cut: ${listed(cutNames)}`);
  }
  return ok(cut ? { cut } : { pinsOf: pinsOf!, ...(flushOn ? { flushOn } : {}) });
}

/** Reads a typed answer; the error says what is allowed. */
function parseTyped({ form, none }: Pick<Entry, 'form' | 'none'>, answer: string): Result<Plain | undefined, string> {
  const text = answer.trim();
  if (text === 'none' && none !== undefined) return ok(none === 'null' ? null : undefined);
  switch (form.form) {
    case 'number':
      return parseNumber(text);
    case 'legNumber': {
      const leg = /^leg\s+(\S+)(?:\s+times\s+(\S+))?$/.exec(text);
      if (!leg) return parseNumber(text);
      if (leg[2] === undefined) return ok({ leg: leg[1]! });
      const times = parseNumber(leg[2]);
      return times.ok ? ok({ leg: leg[1]!, times: times.value }) : times;
    }
    case 'numbers':
      return parseNumbers(text);
    case 'range': {
      const pair = parseNumbers(text);
      if (!pair.ok) return pair;
      return pair.value.length === 2 ? pair : err('two numbers, the smaller first, such as -20 20');
    }
    case 'texts':
      return ok(
        text
          .split(';')
          .map((part) => part.trim())
          .filter((part) => part !== ''),
      );
    case 'choice':
      return form.options.includes(text) ? ok(text) : err(`one of ${listed(form.options)}`);
    case 'choices': {
      const words = text.split(/[\s,;]+/);
      return words.every((word) => form.options.includes(word)) ? ok(words) : err(`some of ${listed(form.options)}`);
    }
    case 'yesNo':
      return /^(y|yes)$/i.test(text) ? ok(true) : /^(n|no)$/i.test(text) ? ok(false) : err('yes or no');
    case 'mount':
      return mount(text);
    default:
      return ok(text);
  }
}

/** What is said of a guide or a link as a whole: as the pattern has it, not there, or the names of what differs. */
type Stance = { readonly there: boolean; readonly differs: readonly string[] };

function stance(answer: string | undefined, names: readonly string[]): Result<Stance, string> {
  if (isBlank(answer) || /^\s*(y|yes)\s*$/i.test(answer!)) return ok({ there: true, differs: [] });
  if (/^\s*(n|no)\s*$/i.test(answer!)) return ok({ there: false, differs: [] });
  const said = answer!.trim().split(/[\s,;]+/);
  const of = (word: string): readonly string[] =>
    names.filter((n) => n === word || n.startsWith(`${word}.`) || n.startsWith(`${word}[`));
  const unknown = said.filter((word) => of(word).length === 0);
  if (unknown.length > 0) return err(`yes, no, or what differs: ${listed(names)}`);
  return ok({ there: true, differs: said.flatMap(of) });
}

const guideFields = (guide: PlainObject): readonly (Omit<Field, 'form'> & Pick<Entry, 'form'>)[] => [
  ...fieldsOf(guideSchema as z.ZodType, guide).filter((f) => !/^(links|outputs|aligns)\b/.test(f.name)),
  { name: 'mountsOn', form: { form: 'mount' } },
];

export const guideFieldNames = (guide: PlainObject): readonly string[] => guideFields(guide).map((f) => f.name);

const typedFields = (link: PlainObject): readonly Field[] =>
  fieldsOfLink(link).filter(
    (f) => (!isDimension(f) && !/^rows\[\d+\]\.offsetMm$|^shimsMm$/.test(f.name)) || f.name === 'shimsMm',
  );

/** Asked even when nothing is said to differ: which face is the reference, and which way a control is seen to turn. */
function alwaysAsked(link: PlainObject, name: string): boolean {
  if (name === 'referenceFace') return true;
  return (
    name === 'control.right' &&
    typeof link.turn === 'string' &&
    link.kind === 'swing' &&
    (link.setBy ?? 'plan') === 'plan'
  );
}

const words: Readonly<Record<string, string>> = {
  id: 'its short name, letters and digits, used in files',
  says: 'what you call it',
  reads: 'the engraved text and where the eye must be',
  who: 'who sets it',
  hand: 'how left and right differ',
  values: 'the engraved numbers',
  range: 'its range, from and to',
  zero: 'where its zero is',
  step: 'step of its clicks; none when it moves freely',
  turn: 'the way a larger number turns the cut',
  toward: 'the way a larger number moves',
  referenceFace:
    'the saw leans on this face of the slit: the face toward the bone that stays (retained) or toward the piece (piece)',
  'control.right': 'seen from the foot of the table on a right knee, a larger number turns it',
  'faces.left': 'engraved on the face that is up on a left knee',
  'faces.right': 'engraved on the face that is up on a right knee',
  'marks.says': 'what is engraved at its marks',
  'marks.trueFor.spanMm': 'length of leg that its engraving is true for, mm',
  settable: 'smallest step a hand can set',
  sd: 'spread of a setting',
  mountsOn: 'what it stands on: bone, cut NAME, or pins GUIDE',
  'prepare.parts': 'parts to mate, separated by ;',
  'prepare.order': 'the order of putting it together and of use, separated by ;',
  'prepare.openAtHandOver': 'screws open at hand-over, separated by ;',
  'prepare.closedAtHandOver': 'screws closed at hand-over, separated by ;',
  'prepare.pins': 'pins',
  'prepare.blade': 'blade',
  'prepare.next': 'next guide',
};

const optionsText = ({ form }: Pick<Entry, 'form'>): string =>
  'options' in form ? ` (${form.options.join(', ')})` : '';

const fieldEntry = (
  part: string,
  says: string,
  value: PlainObject,
  field: Omit<Field, 'form'> & Pick<Entry, 'form'>,
  check: boolean,
): Entry => ({
  path: `${part}.${field.name}`,
  asks: `${says}: ${words[field.name] ?? field.name}${optionsText(field)}`,
  form: field.form,
  now: typedText(valueAt(value, field.name)),
  none: field.none,
  part,
  ...(check ? { check } : {}),
});

/** A link in a line, so that a person can say whether theirs is the same. */
function linkText(link: PlainObject): string {
  const parts = [
    textOf(link.turn) || textOf(link.toward),
    ...(Array.isArray(link.values) ? [typedText(link.values)] : []),
    ...(Array.isArray(link.range)
      ? [
          `${typedText(link.range).replace(' ', ' to ')}${typeof link.step === 'number' ? ` in steps of ${link.step}` : ''}`,
        ]
      : []),
    ...(isObject(link.marks) ? [`marks every ${link.marks.everyMm} mm, "${textOf(link.marks.says)}"`] : []),
    ...(isObject(link.faces) ? [`faces ${textOf(link.faces.left)} and ${textOf(link.faces.right)}`] : []),
    link.setBy === 'sight' ? 'set by eye' : link.setBy === 'read' ? 'read off' : '',
    textOf(link.hand),
    textOf(link.reads),
  ];
  return parts.filter((part) => part !== '').join('; ');
}

const kitPart = 'kit';

/** What is typed about the kit as a whole. */
function kitEntries(defaults: { readonly name: string }): readonly Entry[] {
  const entry = (path: string, asks: string, now: string, form: Entry['form'] = { form: 'text' }): Entry => ({
    path,
    asks,
    now,
    form,
    part: kitPart,
  });
  return [
    entry(
      'form',
      'Short form (lowest, middle and highest engraved number of each part) or full form (every one)',
      'short',
      {
        form: 'choice',
        options: ['short', 'full'],
      },
    ),
    entry('instruments.caliper', 'Smallest step of your caliper, mm', String(instruments.caliper.step), {
      form: 'number',
    }),
    entry('instruments.protractor', 'Smallest step of your protractor, degrees', String(instruments.protractor.step), {
      form: 'number',
    }),
    entry('name', 'Short name of the kit, letters and digits', defaults.name, { form: 'name' }),
    entry('says', 'What you call the kit', defaults.name),
    entry('version', 'Version', '1'),
  ];
}

const lists = ['femur', 'tray', 'insert', 'button'] as const;

/** The kit as the person says theirs is built, before anything is measured, and what may still be typed about it. */
export interface Shaped {
  /** Places of guides and links still go by the pattern's names. */
  readonly kit: Plain;
  readonly entries: readonly Entry[];
  /** Answers that could not be read. */
  readonly faults: readonly { readonly path: string; readonly found: string; readonly allowed: string }[];
  /** New names of links and guides by part. */
  readonly names: ReadonlyMap<string, string>;
  /** Parts whose dimensions are not asked for. */
  readonly unasked: ReadonlySet<string>;
  readonly steps: InstrumentSteps;
  readonly brief: boolean;
}

/** Takes a link out: its children hang on its parent, and cuts that were made through it go. */
function withoutLink(guide: PlainObject, id: string): PlainObject {
  const links = objects(guide.links);
  const parent = links.find((link) => link.id === id)?.on;
  const others = (value: Plain | undefined): readonly PlainObject[] =>
    objects(value).filter((item) => item.link !== id);
  return {
    ...guide,
    links: links
      .filter((link) => link.id !== id)
      .map((link) => {
        if (link.on !== id) return link;
        const { on: _, ...free } = link;
        return parent === undefined ? free : { ...link, on: parent };
      }),
    outputs: others(guide.outputs),
    ...(guide.aligns === undefined ? {} : { aligns: others(guide.aligns) }),
  };
}

/** Whether what a guide stands on is still there. */
function standsOnSomething({ mountsOn }: PlainObject, before: readonly PlainObject[]): boolean {
  if (!isObject(mountsOn)) return true;
  if (mountsOn.cut !== undefined) return before.some((g) => objects(g.outputs).some((o) => o.cut === mountsOn.cut));
  return before.some((g) => g.id === mountsOn.pinsOf);
}

/** Sizes of a component family as typed; what is not known of a new size is that of the nearest in the pattern. */
const withSizes = (rows: readonly PlainObject[], sizes: readonly number[]): readonly PlainObject[] =>
  sizes.map((size) => ({
    ...rows.reduce((a, b) => (Math.abs((b.size as number) - size) < Math.abs((a.size as number) - size) ? b : a)),
    size,
  }));

/** Applies what was typed to a pattern. Answers for parts that are not there any more are left alone. */
export function shaped(pattern: Plain, answers: Answers, defaults: { readonly name: string }): Shaped {
  const faults: { path: string; found: string; allowed: string }[] = [];
  const names = new Map<string, string>();
  const unasked = new Set<string>();
  const entries: Entry[] = [];
  const fault = (path: string, allowed: string): void => {
    faults.push({ path, found: answers.get(path) ?? 'nothing', allowed });
  };
  const typed = (entry: Entry): Plain | undefined | 'kept' => {
    const answer = answers.get(entry.path);
    if (isBlank(answer)) return 'kept';
    const parsed = parseTyped(entry, answer!);
    if (parsed.ok) return parsed.value;
    fault(entry.path, parsed.error);
    return 'kept';
  };
  /** Sets typed fields inside a part; a name is only noted, so that places keep theirs. */
  const withTyped = (
    part: string,
    value: PlainObject,
    own: readonly Entry[],
    fields: readonly (Omit<Field, 'form'> & Pick<Entry, 'form'>)[],
  ): PlainObject =>
    own.reduce((so, entry) => {
      const now = typed(entry);
      const name = entry.path.slice(part.length + 1);
      if (now === 'kept') return so;
      if (name === 'id') {
        names.set(part, String(now));
        return so;
      }
      const group = name.replace(/\.?[^.]+$/, '');
      const set = withValueAt(so, name, now);
      // A field that can only be one word comes with the others of its group.
      return fields
        .filter(
          (f) =>
            group !== '' && f.name.startsWith(`${group}.`) && now !== undefined && valueAt(set, f.name) === undefined,
        )
        .reduce<Plain>(
          (inner, f) =>
            'options' in f.form && f.form.options.length === 1 ? withValueAt(inner, f.name, f.form.options[0]) : inner,
          set,
        ) as PlainObject;
    }, value);

  const root: PlainObject = isObject(pattern) ? pattern : {};
  const own = kitEntries(defaults);
  const read = new Map(
    own.map((entry) => [
      entry.path,
      isBlank(answers.get(entry.path)) ? parseTyped(entry, entry.now) : parseTyped(entry, answers.get(entry.path)!),
    ]),
  );
  for (const [path, result] of read) if (!result.ok) fault(path, result.error);
  const kitValue = (path: string): Plain | undefined => {
    const result = read.get(path);
    return result?.ok ? result.value : undefined;
  };
  entries.push(...own);

  const guides: PlainObject[] = [];
  for (const given of objects(root.guides)) {
    const part = `guides.${textOf(given.id)}`;
    const fields = guideFields(given);
    const said = stance(
      answers.get(part),
      fields.map((f) => f.name),
    );
    entries.push({
      path: part,
      asks: `${textOf(given.says)} (${textOf(given.bone)}): in your kit? yes, no, or what differs`,
      form: { form: 'guide' },
      now: 'yes',
      part,
      differs: fields.map((f) => f.name),
    });
    if (!said.ok) fault(part, said.error);
    const { there, differs } = said.ok ? said.value : { there: true, differs: [] };
    if (!there) continue;
    const lost = !standsOnSomething(given, guides);
    const asked = fields
      .filter((f) => differs.includes(f.name) || answers.has(`${part}.${f.name}`) || (f.name === 'mountsOn' && lost))
      .map((f) => fieldEntry(part, textOf(given.says), given, f, f.name === 'mountsOn'));
    entries.push(...asked);
    let guide = withTyped(part, given, asked, fields);
    for (const { id: name } of objects(given.links)) {
      const id = textOf(name);
      // As it is now: it may hang elsewhere than in the pattern.
      const link = objects(guide.links).find((l) => l.id === id)!;
      const linkPart = `${part}.links.${id}`;
      const own = typedFields(link);
      const linkSaid = stance(
        answers.get(linkPart),
        own.map((f) => f.name),
      );
      entries.push({
        path: linkPart,
        asks: `${textOf(link.says)} (${textOf(link.kind)}${linkText(link) === '' ? '' : `; ${linkText(link)}`}): yes, no, or what differs`,
        form: { form: 'link' },
        now: 'yes',
        part: linkPart,
        differs: own.map((f) => f.name),
      });
      if (!linkSaid.ok) fault(linkPart, linkSaid.error);
      const linkStance = linkSaid.ok ? linkSaid.value : { there: true, differs: [] };
      if (!linkStance.there) {
        guide = withoutLink(guide, id);
        continue;
      }
      const linkAsked = own
        .filter(
          (f) =>
            linkStance.differs.includes(f.name) || answers.has(`${linkPart}.${f.name}`) || alwaysAsked(link, f.name),
        )
        // The spread of a setting is measured, unless it is said to differ.
        .filter((f) => f.name !== 'sd' || linkStance.differs.includes('sd'))
        .map((f) => fieldEntry(linkPart, textOf(link.says), link, f, alwaysAsked(link, f.name)));
      entries.push(...linkAsked);
      const now = withTyped(linkPart, link, linkAsked, own);
      guide = { ...guide, links: objects(guide.links).map((l) => (l.id === id ? now : l)) };
    }
    guides.push(guide);
  }

  let components: PlainObject = isObject(root.components) ? root.components : {};
  let resized = false;
  for (const family of lists) {
    const part = `components.${family}`;
    const rows = objects(components[family]);
    const sizes = rows.map((row) => row.size as number);
    entries.push({
      path: part,
      asks: `Components, ${family}: sizes ${sizes.join(' ')}. yes: these, to be measured; no: kept unmeasured; or your sizes, mm`,
      form: { form: 'family' },
      now: 'no',
      part,
    });
    const answer = answers.get(part);
    if (isBlank(answer) || /^\s*(n|no)\s*$/i.test(answer!)) {
      unasked.add(part);
      continue;
    }
    if (/^\s*(y|yes)\s*$/i.test(answer!)) continue;
    const own = parseNumbers(answer!);
    if (!own.ok) {
      fault(part, `yes, no, or sizes in mm: ${own.error}`);
      continue;
    }
    components = { ...components, [family]: withSizes(rows, own.value) };
    if (family === 'femur' || family === 'tray') resized = true;
  }
  if (resized) {
    const part = 'components.allowedPairs';
    const has = (family: 'femur' | 'tray', size: Plain | undefined): boolean =>
      objects(components[family]).some((row) => row.size === size);
    const kept = objects(components.allowedPairs).filter((pair) => has('femur', pair.femur) && has('tray', pair.tray));
    entries.push({
      path: part,
      asks: 'Which femoral size may go with which tray: pairs such as 54-62 57-65, or all',
      form: { form: 'pairs' },
      now: kept.map((pair) => `${pair.femur}-${pair.tray}`).join(' '),
      part,
      check: true,
    });
    components = { ...components, allowedPairs: kept };
    const answer = answers.get(part);
    if (!isBlank(answer)) {
      const pairs = parsePairs(answer!, objects(components.femur), objects(components.tray));
      if (pairs.ok) components = { ...components, allowedPairs: pairs.value };
      else fault(part, pairs.error);
    }
  }

  const caliper = kitValue('instruments.caliper');
  const protractor = kitValue('instruments.protractor');
  return {
    kit: { ...root, name: kitValue('name'), says: kitValue('says'), version: kitValue('version'), guides, components },
    entries,
    faults,
    names,
    unasked,
    steps: {
      ...(typeof caliper === 'number' && caliper > 0 ? { caliper } : {}),
      ...(typeof protractor === 'number' && protractor > 0 ? { protractor } : {}),
    },
    brief: kitValue('form') !== 'full',
  };
}

function parsePairs(
  answer: string,
  femur: readonly PlainObject[],
  tray: readonly PlainObject[],
): Result<Plain, string> {
  if (answer.trim() === 'all') return ok(femur.flatMap((f) => tray.map((t) => ({ femur: f.size!, tray: t.size! }))));
  const pairs = answer
    .trim()
    .split(/[\s;]+/)
    .map((pair) => pair.split('-').map(parseNumber));
  const good = pairs.every((pair) => pair.length === 2 && pair.every((n) => n.ok));
  if (!good) return err('pairs such as 54-62 57-65, or all');
  return ok(pairs.map(([f, t]) => ({ femur: f!.ok ? f!.value : 0, tray: t!.ok ? t!.value : 0 })));
}
