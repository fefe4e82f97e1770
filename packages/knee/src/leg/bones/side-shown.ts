import { doubt, type Finding } from '@kerfline/geometry';
import { type Refusal, refusal } from '../../refusal.ts';
import { otherSide, type Side } from '../../side.ts';

/** What each bone says of its side: mm by which a landmark stands where the declared side wants it; negative if opposite. */
export interface SideMarks {
  readonly headMedialMm: number;
  readonly malleolusMedialMm: number;
  readonly fibulaLateralMm: number | undefined;
}

/** Below this a bone does not show its side clearly, mm. Working default, no source. */
const marginMm = 4;

const says = (mm: number, declared: Side): Side | undefined =>
  Math.abs(mm) < marginMm ? undefined : mm > 0 ? declared : otherSide(declared);

/** Refuses bones that are not of the declared leg or not of one leg; doubts bones that do not show their side. */
export function checkSide(
  declared: Side,
  marks: SideMarks,
): { readonly refusals: readonly Refusal[]; readonly findings: readonly Finding[] } {
  const femur = says(marks.headMedialMm, declared);
  const tibia = says(marks.malleolusMedialMm, declared);
  const fibula = marks.fibulaLateralMm === undefined ? undefined : says(marks.fibulaLateralMm, declared);
  const other = otherSide(declared);
  const refused = (kind: string, message: string) => ({ refusals: [refusal(kind, message)], findings: [] });
  if (femur && tibia && femur !== tibia) {
    return refused(
      'opposite-sides',
      `The femur is of a ${femur} leg and the tibia of a ${tibia} leg; both must be of the ${declared} leg.`,
    );
  }
  if (fibula && tibia && fibula !== tibia) {
    return refused(
      'opposite-sides',
      `The fibula lies where that of a ${fibula} leg would, beside a tibia of a ${tibia} leg.`,
    );
  }
  if (fibula === other && !tibia) {
    return refused(
      'wrong-side',
      `The leg is declared ${declared}, but the fibula lies where that of a ${other} leg would. Give the other side, or check whether the file is mirrored.`,
    );
  }
  if (femur === other || tibia === other) {
    const seen =
      femur === other
        ? `the femur is of a ${other} leg (its head stands ${Math.abs(marks.headMedialMm).toFixed(0)} mm to the other side of the shaft)`
        : `the tibia is of a ${other} leg (its malleolus stands ${Math.abs(marks.malleolusMedialMm).toFixed(0)} mm to the other side of the shaft)`;
    return refused(
      'wrong-side',
      `The leg is declared ${declared}, but ${seen}. Give the other side, or check whether the file is mirrored.`,
    );
  }
  const unsure: readonly (readonly [string, number, Side | undefined])[] = [
    ['femur', marks.headMedialMm, femur],
    ['tibia', marks.malleolusMedialMm, tibia],
  ];
  return {
    refusals: [],
    findings: unsure
      .filter(([, , side]) => side === undefined)
      .map(([bone, mm]) =>
        doubt('side-not-shown', `The ${bone} does not show its side: ${mm.toFixed(1)} mm, ${marginMm} mm needed.`),
      ),
  };
}
