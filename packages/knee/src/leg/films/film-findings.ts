import { doubt, type Finding, info } from '@kerfline/geometry';
import { type Refusal, refusal } from '../../refusal.ts';
import type { Side } from '../../side.ts';
import type { FilmReading } from './film.ts';
import { filmDefaults } from './film-defaults.ts';
import { flatOf, type StartedFilm } from './film-marks.ts';
import { sightOf } from './film-pose.ts';
import { markPlace } from './mark-catalogue.ts';

/** What makes a film's marks unusable: each names what was found and what is allowed. */
export function filmFaults(reading: FilmReading, side: Side): readonly Refusal[] {
  const faults: Refusal[] = [];
  if (reading.side !== side) {
    faults.push(refusal('wrong-side', `Film ${reading.id} is of the ${reading.side} leg; this is the ${side} one.`));
  }
  const spacing = reading.scale.kind === 'none' ? reading.scale.aspect : reading.scale.spacing;
  if (!(spacing.rowMm > 0 && spacing.columnMm > 0)) {
    faults.push(
      refusal(
        'bad-spacing',
        `Film ${reading.id}: a pixel of ${spacing.rowMm} x ${spacing.columnMm} mm is none; both must be above 0.`,
      ),
    );
  }
  const seen = new Set<string>();
  for (const { name, pixel, covPx2 } of reading.marks) {
    const place = markPlace(name);
    if (!place) {
      faults.push(refusal('unknown-mark', `Film ${reading.id}: ${name} is not a mark.`));
    } else if (!place.views.includes(reading.view)) {
      faults.push(
        refusal(
          'mark-of-another-view',
          `Film ${reading.id} is ${reading.view}; ${name} is marked on ${place.views.join(', ')}.`,
        ),
      );
    }
    if (seen.has(name)) faults.push(refusal('marked-twice', `Film ${reading.id}: ${name} is marked twice.`));
    seen.add(name);
    if (!(pixel[0] >= 0 && pixel[0] <= reading.columns && pixel[1] >= 0 && pixel[1] <= reading.rows)) {
      faults.push(
        refusal(
          'mark-outside',
          `Film ${reading.id}: ${name} is at column ${pixel[0]}, row ${pixel[1]}; the film has ${reading.columns} columns and ${reading.rows} rows.`,
        ),
      );
    }
    if (covPx2 && !(covPx2[0][0] > 0 && covPx2[1][1] > 0 && covPx2[0][0] * covPx2[1][1] > covPx2[0][1] ** 2)) {
      faults.push(
        refusal('mark-spread', `Film ${reading.id}: the spread of ${name} is not one: both ways must be above 0.`),
      );
    }
  }
  return faults;
}

/** A front film whose marks lie as on its mirror image: turned over, or of the other leg, or medial and lateral mistaken. */
export function turnedOver({ misfit, reading }: StartedFilm): Refusal | undefined {
  if (!misfit || !(misfit[1] < filmDefaults.turnedOver.value * misfit[0])) return undefined;
  return refusal(
    'film-turned-over',
    `Film ${reading.id}: the marks lie ${misfit[0].toFixed(0)} mm from those of a ${reading.side} leg and ${misfit[1].toFixed(0)} mm from its mirror image. ` +
      'Either the picture is turned over, or it is of the other leg, or medial and lateral were mistaken. ' +
      '(Were the picture turned over and the side wrong as well, nothing here could tell.)',
  );
}

/** Marks that lie on each other. */
export function marksTogether(reading: FilmReading): readonly Finding[] {
  const near = filmDefaults.together.value;
  const placed = reading.marks.map((mark) => ({ name: mark.name, at: flatOf(reading, mark.pixel) }));
  return placed.flatMap((one, i) =>
    placed
      .slice(i + 1)
      .flatMap((other) =>
        Math.hypot(one.at[0] - other.at[0], one.at[1] - other.at[1]) < near
          ? [doubt('marks-together', `Film ${reading.id}: ${one.name} and ${other.name} lie on each other.`)]
          : [],
      ),
  );
}

/** What a film does not show and what that does to the numbers. */
export function notShown(reading: FilmReading): readonly Finding[] {
  const has = (...names: readonly string[]): boolean =>
    names.every((n) => reading.marks.some((mark) => mark.name === n));
  const findings: Finding[] = [];
  if (reading.scale.kind !== 'bone') {
    findings.push(
      doubt(
        'film-not-calibrated',
        `Film ${reading.id} is not calibrated: ${
          reading.scale.kind === 'detector'
            ? 'lengths on it are measured at the detector and larger than the bone by an unknown amount'
            : 'what a pixel is in millimetres is not known'
        }. Angles are taken from it, sizes are not. Mark a ball or a ruler of known size that lay at the depth of the bone.`,
      ),
    );
  }
  if (sightOf[reading.view] !== 'front') return findings;
  if (!has('hipCentre')) {
    findings.push(
      doubt(
        'no-hip',
        `Film ${reading.id} has no mark of the hip centre: the femoral axis is told from the canal and people in general, and LDFA and HKA spread accordingly.`,
      ),
    );
  }
  if (!has('plafondCentre') && !has('malleolusMedial', 'malleolusLateral')) {
    findings.push(
      doubt(
        'no-ankle',
        `Film ${reading.id} has no mark of the ankle: the tibial axis is told from the canal and people in general, and MPTA and HKA spread accordingly.`,
      ),
    );
  }
  if (!has('patellaCentre') && !has('fibulaHead')) {
    findings.push(
      info(
        'turn-not-seen',
        `Film ${reading.id}: neither kneecap nor head of the fibula is marked, so how far the limb was turned is only believed to within ${filmDefaults.turn.sd} deg.`,
      ),
    );
  }
  return findings;
}

/** A limb that was turned or bent on a front film. */
export function turnedOrBent(
  id: string,
  turn: { readonly value: number; readonly sd: number },
  bend: { readonly value: number; readonly sd: number },
): readonly Finding[] {
  const said = (v: number, word: readonly [string, string]): string =>
    `${Math.abs(v).toFixed(0)} deg ${v < 0 ? word[1] : word[0]}`;
  const findings: Finding[] = [];
  if (Math.abs(turn.value) > filmDefaults.turnedLimit.value) {
    findings.push(
      doubt(
        'limb-turned',
        `Film ${id}: the limb is turned ${said(turn.value, ['external', 'internal'])} (give or take ${turn.sd.toFixed(0)}): with a bent knee ` +
          'each 10 deg of turn shifts HKA and MPTA by about a sixth of the bend; their spreads count it.',
      ),
    );
  }
  if (Math.abs(bend.value) > filmDefaults.bentLimit.value) {
    findings.push(
      doubt(
        'knee-bent-on-film',
        `Film ${id}: the knee is ${said(bend.value, ['bent', 'overextended'])} (give or take ${bend.sd.toFixed(0)}).`,
      ),
    );
  }
  return findings;
}
