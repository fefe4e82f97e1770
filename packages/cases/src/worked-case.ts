import { err, ok, type Result } from '@kerfline/geometry';
import {
  calledOf,
  checkAims,
  checkKit,
  checkSetting,
  faceNotRead,
  faultText,
  type GuideSettings,
  inside,
  type Kit,
  type Leg,
  type LegFromBones,
  type LegMeshes,
  legFromBones,
  legFromStated,
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
  withBelief,
  withSpread,
  withStated,
} from '@kerfline/knee';
import { type BoneFiles, type BoneRole, readBoneFiles } from './bone-files.ts';
import type { Blobs } from './case-file.ts';
import type { CaseView } from './case-view.ts';

/** A case's leg, and its bones if it has any. */
export interface CaseLeg {
  readonly leg: Leg;
  readonly bones: { readonly meshes: LegMeshes; readonly measured: LegFromBones } | undefined;
}

/** Everything that a case's entries come to. */
export interface WorkedCase extends CaseLeg {
  readonly kit: Kit;
  readonly plan: Plan;
  readonly proof: Proof;
  /** What the proof ran on, by guide: read back where it was, else called. */
  readonly set: GuideSettings;
}

const only = (error: Refusal): Result<never, readonly Refusal[]> => err([error]);

/** The kit of a case, from the file it encloses. */
export function caseKit(view: CaseView, blobs: Blobs): Result<Kit, readonly Refusal[]> {
  if (!view.kit) return only(refusal('no-kit', 'The case has no kit yet: add a kit entry.'));
  const bytes = blobs.get(view.kit.blob);
  if (!bytes) return only(refusal('blob-missing', `The kit ${view.kit.name} is not enclosed in the case.`));
  return kitFromBytes(bytes);
}

/** Reads a kit file. */
export function kitFromBytes(bytes: Uint8Array): Result<Kit, readonly Refusal[]> {
  let raw: unknown;
  try {
    raw = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch (e) {
    return only(refusal('not-a-kit', `This is not a kit file: ${(e as Error).message}.`));
  }
  const kit = checkKit(raw);
  return kit.ok ? kit : err(kit.error.map((fault) => refusal('kit-fault', faultText(fault))));
}

/** Length of the rod that a kit puts into the femoral canal, mm. */
const rodLength = (kit: Kit | undefined): number | undefined =>
  kit?.guides
    .flatMap((guide) => guide.links)
    .flatMap((link) => (link.kind === 'core' && link.canal === 'femoralCanal' ? [link.engagedMm] : []))[0];

/** Everything of a case that its leg depends on, as text: while it is the same the leg is. */
export const legKey = (view: CaseView): string =>
  JSON.stringify([view.bones, view.films, view.markSpreads, view.stated, view.kit, view.beliefs, view.spreads]);

/** The leg of a case: measured on its bones or laid out from stated values, with all that was stated beside. */
export function caseLeg(view: CaseView, blobs: Blobs, kit?: Kit): Result<CaseLeg, readonly Refusal[]> {
  const files: BoneFiles = Object.fromEntries(
    (Object.keys(view.bones) as BoneRole[]).flatMap((role) => {
      const bone = view.bones[role]!;
      const bytes = blobs.get(bone.blob);
      return bytes ? [[role, { bytes, fileName: bone.fileName }]] : [];
    }),
  );
  const { femur, tibia } = files;
  if (!femur !== !tibia) {
    return only(
      refusal('one-bone', `The case has a ${femur ? 'femur' : 'tibia'} but no ${femur ? 'tibia' : 'femur'}.`),
    );
  }
  const found = femur && tibia ? fromBones(view, { ...files, femur, tibia }, kit) : fromStated(view);
  if (!found.ok) return found;
  let { leg } = found.value;
  for (const b of view.beliefs) {
    const units = b.units;
    const stated = withBelief(
      leg,
      b.names,
      b.mean.map((v, i) => inside(v, units[i]!)),
      b.covariance.map((v, i) => {
        const [r, c] = [Math.floor(i / b.names.length), i % b.names.length];
        return v * inside(1, units[r]!) * inside(1, units[c]!);
      }),
    );
    if (!stated.ok) return only(stated.error);
    leg = stated.value;
  }
  for (const spread of view.spreads) {
    if (kit && nuisances(kit).has(spread.name)) continue;
    const stated = withSpread(leg, spread.name, inside(spread.sd, spread.unit));
    if (!stated.ok) return only(stated.error);
    leg = stated.value;
  }
  return ok({ ...found.value, leg });
}

function fromBones(
  view: CaseView,
  files: BoneFiles & Required<Pick<BoneFiles, 'femur' | 'tibia'>>,
  kit: Kit | undefined,
): Result<CaseLeg, readonly Refusal[]> {
  const read = readBoneFiles(files);
  if (!read.ok) return read;
  const measured = legFromBones(read.value.meshes, { side: view.side, rodLengthMm: rodLength(kit) });
  if (!measured.ok) return measured;
  const { leg } = measured.value;
  return ok({
    leg: withStated({ ...leg, findings: [...read.value.findings, ...leg.findings] }, view.stated),
    bones: { meshes: read.value.meshes, measured: measured.value },
  });
}

function fromStated(view: CaseView): Result<CaseLeg, readonly Refusal[]> {
  if (view.stated.length === 0) {
    return only(
      refusal('no-leg', 'The case knows nothing of the leg yet: give bones, or state values such as LDFA=88deg.'),
    );
  }
  return ok({ leg: legFromStated(view.side, view.stated), bones: undefined });
}

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
export function workLeg(view: CaseView, { leg, bones }: CaseLeg, kit: Kit): Result<WorkedCase, readonly Refusal[]> {
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
  return ok({ leg, bones, kit, plan, set, proof: proveLeg(leg, kit, set, spreads) });
}

/** Everything a case comes to, from its entries and files. */
export function workCase(view: CaseView, blobs: Blobs): Result<WorkedCase, readonly Refusal[]> {
  const kit = caseKit(view, blobs);
  if (!kit.ok) return kit;
  const leg = caseLeg(view, blobs, kit.value);
  return leg.ok ? workLeg(view, leg.value, kit.value) : leg;
}
