import { err, ok, type Result } from '@kerfline/geometry';
import { slideSenses, turnSenses } from '@kerfline/knee';
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
