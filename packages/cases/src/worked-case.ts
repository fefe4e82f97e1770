import { err, ok, type Result } from '@kerfline/geometry';
import {
  calledOf,
  checkAims,
  checkSetting,
  faceNotRead,
  type GuideSettings,
  type Kit,
  nuisances,
  type Plan,
  type Proof,
  philosophy,
  planLeg,
  proveLeg,
  type Refusal,
  refusal,
  rowsOfOtherSeats,
  type SaidSetting,
  type Setting,
  type Side,
  seatLink,
  seatsFor,
  touchAgain,
  type Wanted,
} from '@kerfline/knee';
import type { Blobs } from './case-file.ts';
import { caseKit } from './case-kit.ts';
import { type CaseLeg, caseLeg } from './case-leg.ts';
import type { CaseView } from './case-view.ts';

/** Everything that a case's entries come to. */
export interface WorkedCase extends CaseLeg {
  readonly kit: Kit;
  readonly plan: Plan;
  readonly proof: Proof;
  /** What the proof ran on, by guide: read back where it was, else called. */
  readonly set: GuideSettings;
}

const only = (error: Refusal): Result<never, readonly Refusal[]> => err([error]);

/** The seat that a guide's block hangs on: as said, else the first for the side. */
const seatOf = (kit: Kit, said: readonly SaidSetting[], side: Side, guide: string): string | undefined => {
  const link = kit.guides.filter((g) => g.id === guide).flatMap((g) => seatLink(g) ?? [])[0];
  if (!link) return undefined;
  return said.findLast((s) => s.guide === guide && s.link === link.id)?.seat ?? seatsFor(link, side)[0]?.id;
};

/**
 * Said settings as the walker takes them, by guide.
 *
 * @param seats settings that say which seat a block hangs on
 */
export function settingsOf(
  kit: Kit,
  said: readonly SaidSetting[],
  side: Side,
  seats: readonly SaidSetting[] = said,
): Result<GuideSettings, Refusal> {
  const out: Record<string, Record<string, Setting>> = {};
  for (const s of said) {
    const setting = checkSetting(kit, s, side, seatOf(kit, seats, side, s.guide));
    if (!setting.ok) return setting;
    out[s.guide] = { ...out[s.guide], [s.link]: setting.value };
  }
  return ok(out);
}

const over = (base: GuideSettings, on: GuideSettings): GuideSettings =>
  Object.fromEntries(Object.entries(base).map(([guide, settings]) => [guide, { ...settings, ...on[guide] }]));

/** What a case wants, checked against its philosophy. */
export function caseWanted(view: CaseView): Result<Wanted, Refusal> {
  if (!view.aim) return err(refusal('no-aim', 'The case has no aim yet: add an aim entry.'));
  return checkAims(philosophy(view.aim.philosophy), view.aim.wanted);
}

/** Plan and proof of a leg that has been worked out: what a changed aim or setting makes anew. */
export function workLeg(
  view: CaseView,
  { leg, bones, films }: CaseLeg,
  kit: Kit,
): Result<WorkedCase, readonly Refusal[]> {
  const wanted = caseWanted(view);
  if (!wanted.ok) return only(wanted.error);
  const chosen = settingsOf(kit, view.settings, view.side);
  if (!chosen.ok) return only(chosen.error);
  const readBack = settingsOf(kit, view.readBacks, view.side, [...view.settings, ...view.readBacks]);
  if (!readBack.ok) return only(readBack.error);
  const planned = planLeg(leg, kit, philosophy(view.aim!.philosophy), {
    wanted: wanted.value,
    chosen: chosen.value,
    use: view.use,
  });
  const again = kit.guides.flatMap((guide) =>
    touchAgain(
      guide,
      (link) => view.lastSet[`${guide.id}/${link}`],
      (link) => readBack.value[guide.id]?.[link] !== undefined,
    ),
  );
  const set = over(calledOf(planned), readBack.value);
  const plan: Plan = {
    ...planned,
    findings: [
      ...planned.findings,
      ...again,
      ...view.readBacks.flatMap((said) => faceNotRead(kit, said, view.side)),
      ...rowsOfOtherSeats(kit, set),
    ],
  };
  const spreads = new Map(view.spreads.filter((s) => nuisances(kit).has(s.name)).map((s) => [s.name, s.sd] as const));
  return ok({ leg, bones, films, kit, plan, set, proof: proveLeg(leg, kit, set, spreads) });
}

/** Everything a case comes to, from its entries and files. */
export function workCase(view: CaseView, blobs: Blobs): Result<WorkedCase, readonly Refusal[]> {
  const kit = caseKit(view, blobs);
  if (!kit.ok) return kit;
  const leg = caseLeg(view, blobs, kit.value);
  return leg.ok ? workLeg(view, leg.value, kit.value) : leg;
}
