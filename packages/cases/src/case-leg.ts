import { err, type Finding, info, ok, type Result } from '@kerfline/geometry';
import {
  type FilmsOptions,
  inside,
  type Kit,
  type Leg,
  type LegFromBones,
  type LegFromFilms,
  type LegMeshes,
  legFromBones,
  legFromFilms,
  legFromStated,
  literatureSpreads,
  nuisances,
  type Refusal,
  refusal,
  withBelief,
  withSpread,
  withStated,
} from '@kerfline/knee';
import { type BoneFiles, type BoneRole, readBoneFiles } from './bone-files.ts';
import type { Blobs } from './case-file.ts';
import type { CaseView } from './case-view.ts';
import { type FactsByBlob, factsOfFilms } from './film-facts.ts';
import { filmFindings, filmReadings } from './film-readings.ts';

/** A case's leg, and what it was measured on. */
export interface CaseLeg {
  readonly leg: Leg;
  readonly bones: { readonly meshes: LegMeshes; readonly measured: LegFromBones } | undefined;
  /** What films say of themselves and of the marks on them, where the leg was measured on films. */
  readonly films?: Omit<LegFromFilms, 'leg'> | undefined;
}

const only = (error: Refusal): Result<never, readonly Refusal[]> => err([error]);

/** Length of the rod that a kit puts into the femoral canal, mm. */
const rodLength = (kit: Kit | undefined): number | undefined =>
  kit?.guides
    .flatMap((guide) => guide.links)
    .flatMap((link) => (link.kind === 'core' && link.canal === 'femoralCanal' ? [link.engagedMm] : []))[0];

/** Everything of a case that its leg depends on, as text: while it is the same the leg is. */
export const legKey = (view: CaseView): string =>
  JSON.stringify([view.bones, view.films, view.markSpreads, view.stated, view.kit, view.beliefs, view.spreads]);

/**
 * The leg of a case: measured on its bones, else on its films, else laid out from stated values; with all that was stated beside.
 *
 * @param facts of its films, where their files are not at hand
 */
export function caseLeg(
  view: CaseView,
  blobs: Blobs,
  kit?: Kit,
  facts?: FactsByBlob,
): Result<CaseLeg, readonly Refusal[]> {
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
  if (femur && tibia) return withSaid(fromBones(view, { ...files, femur, tibia }, kit), view, kit);
  if (view.films.length > 0) return filmLeg(view, facts ?? factsOfFilms(view.films, blobs), kit);
  return withSaid(fromStated(view), view, kit);
}

/**
 * The leg of a case without bones from the marks on its films: no file is needed, only what the files say of themselves.
 *
 * @param how `moving` while a mark is in the hand: without what can wait (`FilmsOptions`)
 */
export const filmLeg = (
  view: CaseView,
  facts: FactsByBlob,
  kit?: Kit,
  how: Pick<FilmsOptions, 'moving'> = {},
): Result<CaseLeg, readonly Refusal[]> => withSaid(fromFilms(view, facts, kit, how), view, kit);

/** A leg with the beliefs and spreads that were stated of it. */
function withSaid(
  found: Result<CaseLeg, readonly Refusal[]>,
  view: CaseView,
  kit: Kit | undefined,
): Result<CaseLeg, readonly Refusal[]> {
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
    leg: withStated({ ...leg, findings: [...filmsBeside(view), ...read.value.findings, ...leg.findings] }, view.stated),
    bones: { meshes: read.value.meshes, measured: measured.value },
  });
}

const filmsBeside = (view: CaseView): readonly Finding[] =>
  view.films.length === 0
    ? []
    : [
        info(
          'films-beside-bones',
          `The leg is measured on its bones; ${view.films.length === 1 ? 'the film beside them is' : `the ${view.films.length} films beside them are`} not used for it.`,
        ),
      ];

function fromFilms(
  view: CaseView,
  facts: FactsByBlob,
  kit: Kit | undefined,
  how: Pick<FilmsOptions, 'moving'>,
): Result<CaseLeg, readonly Refusal[]> {
  const lost = view.films.find((film) => !facts.has(film.blob));
  if (lost) return only(refusal('blob-missing', `The file of the film ${lost.fileName} is not at hand.`));
  const found = legFromFilms(view.side, filmReadings(view, facts), {
    ...how,
    rodLengthMm: rodLength(kit),
    spreads: { ...literatureSpreads, ...view.markSpreads?.kinds },
  });
  if (!found.ok && found.error.every((e) => e.kind === 'few-marks') && view.stated.length > 0) {
    const leg = legFromStated(view.side, view.stated);
    const unused = info(
      'films-not-marked',
      'Too little is marked on the films yet: the leg is that of the stated values.',
    );
    return ok({ leg: { ...leg, findings: [unused, ...leg.findings] }, bones: undefined });
  }
  if (!found.ok) return found;
  const { leg, ...films } = found.value;
  return ok({
    leg: withStated({ ...leg, findings: [...filmFindings(view, facts), ...leg.findings] }, view.stated),
    bones: undefined,
    films,
  });
}

function fromStated(view: CaseView): Result<CaseLeg, readonly Refusal[]> {
  if (view.stated.length === 0) {
    return only(
      refusal(
        'no-leg',
        'The case knows nothing of the leg yet: give bones or films, or state values such as LDFA=88deg.',
      ),
    );
  }
  return ok({ leg: legFromStated(view.side, view.stated), bones: undefined });
}
