export type LengthUnit = 'mm' | 'cm' | 'm' | 'inch';

/** How many millimetres one unit is. */
const millimetresIn: Readonly<Record<LengthUnit, number>> = { mm: 1, cm: 10, m: 1000, inch: 25.4 };

/**
 * The unit a file was probably written in, told by the size of the thing in it.
 *
 * Millimetres if the extent lies in the expected range as it stands. Otherwise the unit that takes it into the range;
 * where several do (a wide range leaves room for centimetres and inches alike), the one whose converted extent lies
 * nearest the middle of the range. It is a guess for a person to confirm, never a reason to scale unasked.
 *
 * @param largestExtent longest side of the bounding box, in the file's unit
 * @param expectedMm least and greatest extent to be expected, mm, both included
 * @returns `undefined` if no unit takes the extent into the range
 */
export function likelyUnit(
  largestExtent: number,
  expectedMm: readonly [least: number, greatest: number],
): LengthUnit | undefined {
  const [least, greatest] = expectedMm;
  const extentIn = (unit: LengthUnit): number => largestExtent * millimetresIn[unit];
  const fits = (unit: LengthUnit): boolean => extentIn(unit) >= least && extentIn(unit) <= greatest;
  if (fits('mm')) return 'mm';
  const fromMiddle = (unit: LengthUnit): number => Math.abs(extentIn(unit) - (least + greatest) / 2);
  const others: readonly LengthUnit[] = ['cm', 'm', 'inch'];
  return others.filter(fits).sort((a, b) => fromMiddle(a) - fromMiddle(b))[0];
}
