import { err, type Finding, ok, type Result } from '@kerfline/geometry';
import {
  checkAims,
  checkPhilosophyName,
  checkStated,
  checkUse,
  isPhilosophyName,
  type Kit,
  nuisances,
  numberUnit,
  philosophy,
  type Refusal,
  refusal,
  type SaidSetting,
  type Unit,
} from '@kerfline/knee';
import type { Blobs } from './case-file.ts';
import { caseKit, kitFromBytes } from './case-kit.ts';
import { type CaseLeg, caseLeg } from './case-leg.ts';
import { type CaseView, replay } from './case-view.ts';
import { checkFilmStatement } from './check-film-statement.ts';
import type { Statement } from './entry.ts';
import type { Ledger } from './ledger.ts';
import { settingsOf, workLeg } from './worked-case.ts';

const asResult = (found: Refusal | undefined): Result<true, Refusal> => (found ? err(found) : ok(true));

/**
 * Whether a statement may be added to a case as it stands: names, units, ranges, fences, detents, and what it refers to.
 *
 * @param known the case's leg, if it has been measured already: with bones that takes a second
 */
export function checkStatement(
  ledger: Ledger,
  blobs: Blobs,
  statement: Statement,
  known?: CaseLeg,
): Result<true, Refusal> {
  if (statement.kind === 'created') {
    return ledger.entries.length === 0
      ? ok(true)
      : err(refusal('begun', 'The case has begun already; its side is fixed.'));
  }
  const view = replay(ledger);
  switch (statement.kind) {
    case 'bone':
      return blobs.has(statement.body.blob)
        ? ok(true)
        : err(refusal('blob-missing', `The file of the ${statement.body.role} is not enclosed.`));
    case 'film':
    case 'mark':
    case 'calibration':
    case 'turnedOver':
    case 'markSpreads':
    case 'remark':
      return checkFilmStatement(view, blobs, statement);
    case 'kit': {
      const bytes = blobs.get(statement.body.blob);
      if (!bytes) return err(refusal('blob-missing', `The file of the kit ${statement.body.name} is not enclosed.`));
      const kit = kitFromBytes(bytes);
      if (!kit.ok) return err(kit.error[0]!);
      const said = view.settings.length + view.readBacks.length;
      return said > 0 && view.kit !== undefined && view.kit.blob !== statement.body.blob
        ? err(
            refusal(
              'mixed-kits',
              `${said} settings of the kit ${view.kit.name} ${view.kit.version} stand in this case: take them back before another kit is used.`,
            ),
          )
        : ok(true);
    }
    case 'use': {
      const kit = caseKit(view, blobs);
      return kit.ok ? asResult(checkUse(kit.value, statement.body.guide, view.side)) : err(kit.error[0]!);
    }
    case 'typed': {
      const checked = checkStated(statement.body);
      return checked.ok ? ok(true) : checked;
    }
    case 'aim': {
      const { philosophy: name, wanted } = statement.body;
      if (!isPhilosophyName(name)) return asResult(checkPhilosophyName(name));
      const checked = checkAims(philosophy(name), wanted ?? []);
      return checked.ok ? ok(true) : checked;
    }
    case 'setting':
    case 'readBack': {
      const kit = caseKit(view, blobs);
      if (!kit.ok) return err(kit.error[0]!);
      return checkSaid(view, blobs, kit.value, statement.kind, statement.body, known);
    }
    case 'spread': {
      const kit = caseKit(view, blobs);
      const unit = kit.ok ? nuisances(kit.value).get(statement.body.name) : undefined;
      if (unit) {
        return unit === statement.body.unit
          ? ok(true)
          : err(refusal('wrong-unit', `The spread of ${statement.body.name} is stated in ${unit}.`));
      }
      const known = tried({ ...view, spreads: [statement.body] }, blobs);
      return known.ok ? unitsHold([statement.body.name], [statement.body.unit]) : known;
    }
    case 'belief': {
      const { names, units } = statement.body;
      if (units.length !== names.length) {
        return err(
          refusal('belief-shape', `${names.length} names need ${names.length} units; ${units.length} were given.`),
        );
      }
      const known = tried({ ...view, beliefs: [statement.body] }, blobs);
      return known.ok ? unitsHold(names, units) : known;
    }
    case 'retract': {
      const target = ledger.entries.find((entry) => entry.id === statement.body.entry);
      if (!target) {
        return err(refusal('unknown-entry', `${statement.body.entry} is no entry of this case.`));
      }
      return target.kind === 'created' || target.kind === 'retract'
        ? err(refusal('not-retractable', `A ${target.kind} entry cannot be taken back.`))
        : ok(true);
    }
  }
}

function unitsHold(names: readonly string[], units: readonly Unit[]): Result<true, Refusal> {
  const k = names.findIndex((name, i) => units[i] !== numberUnit(name));
  return k < 0
    ? ok(true)
    : err(refusal('wrong-unit', `${names[k]!} is stated in ${numberUnit(names[k]!)}; ${units[k]!} was given.`));
}

/** Whether a leg can still be made with a statement in place. */
function tried(view: Parameters<typeof caseLeg>[0], blobs: Blobs): Result<true, Refusal> {
  const leg = caseLeg(view, blobs);
  return leg.ok ? ok(true) : err(leg.error[0]!);
}

type SaidBy = 'setting' | 'readBack';

/** A setting or a read-back beside those that stand: each by itself, rows against seats, and sizes that must go together. */
function checkSaid(
  view: CaseView,
  blobs: Blobs,
  kit: Kit,
  kind: SaidBy,
  said: SaidSetting,
  known: CaseLeg | undefined,
): Result<true, Refusal> {
  const link = kit.guides.find((g) => g.id === said.guide)?.links.find((l) => l.id === said.link);
  if (kind === 'setting' && link?.kind === 'sized' && link.follows) {
    return err(
      refusal('follows', `${link.says} has the size set on ${link.follows.guide} ${link.follows.link}: set it there.`),
    );
  }
  const replaced = (standing: readonly SaidSetting[]): readonly SaidSetting[] => [
    ...standing.filter((s) => s.guide !== said.guide || s.link !== said.link),
    said,
  ];
  const settings = kind === 'setting' ? replaced(view.settings) : view.settings;
  const readBacks = kind === 'readBack' ? replaced(view.readBacks) : view.readBacks;
  const chosen = settingsOf(kit, settings, view.side);
  if (!chosen.ok) return chosen;
  const confirmed = settingsOf(kit, readBacks, view.side, [...settings, ...readBacks]);
  if (!confirmed.ok) return confirmed;
  const isSize = link?.kind === 'sized' || (link?.kind === 'slide' && link.sizes !== undefined);
  return isSize ? checkSizes(view, blobs, kit, [...settings, ...readBacks], known) : ok(true);
}

/** Sizes that may not be used together are refused whatever reason is given, unless the case has that fault already. */
function checkSizes(
  view: CaseView,
  blobs: Blobs,
  kit: Kit,
  settings: readonly SaidSetting[],
  known: CaseLeg | undefined,
): Result<true, Refusal> {
  const leg = known ? ok(known) : caseLeg(view, blobs, kit);
  // A case that has no leg or no aim yet has no sizes either.
  if (!leg.ok) return ok(true);
  const faults = (tried: CaseView): readonly Finding[] => {
    const worked = workLeg(tried, leg.value, kit);
    return worked.ok ? worked.value.plan.findings.filter((f) => sizeFaults.includes(f.code)) : [];
  };
  const before = faults({ ...view, settings: [...view.settings, ...view.readBacks] }).map((f) => f.message);
  const added = faults({ ...view, settings }).find((f) => !before.includes(f.message));
  return added ? err(refusal(added.code, added.message)) : ok(true);
}
const sizeFaults: readonly string[] = ['size-mismatch', 'pair-not-allowed'];
