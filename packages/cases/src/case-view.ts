import type { PhilosophyName, SaidAim, SaidSetting, Side, StatedValue } from '@kerfline/knee';
import type { Entry, EntryKind } from './entry.ts';
import { headOf, type Ledger } from './ledger.ts';

type BodyOf<K extends EntryKind> = Extract<Entry, { readonly kind: K }>['body'];

/** A case as its entries leave it: what was decided and measured, nothing computed. */
export interface CaseView {
  readonly case: string;
  readonly side: Side;
  readonly label: string;
  /** How many entries there are: the revision that a sheet prints. */
  readonly revision: number;
  /** Hash of the last entry. */
  readonly head: string;
  readonly bones: Readonly<Partial<Record<BodyOf<'bone'>['role'], BodyOf<'bone'>>>>;
  /** Last statement of each name. */
  readonly stated: readonly StatedValue[];
  readonly kit: BodyOf<'kit'> | undefined;
  readonly aim: { readonly philosophy: PhilosophyName; readonly wanted: readonly SaidAim[] } | undefined;
  /** Guides asked for where the kit has several for the same work, the last one last. */
  readonly use: readonly string[];
  /** Last choice of each link. */
  readonly settings: readonly SaidSetting[];
  /** Last read-back of each link, in the order they came. */
  readonly readBacks: readonly SaidSetting[];
  /** When each link was last chosen or read back, by `guide/link`: the number of its entry. */
  readonly lastSet: Readonly<Record<string, number>>;
  readonly beliefs: readonly BodyOf<'belief'>[];
  readonly spreads: readonly BodyOf<'spread'>[];
}

const lastOf = <T>(items: readonly T[], key: (item: T) => string): readonly T[] => [
  ...new Map(items.map((item) => [key(item), item])).values(),
];

/** Plays the entries of a ledger; what was retracted leaves no trace but in the ledger. */
export function replay(ledger: Ledger): CaseView {
  const retracted = new Set(ledger.entries.flatMap((entry) => (entry.kind === 'retract' ? [entry.body.entry] : [])));
  const standing = ledger.entries.filter((entry) => !retracted.has(entry.id));
  const of = <K extends EntryKind>(kind: K): readonly BodyOf<K>[] =>
    standing.filter((entry) => entry.kind === kind).map((entry) => entry.body as BodyOf<K>);
  const created = of('created')[0];
  if (!created) throw new Error(`case ${ledger.case} has no beginning`);
  const aim = of('aim').at(-1);
  const link = (s: SaidSetting): string => `${s.guide}/${s.link}`;
  return {
    case: ledger.case,
    side: created.side,
    label: created.label,
    revision: ledger.entries.length,
    head: headOf(ledger),
    bones: Object.fromEntries(of('bone').map((bone) => [bone.role, bone])),
    stated: lastOf(of('typed'), (s) => s.name),
    kit: of('kit').at(-1),
    aim: aim && { philosophy: aim.philosophy as PhilosophyName, wanted: aim.wanted ?? [] },
    use: of('use').map((u) => u.guide),
    settings: lastOf(of('setting'), link),
    readBacks: lastOf(of('readBack'), link),
    lastSet: Object.fromEntries(
      standing.flatMap((entry) =>
        entry.kind === 'setting' || entry.kind === 'readBack' ? [[link(entry.body), entry.seq]] : [],
      ),
    ),
    beliefs: of('belief'),
    spreads: lastOf(of('spread'), (s) => s.name),
  };
}
