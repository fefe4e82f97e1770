import { type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { Unit } from '../quantity.ts';
import { componentsSchema } from './component-schema.ts';
import { type Field, fieldsOfItem, fieldsOfLink, isDimension } from './kit-form-fields.ts';
import type { InstrumentName } from './kit-form-instruments.ts';
import { isObject, type Plain, type PlainObject, valueAt } from './kit-form-path.ts';
import { repeatsAsked } from './repeats.ts';

/** One dimension that a kit needs from the metal. */
export interface Question {
  /** Place in the kit, such as `guides.shin-mast.links.head.values[2]`. */
  readonly path: string;
  /** Places that the same dimension goes to: one blade is measured once for all slits that are cut with it. */
  readonly also: readonly string[];
  readonly asks: string;
  readonly unit: Unit;
  readonly instrument: InstrumentName;
  /** What is engraved there, without its sign: it stays in the kit whatever is measured. */
  readonly engraved?: number;
  /**
   * `dimension`: the kit stores what is measured. `setting`: what is measured against what is engraved goes to bias and sd of
   * the part. `engraved`: it is only held against what is engraved.
   */
  readonly goes: 'dimension' | 'setting' | 'engraved';
  /** What a reading should be about: engraved, or as the pattern has it. */
  readonly expected: number;
  /** A reading is of so many of the thing side by side: spacings, turns. */
  readonly times: number;
  /** Engraved on the other side of zero. */
  readonly sign: 1 | -1;
  /** Of a slide set to marks: the place that holds their spacing, and how many marks. */
  readonly marks?: { readonly path: string; readonly count: number };
  readonly repeats: number;
  /** Asked in the short form too. */
  readonly short: boolean;
  /** The part it belongs to, such as `guides.shin-mast.links.head` or `components.femur`. */
  readonly part: string;
}

const round = (value: number): number => Number(value.toFixed(4));
const numbersAt = (part: PlainObject, key: string): readonly number[] => {
  const value = part[key];
  return Array.isArray(value) ? value.filter((v): v is number => typeof v === 'number') : [];
};
const textAt = (part: PlainObject, key: string): string => (typeof part[key] === 'string' ? part[key] : '');

/** Words for a field that has none of its own: `bladeLengthMm` is "blade length". */
const humanised = (name: string): string =>
  name
    .replace(/(Mm|Deg)(?=\.|\[|$)/g, '')
    .replace(/[.[\]]+/g, ' ')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .trim();

interface Wording {
  readonly asks: (says: string) => string;
  readonly instrument: InstrumentName;
}
const by = (instrument: InstrumentName, asks: (says: string) => string): Wording => ({ instrument, asks });

/** Dimensions whose name alone does not say how they are measured. */
const wordings: Readonly<Record<string, Wording>> = {
  rodMm: by('caliper', (says) => `thickness of the ${says}, at another place each time, with the caliper`),
  engagedMm: by(
    'caliper',
    (says) => `length of the ${says} that lies in the bone, from its tip to the plate, with a rule or the caliper`,
  ),
  entrySdMm: by('caliper', (says) => `entry of the ${says}, with the caliper`),
  reach: by('caliper', (says) => `reach of the ${says}, from its hinge to its tip, with the caliper`),
  backlash: by(
    'caliper',
    (says) => `play of the ${says}: push it to one end of its play and to the other, the difference, with the caliper`,
  ),
  spanMm: by(
    'caliper',
    (says) => `length of the ${says} between the two ends that its engraving is true for, with a rule or the caliper`,
  ),
  gapMm: by(
    'gauges',
    (says) => `width of the ${says}, with the feeler gauges: the thickest that goes in without force`,
  ),
  bladeMm: by('caliper', (says) => `thickness of the blade for the ${says}, behind its teeth, with the caliper`),
  bladeLengthMm: by(
    'caliper',
    (says) => `length of the blade for the ${says} that leaves the saw, with a rule or the caliper`,
  ),
  standOffMm: by(
    'caliper',
    (says) => `depth of the ${says}: how much of the blade the block takes before the bone, with the caliper`,
  ),
  kerfMm: by(
    'testBlock',
    (says) =>
      `width of the saw cut made through the ${says} with this blade: five slots in a test block, with the caliper`,
  ),
  toPatientRightMm: by(
    'caliper',
    (says) =>
      `${says}: from the middle of the mast to the middle of the block, with the caliper (no sign when it is toward the right hand of the patient, else minus)`,
  ),
};

/** Names of parts inside a sentence begin small, unless they are more than one capital (DR, M6). */
const inSentence = (says: string): string => (/^[A-Z][a-z]/.test(says) ? says[0]!.toLowerCase() + says.slice(1) : says);

/** Lowest, middle and highest of a list: those that the short form asks for. */
function inShort(values: readonly number[], value: number): boolean {
  const sorted = [...new Set(values)].sort((a, b) => a - b);
  return [sorted[0], sorted[Math.floor(sorted.length / 2)], sorted.at(-1)].includes(value);
}

/** A question about a link before it is known where the link is. */
type Draft = Omit<Question, 'path' | 'also' | 'repeats' | 'part' | 'marks'> & {
  readonly field: string;
  readonly marks?: { readonly field: string; readonly count: number };
};

const draft = (
  field: string,
  asks: string,
  unit: Unit,
  instrument: InstrumentName,
  rest: Partial<Draft> & Pick<Draft, 'goes' | 'expected'>,
): Draft => ({ field, asks, unit, instrument, times: 1, sign: 1, short: true, ...rest });

const engravedDraft = (
  field: string,
  value: number,
  asks: string,
  unit: Unit,
  rest: Partial<Draft> & Pick<Draft, 'goes'>,
): Draft =>
  draft(field, asks, unit, unit === 'deg' ? 'protractor' : 'caliper', {
    expected: Math.abs(value),
    engraved: Math.abs(value),
    sign: value < 0 ? -1 : 1,
    ...rest,
  });

const turns = (link: PlainObject): boolean => typeof link.turn === 'string';

function valueAsks(link: PlainObject, value: number, says: string): string {
  const at = Math.abs(value);
  if (turns(link)) return `angle of the ${says} engraved ${value}, between its two faces, with the protractor`;
  switch (link.kind) {
    case 'peg':
      return `${says}: from the row engraved 0 to the row engraved ${value}, middle to middle, ${at} mm if it is true, with the caliper`;
    case 'dial':
      return `${says} set at ${value}: from the plate that rests on the bone to the face of the slit that counts, with the caliper`;
    case 'feeler':
      return `${says} at ${value}: from its tip, pressed as in use, to the face of the slit that counts, with the caliper`;
    default:
      return `${says} at ${value}: the distance it sets, with the caliper`;
  }
}

/** Engraved numbers of a link: each is held against what it does. */
function valueDrafts(link: PlainObject, says: string): readonly Draft[] {
  const values = numbersAt(link, 'values');
  return values.flatMap((value, i): readonly Draft[] => {
    // Rows are measured from the row engraved 0.
    if (link.kind === 'peg' && value === 0) return [];
    return [
      engravedDraft(`values[${i}]`, value, valueAsks(link, value, says), turns(link) ? 'deg' : 'mm', {
        goes: 'setting',
        short: inShort(values, value),
      }),
    ];
  });
}

/** Numbers of a list that are stamped on separate parts. */
const listDrafts = (link: PlainObject, says: string, key: string): readonly Draft[] =>
  numbersAt(link, key).flatMap((value, i, all): readonly Draft[] =>
    value === 0
      ? []
      : [
          engravedDraft(
            `${key}[${i}]`,
            value,
            `${humanised(key).replace(/s$/, '')} engraved ${value} of the ${says}: its thickness, with the caliper`,
            'mm',
            {
              goes: 'engraved',
              short: inShort(all, value),
            },
          ),
        ],
  );

/** Rows of holes that no engraved pin row of the guide has already. */
const rowDrafts = (link: PlainObject, says: string, known: readonly number[]): readonly Draft[] =>
  (Array.isArray(link.rows) ? link.rows : []).flatMap((row: Plain, i: number): readonly Draft[] => {
    const offset = isObject(row) ? row.offsetMm : undefined;
    if (typeof offset !== 'number' || offset === 0 || known.includes(Math.abs(offset))) return [];
    const name = isObject(row) ? textAt(row, 'says') || textAt(row, 'id') : '';
    return [
      engravedDraft(
        `rows[${i}].offsetMm`,
        offset,
        `${says}: from the row at 0 ${isObject(row) && row.forSeat !== undefined ? `of its seat, ${textAt(row, 'forSeat')}, ` : ''}to the row ${name}, middle to middle, with the caliper`,
        'mm',
        {
          goes: 'engraved',
        },
      ),
    ];
  });

/** A slide with marks: the spacing over as many marks as there are, and how well a hand sets it to one. */
function slideDrafts(link: PlainObject, says: string, range: readonly number[]): readonly Draft[] {
  const { marks } = link;
  const every = isObject(marks) ? marks.everyMm : undefined;
  const [low, high] = range;
  if (typeof every !== 'number' || low === undefined || high === undefined || !isObject(marks)) return [];
  const spacings = Math.max(1, Math.floor(high / every + 1e-9) - Math.ceil(low / every - 1e-9));
  const spacing = draft(
    'marks.everyMm',
    spacings === 1
      ? `${says}: from one mark to the next, with the caliper`
      : `${says}: from the first mark to the last, ${spacings} spacings, with the caliper`,
    'mm',
    'caliper',
    { goes: 'dimension', expected: round(spacings * every), times: spacings },
  );
  if (!isSetByPlan(link)) return [spacing];
  if (isObject(link.sizes)) {
    const middle = round(every * Math.round((low + high) / 2 / every));
    return [
      spacing,
      draft(
        'sd',
        `${says} set at ${middle} from anew: from the heels to the tip of the feeler, with the caliper`,
        'mm',
        'caliper',
        {
          goes: 'setting',
          expected: middle,
          engraved: middle,
        },
      ),
    ];
  }
  const zero = typeof link.zero === 'number' ? link.zero : 0;
  const count = Math.max(1, Math.floor(((high - zero) / every) * travelDefaults.slideShare.value));
  return [
    spacing,
    draft(
      'sd',
      `${says} set by eye to its ${count === 1 ? 'first mark' : `mark ${count}`} ${textAt(link, 'toward')} of zero, from anew: how far it went from its zero, with the caliper`,
      'mm',
      'caliper',
      {
        goes: 'setting',
        expected: round(count * every),
        engraved: round(count * every),
        marks: { field: 'marks.everyMm', count },
      },
    ),
  ];
}

/** A hinge with stops or a scale: its two ends and one stop between them. */
function swingDrafts(link: PlainObject, says: string, range: readonly number[]): readonly Draft[] {
  const [low, high] = range;
  const step = link.step;
  if (low === undefined || high === undefined || typeof step !== 'number') return [];
  const zero = typeof link.zero === 'number' ? link.zero : 0;
  const between = round(zero + step * Math.round(((low + high) / 2 - zero) / step));
  const asks = (at: number): string =>
    `${says} at ${Math.abs(at)}${at < 0 ? ' on the other side of zero' : ''}: angle between the part that turns and the part that holds it, with the protractor`;
  return [
    engravedDraft('range[0]', low, asks(low), 'deg', { goes: 'setting' }),
    engravedDraft('range[1]', high, asks(high), 'deg', { goes: 'setting' }),
    ...(between === low || between === high
      ? []
      : [engravedDraft('sd', between, asks(between), 'deg', { goes: 'setting' })]),
  ];
}

/** Over how much of a travel it is measured. */
export const travelDefaults = {
  pitchTurns: {
    name: 'Measuring a kit: turns of a screw',
    value: 4,
    unit: 'count',
    usedFor: 'turns over which the pitch of a screw is taken',
    source: workingDefault,
  },
  slideShare: {
    name: 'Measuring a kit: way along a slide',
    value: 0.75,
    unit: 'share',
    usedFor: 'how far along its scale a slide is set by eye to see how well a hand does',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;
const pitchTurns = travelDefaults.pitchTurns.value;

function pitchDraft(field: Field, value: number, says: string, range: readonly number[]): Draft {
  const room = range.length === 2 ? Math.floor((range[1]! - range[0]!) / value) : pitchTurns;
  const n = Math.max(1, Math.min(pitchTurns, room));
  return draft(
    field.name,
    `${says}: how far ${n === 1 ? 'one full turn goes' : `${n} full turns go`}, with the caliper`,
    'mm',
    'caliper',
    {
      goes: 'dimension',
      expected: round(n * value),
      times: n,
    },
  );
}

/** A field of an item in a list, as the name of the item and the field inside it. */
function itemOf(link: PlainObject, name: string): readonly [item: string, field: string] {
  const found = /^(.+\])\.(.+)$/.exec(name);
  if (!found) return ['', name];
  const item = valueAt(link, found[1]!);
  return [isObject(item) ? textAt(item, 'says') || textAt(item, 'id') : '', found[2]!];
}

const isSetByPlan = (link: PlainObject): boolean => (link.setBy ?? 'plan') === 'plan';

function draftsOfLink(link: PlainObject, rows: readonly number[]): readonly Draft[] {
  const says = inSentence(textAt(link, 'says'));
  const range = numbersAt(link, 'range');
  const dimensions = fieldsOfLink(link).flatMap((field): readonly Draft[] => {
    const value = valueAt(link, field.name);
    if (!isDimension(field) || typeof value !== 'number') return [];
    if (field.name === 'marks.everyMm' || /^rows\[/.test(field.name)) return [];
    if (field.name === 'pitchMm') return [pitchDraft(field, value, says, range)];
    const unit: Unit = /Deg(\.|$)/.test(field.name) || (field.name === 'backlash' && turns(link)) ? 'deg' : 'mm';
    const [item, last] = itemOf(link, field.name);
    const wording = wordings[last];
    const whose = item === '' ? says : `${says}, ${item}`;
    return [
      draft(
        field.name,
        wording?.asks(whose) ??
          `${humanised(last)} of the ${whose}, with the ${unit === 'deg' ? 'protractor' : 'caliper'}`,
        unit,
        wording?.instrument ?? (unit === 'deg' ? 'protractor' : 'caliper'),
        { goes: 'dimension', expected: value },
      ),
    ];
  });
  return [
    ...(isSetByPlan(link) ? valueDrafts(link, says) : []),
    ...(turns(link) && isSetByPlan(link) ? swingDrafts(link, says, range) : []),
    ...(turns(link) ? [] : slideDrafts(link, says, range)),
    ...dimensions,
    ...listDrafts(link, says, 'shimsMm'),
    ...rowDrafts(link, says, rows),
  ];
}

const sentence = (words: string): string => words[0]!.toUpperCase() + words.slice(1);

function questionsOfGuide(guide: PlainObject): readonly Question[] {
  const links = (Array.isArray(guide.links) ? guide.links : []).filter(isObject);
  const rows = links
    .filter((link) => link.kind === 'peg')
    .flatMap((link) => numbersAt(link, 'values'))
    .map(Math.abs);
  return links.flatMap((link) =>
    draftsOfLink(link, rows).map(({ field, marks, asks, ...rest }): Question => {
      const part = `guides.${textAt(guide, 'id')}.links.${textAt(link, 'id')}`;
      return {
        ...rest,
        path: `${part}.${field}`,
        asks: sentence(asks),
        also: [],
        part,
        repeats: repeatsAsked,
        ...(marks ? { marks: { path: `${part}.${marks.field}`, count: marks.count } } : {}),
      };
    }),
  );
}

const componentWords: Readonly<Record<string, string>> = {
  femur: 'femoral component',
  tray: 'tray',
  insert: 'insert',
  button: 'kneecap button',
};

function questionsOfComponents(components: PlainObject): readonly Question[] {
  return Object.entries(components).flatMap(([family, list]) => {
    const rows = Array.isArray(list) ? list : [];
    const schema = componentsSchema.shape[family as keyof typeof componentsSchema.shape];
    if (!(rows.length > 0 && rows.every((row) => isObject(row) && typeof row.size === 'number'))) return [];
    const sizes = rows.map((row) => (row as PlainObject).size as number);
    return rows.flatMap((row: Plain, i: number) =>
      fieldsOfItem(schema, row).flatMap((field): readonly Question[] => {
        const value = valueAt(row, field.name);
        if (typeof value !== 'number') return [];
        const part = `components.${family}`;
        const what = `${componentWords[family] ?? family} ${sizes[i]}`;
        const engraved = field.name === 'size';
        const unit: Unit = /[dD]eg$/.test(field.name) ? 'deg' : 'mm';
        const instrument = unit === 'deg' ? 'protractor' : 'caliper';
        return [
          {
            path: `${part}[${i}].${field.name}`,
            also: [],
            asks: sentence(
              engraved
                ? `${what}: the length that its size is named by, with the ${instrument}`
                : `${what}: ${humanised(field.name)}, with the ${instrument}`,
            ),
            unit,
            instrument,
            ...(engraved ? { engraved: value } : {}),
            goes: engraved ? 'engraved' : 'dimension',
            expected: value,
            times: 1,
            sign: 1,
            repeats: repeatsAsked,
            short: inShort(sizes, sizes[i]!),
            part,
          },
        ];
      }),
    );
  });
}

/** Dimensions that belong to a blade and not to the slit it goes through. */
const bladeFields = ['bladeMm', 'bladeLengthMm', 'kerfMm'] as const;

/** One blade is measured once: later slits that the pattern saws with the same blade take its numbers. */
function withSharedBlades(kit: Plain, questions: readonly Question[]): readonly Question[] {
  const blade = (part: string): string => JSON.stringify(bladeFields.map((f) => valueAt(kit, `${part}.${f}`) ?? null));
  const keyOf = (q: Question): string | undefined => {
    const field = bladeFields.find((f) => q.path === `${q.part}.${f}`);
    return field && `${field} ${blade(q.part)}`;
  };
  return questions.flatMap((q, i) => {
    const key = keyOf(q);
    if (key === undefined) return [q];
    const same = questions.filter((other) => keyOf(other) === key);
    return questions.indexOf(same[0]!) < i ? [] : [{ ...q, also: same.slice(1).map((other) => other.path) }];
  });
}

/** Every dimension that a kit needs from the metal, guide by guide and part by part in the order of use, components last. */
export function questionsOf(kit: Plain): readonly Question[] {
  if (!isObject(kit)) return [];
  const guides = (Array.isArray(kit.guides) ? kit.guides : []).filter(isObject);
  return [
    ...withSharedBlades(kit, guides.flatMap(questionsOfGuide)),
    ...(isObject(kit.components) ? questionsOfComponents(kit.components) : []),
  ];
}
