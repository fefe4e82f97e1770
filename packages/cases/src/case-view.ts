import type { PhilosophyName, SaidAim, SaidSetting, Side, StatedValue } from '@kerfline/knee';
import type { Entry, EntryKind } from './entry.ts';
import { headOf, type Ledger } from './ledger.ts';

export type BodyOf<K extends EntryKind> = Extract<Entry, { readonly kind: K }>['body'];

/** A mark as it stands. */
export interface CaseMark extends Omit<BodyOf<'mark'>, 'film'> {
  /** Every entry that sets it and stands, the last one last: to take a mark off a film all are retracted. */
  readonly entries: readonly string[];
}

/** A film with all that was said of it. */
export interface CaseFilm extends BodyOf<'film'> {
  /** Its entry. */
  readonly id: string;
  readonly marks: readonly CaseMark[];
  /** The last calibration, with who made it and when. */
  readonly calibration:
    | { readonly entry: string; readonly by: string; readonly at: string; readonly body: BodyOf<'calibration'> }
    | undefined;
  readonly remarks: readonly BodyOf<'remark'>[];
}

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
  readonly films: readonly CaseFilm[];
  /** How well the person who marks finds marks again, if that was found out. */
  readonly markSpreads: BodyOf<'markSpreads'> | undefined;
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

type Standing<K extends EntryKind> = Extract<Entry, { readonly kind: K }>;

/** Films in the order they came; what is said of a film that was taken back goes with it. */
function filmsOf(standing: readonly Entry[]): readonly CaseFilm[] {
  const entries = <K extends EntryKind>(kind: K): readonly Standing<K>[] =>
    standing.filter((entry): entry is Standing<K> => entry.kind === kind);
  return entries('film').map(({ id, body }) => {
    const marks = entries('mark').filter((mark) => mark.body.film === id);
    const calibration = entries('calibration').findLast((c) => c.body.film === id);
    const over = entries('turnedOver').findLast((turned) => turned.body.film === id);
    return {
      ...body,
      mirrored: over?.body.mirrored ?? body.mirrored,
      id,
      marks: lastOf(marks, (mark) => mark.body.name).map((mark) => {
        const { film: _, ...said } = mark.body;
        return { ...said, entries: marks.filter((m) => m.body.name === said.name).map((m) => m.id) };
      }),
      calibration: calibration && {
        entry: calibration.id,
        by: calibration.by,
        at: calibration.at,
        body: calibration.body,
      },
      remarks: entries('remark').flatMap((remark) => (remark.body.film === id ? [remark.body] : [])),
    };
  });
}

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
    films: filmsOf(standing),
    markSpreads: of('markSpreads').at(-1),
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
