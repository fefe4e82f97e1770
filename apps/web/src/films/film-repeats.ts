import { type CaseView, type FactsByBlob, filmScale, type Statement } from '@kerfline/cases';
import type { Finding, Result } from '@kerfline/geometry';
import {
  drawnQuantities,
  type MarkRepeats,
  markRepeats,
  type QuantityRepeats,
  quantityRepeats,
  type Refusal,
} from '@kerfline/knee';

/** How well the marks of a case are found again by who marked its films more than once. */
export interface CaseRepeats {
  readonly marks: MarkRepeats;
  readonly quantities: readonly QuantityRepeats[];
  /** Films that were marked again but know no millimetres, so that nothing is told of their marks. */
  readonly without: number;
  readonly findings: readonly Finding[];
}

/** The repeatability of the films that were marked again; `undefined` while there is none. */
export function caseRepeats(view: CaseView, facts: FactsByBlob): Result<CaseRepeats, readonly Refusal[]> | undefined {
  const again = view.films.flatMap((film) => {
    const known = facts.get(film.blob);
    if (!known || film.remarks.length === 0) return [];
    const { scale } = filmScale(film, known);
    const spacing = scale.kind === 'bone' ? scale.spacing : undefined;
    const repeats = [film.marks, ...film.remarks.map((remark) => remark.marks)];
    return [{ film, spacing, aspect: known.aspect, repeats }];
  });
  if (again.length === 0) return undefined;
  const measured = again.flatMap(({ film, spacing, repeats }) =>
    spacing ? [{ id: film.id, view: film.view, spacing, repeats }] : [],
  );
  const marks: Result<MarkRepeats, readonly Refusal[]> =
    measured.length > 0 ? markRepeats(measured) : { ok: true, value: { kinds: {}, findings: [] } };
  if (!marks.ok) return marks;
  const drawn = again.map(({ aspect, repeats }) => repeats.map((set) => drawnQuantities(set, aspect)));
  const angles = new Map(drawn.flat(2).flatMap(({ name, unit }) => (unit === 'deg' ? [[name, unit] as const] : [])));
  const quantities = [...angles].flatMap(([name, unit]) => {
    const rows = drawn.map((sets) =>
      sets.flatMap((set) => set.filter((q) => q.name === name).map((q) => (q.value * 180) / Math.PI)),
    );
    const told = quantityRepeats({ name, unit, rows: rows.filter((row) => row.length > 1) });
    return told.ok ? [told.value] : [];
  });
  return {
    ok: true,
    value: {
      marks: marks.value,
      quantities,
      without: again.length - measured.length,
      findings: [...marks.value.findings, ...quantities.flatMap((q) => q.findings)],
    },
  };
}

/** The spreads to be used from now on: of the kinds that were marked again often enough. */
export function ownSpreads(marks: MarkRepeats, by: string): Extract<Statement, { kind: 'markSpreads' }> | undefined {
  const kinds = Object.fromEntries(
    Object.entries(marks.kinds).flatMap(([kind, { acrossMm, alongMm, pairs, used }]) =>
      used ? [[kind, { acrossMm, alongMm, pairs }]] : [],
    ),
  );
  return Object.keys(kinds).length > 0 ? { kind: 'markSpreads', body: { by, kinds } } : undefined;
}
