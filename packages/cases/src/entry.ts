import { err, ok, type Result } from '@kerfline/geometry';
import { filmViews, type MarkKind, postures, slideSenses, turnSenses } from '@kerfline/knee';
import { z } from 'zod';
import { canonicalJson } from './canonical-json.ts';
import { sha256OfText } from './sha256.ts';

const finite = z.number();
const hash = z.string().regex(/^[0-9a-f]{64}$/, 'a SHA-256 in 64 hexadecimal digits');
const unit = z.enum(['mm', 'deg']);
const positive = z.enum([
  'varus',
  'valgus',
  'posteriorSlope',
  'flexion',
  'external',
  'lateral',
  'medial',
  'anterior',
  'proximal',
  'opensLaterally',
]);

const said = z.strictObject({
  guide: z.string().min(1),
  link: z.string().min(1),
  value: finite,
  unit,
  sense: z.enum([...slideSenses, ...turnSenses]).optional(),
  site: z.string().optional(),
  pivot: z.enum(['middle', 'medial', 'lateral']).optional(),
  keeps: z.enum(['rear', 'front']).optional(),
  row: z.string().optional(),
  seat: z.string().optional(),
  face: z.string().optional(),
  shimsMm: z.record(z.string(), finite).optional(),
});

/** A place on a film: column and row, the centre of the first pixel at (0.5, 0.5). */
const pixel = z.tuple([finite, finite]);

/** How far marks of each kind are off, mm: across the limb and along it; `markKinds` has every kind, or this does not compile. */
const markKinds = Object.keys({
  headCentre: true,
  jointCentre: true,
  contact: true,
  prominence: true,
  canalMiddle: true,
  edge: true,
  middle: true,
} satisfies Record<MarkKind, true>) as MarkKind[];

const depth = {
  /** How far the object lay from the bone, towards the source; behind the bone is negative. */
  depthMm: finite,
  depthSdMm: finite.nonnegative(),
};

/** What tells how large a millimetre of the bone is on a film. */
const calibration = z.discriminatedUnion('kind', [
  /** A ball of known diameter, by points on its rim. */
  z.strictObject({
    film: z.string().min(1),
    kind: z.literal('ball'),
    sizeMm: finite,
    rim: z.array(pixel).min(3, 'a circle needs at least 3 points on the rim of the ball').max(200),
    ...depth,
  }),
  /** A length of known size, by its two ends. */
  z.strictObject({
    film: z.string().min(1),
    kind: z.literal('ruler'),
    sizeMm: finite,
    ends: z.tuple([pixel, pixel]),
    ...depth,
  }),
  /** The file's own calibration, confirmed to hold at the depth of the bone. */
  z.strictObject({ film: z.string().min(1), kind: z.literal('confirmed') }),
  /** The magnification that the file offers, taken by hand. */
  z.strictObject({ film: z.string().min(1), kind: z.literal('offered') }),
]);

/** What each kind of entry says. A kind is added here and nowhere else. */
export const bodies = {
  /** The case begins: whose leg, in a name that is no identity. */
  created: z.strictObject({ side: z.enum(['left', 'right']), label: z.string().min(1).max(200) }),
  /** A bone's surface, as the file was. */
  bone: z.strictObject({
    role: z.enum(['femur', 'tibia', 'fibula', 'patella']),
    blob: hash,
    fileName: z.string().max(260),
  }),
  /** A film without what would identify a person, as it is kept. */
  film: z.strictObject({
    blob: hash,
    fileName: z.string().max(260),
    view: z.enum(filmViews),
    side: z.enum(['left', 'right']),
    posture: z.enum(postures),
    /** The lead letter that is seen on the film. */
    letter: z.enum(['R', 'L', 'none', 'notAsked']),
    /** Turned over left for right on the page; pixels are those of the file all the same. */
    mirrored: z.boolean(),
    /** How many attributes that identify were taken out or replaced. */
    removed: z.number().int().nonnegative(),
  }),
  /** A landmark on a film; a later one of the same name replaces it. */
  mark: z.strictObject({
    /** The entry of the film. */
    film: z.string().min(1),
    name: z.string().min(1),
    pixel,
    /** Columns and rows, pixels squared. */
    covPx2: z.tuple([z.tuple([finite, finite]), z.tuple([finite, finite])]).optional(),
    radiusPx: finite.optional(),
    by: z.enum(['hand', 'helper']),
    /** Fit and residual in words. */
    note: z.string().max(500).optional(),
  }),
  calibration,
  /** Whether a film's picture was found to be turned over for left and right, after it was added. */
  turnedOver: z.strictObject({ film: z.string().min(1), mirrored: z.boolean() }),
  /** How well one person finds marks again, used in place of published spreads. */
  markSpreads: z.strictObject({
    by: z.string().min(1).max(200),
    kinds: z.partialRecord(
      z.enum(markKinds),
      z.strictObject({
        acrossMm: finite.nonnegative(),
        alongMm: finite.nonnegative(),
        pairs: z.number().int().positive(),
      }),
    ),
  }),
  /** A film marked once more by the same person, to learn how well marks are found again; the leg stays as it is. */
  remark: z.strictObject({
    film: z.string().min(1),
    session: z.number().int().positive(),
    marks: z
      .array(z.strictObject({ name: z.string().min(1), pixel }))
      .min(1)
      .max(100),
  }),
  /** A value of the leg that someone stated. */
  typed: z.strictObject({
    name: z.string().min(1),
    value: finite,
    unit,
    sd: finite.nonnegative(),
    sdFrom: z.enum(['stated', 'default']),
  }),
  /** The kit that will be used, whole. */
  kit: z.strictObject({ name: z.string().min(1), version: z.string().min(1), blob: hash }),
  /** What is wanted. */
  aim: z.strictObject({
    philosophy: z.string().min(1),
    wanted: z
      .array(z.strictObject({ name: z.string().min(1), value: finite, unit, positive: positive.optional() }))
      .optional(),
  }),
  /** The guide to use where the kit has several for the same work. */
  use: z.strictObject({ guide: z.string().min(1) }),
  /** A setting chosen by hand in place of the plan's. */
  setting: said,
  /** The setting confirmed by the hand that set it. */
  readBack: said,
  /** A stated mean and covariance of named single numbers of the leg, in the units given. */
  belief: z.strictObject({
    names: z.array(z.string().min(1)).min(1),
    units: z.array(unit).min(1),
    mean: z.array(finite).min(1),
    covariance: z.array(finite).min(1),
  }),
  /** The spread of a named nuisance: a number of the leg, `guide/link` of a guide, or `kerf`; 0 is known exactly. */
  spread: z.strictObject({ name: z.string().min(1), sd: finite.nonnegative(), unit }),
  /** Takes an earlier entry back. */
  retract: z.strictObject({ entry: z.string().min(1), why: z.string().min(1).max(500) }),
} as const;

export type EntryKind = keyof typeof bodies;
export const entryKinds = Object.keys(bodies) as readonly EntryKind[];

/** What is to be recorded, before it has a place in the chain. */
export type Statement = {
  [K in EntryKind]: { readonly kind: K; readonly body: z.infer<(typeof bodies)[K]> };
}[EntryKind];

/** One fact of a case. Entries are only ever added; each holds the hash of the one before. */
export type Entry = Statement & {
  readonly id: string;
  readonly case: string;
  readonly seq: number;
  /** When it was recorded, ISO 8601 with a zone. */
  readonly at: string;
  /** Who recorded it. */
  readonly by: string;
  /** Version of this kind's body. */
  readonly schema: number;
  /** Hash of the entry before; null for the first. */
  readonly prev: string | null;
  readonly hash: string;
};

/** The version of every body this program writes. */
export const currentSchema = 1;

const envelope = z.strictObject({
  id: z.string().min(1),
  case: z.string().min(1),
  seq: z.number().int().nonnegative(),
  kind: z.string().min(1),
  body: z.unknown(),
  at: z.iso.datetime({ offset: true }),
  by: z.string().min(1),
  schema: z.number().int().positive(),
  prev: hash.nullable(),
  hash,
});

/** What is wrong with an entry, in a sentence. */
export interface EntryFault {
  readonly kind: 'bad-entry' | 'unknown-kind' | 'newer-schema' | 'bad-body';
  readonly message: string;
}

const issueText = (issues: readonly z.core.$ZodIssue[]): string =>
  issues.map((issue) => `${issue.path.join('.') || 'it'}: ${issue.message}`).join('; ');

/** Reads what is to be recorded from parsed JSON. */
export function readStatement(raw: unknown): Result<Statement, EntryFault> {
  const outer = z.strictObject({ kind: z.string(), body: z.unknown() }).safeParse(raw);
  if (!outer.success) {
    return err({
      kind: 'bad-entry',
      message: `An entry is {"kind": ..., "body": ...}. ${issueText(outer.error.issues)}`,
    });
  }
  const { kind } = outer.data;
  if (!Object.hasOwn(bodies, kind)) {
    return err({
      kind: 'unknown-kind',
      message: `"${kind}" is no kind of entry here; these are: ${entryKinds.join(', ')}.`,
    });
  }
  const body = bodies[kind as EntryKind].safeParse(outer.data.body);
  if (!body.success) return err({ kind: 'bad-body', message: `A ${kind} entry: ${issueText(body.error.issues)}` });
  return ok({ kind, body: body.data } as Statement);
}

/** Reads a whole entry from parsed JSON, without judging its place in the chain. */
export function readEntry(raw: unknown): Result<Entry, EntryFault> {
  const outer = envelope.safeParse(raw);
  if (!outer.success) return err({ kind: 'bad-entry', message: issueText(outer.error.issues) });
  if (outer.data.schema > currentSchema) {
    return err({
      kind: 'newer-schema',
      message: `Entry ${outer.data.seq} is of version ${outer.data.schema}; this program reads up to ${currentSchema}. Use a newer one.`,
    });
  }
  const statement = readStatement({ kind: outer.data.kind, body: outer.data.body });
  return statement.ok ? ok({ ...outer.data, ...statement.value } as Entry) : statement;
}

/** The hash of an entry: of its canonical JSON without the hash itself. */
export const entryHash = (entry: Omit<Entry, 'hash'>): string => {
  const { hash: _, ...rest } = entry as Entry;
  return sha256OfText(canonicalJson(rest));
};
