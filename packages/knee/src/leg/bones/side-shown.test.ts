import { describe, expect, it } from 'vitest';
import { checkSide, type SideMarks } from './side-shown.ts';

const marks = (headMedialMm: number, malleolusMedialMm: number, fibulaLateralMm?: number): SideMarks => ({
  headMedialMm,
  malleolusMedialMm,
  fibulaLateralMm,
});

describe('the side that bones show', () => {
  it('is accepted when all lie where the declared side wants them', () => {
    expect(checkSide('left', marks(35, 12, 20))).toEqual({ refusals: [], findings: [] });
  });

  it.each([
    { why: 'both bones are of the other leg', is: marks(-35, -12), kind: 'wrong-side' },
    { why: 'femur and tibia are of opposite legs', is: marks(35, -12), kind: 'opposite-sides' },
    { why: 'the fibula stands medial of a tibia that shows its side', is: marks(35, 12, -20), kind: 'opposite-sides' },
    { why: 'the fibula stands medial of a tibia that does not', is: marks(35, 1, -20), kind: 'wrong-side' },
  ])('is refused when $why', ({ is, kind }) => {
    expect(checkSide('left', is).refusals.map((r) => r.kind)).toEqual([kind]);
  });

  it('is doubted where a bone does not show it clearly', () => {
    const { refusals, findings } = checkSide('right', marks(35, 1, 20));
    expect(refusals).toEqual([]);
    expect(findings.map((f) => f.code)).toEqual(['side-not-shown']);
    expect(findings[0]!.message).toContain('tibia');
  });
});
