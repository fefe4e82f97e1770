import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  agreement,
  type FromReadings,
  intraclass,
  minimalDetectableChange,
  readingsFaultText,
  repeatability,
} from './index.ts';

function found<T>(result: FromReadings<T>): T {
  if (!result.ok) throw new Error(readingsFaultText(result.error));
  return result.value;
}

const reading = fc.double({ min: -200, max: 200, noNaN: true });
const pairs = fc.array(fc.tuple(reading, reading), { minLength: 3, maxLength: 20 });
const table = fc
  .tuple(fc.integer({ min: 3, max: 8 }), fc.integer({ min: 2, max: 5 }))
  .chain(([n, k]) => fc.array(fc.array(reading, { minLength: k, maxLength: k }), { minLength: n, maxLength: n }));

describe('laws of agreement', () => {
  it('the two methods exchanged turn the sign of the mean difference and of the limits', () => {
    fc.assert(
      fc.property(pairs, (rows) => {
        const [a, b] = [rows.map(([v]) => v), rows.map(([, v]) => v)];
        const [there, back] = [found(agreement(a, b)), found(agreement(b, a))];
        expect(back.meanDifference).toBe(-there.meanDifference);
        expect(back.sd).toBeCloseTo(there.sd, 10);
        expect(back.limits.low).toBeCloseTo(-there.limits.high, 10);
        expect(back.intervalOfHigh.low).toBeCloseTo(-there.intervalOfLow.high, 10);
      }),
    );
  });

  it('a constant added to all readings leaves spread and limits', () => {
    fc.assert(
      fc.property(pairs, reading, (rows, by) => {
        const seen = found(
          agreement(
            rows.map(([v]) => v),
            rows.map(([, v]) => v),
          ),
        );
        const moved = found(
          agreement(
            rows.map(([v]) => v + by),
            rows.map(([, v]) => v + by),
          ),
        );
        expect(moved.meanDifference).toBeCloseTo(seen.meanDifference, 9);
        expect(moved.sd).toBeCloseTo(seen.sd, 9);
      }),
    );
  });
});

describe('laws of repeats', () => {
  it('a constant added to all readings, or to all of one subject, leaves the sem', () => {
    fc.assert(
      fc.property(table, reading, (rows, by) => {
        const { sem } = found(repeatability(rows));
        expect(found(repeatability(rows.map((row) => row.map((v) => v + by)))).sem).toBeCloseTo(sem, 9);
        expect(found(repeatability(rows.map((row, i) => row.map((v) => v + i * by)))).sem).toBeCloseTo(sem, 9);
      }),
    );
  });

  it('readings in another unit scale the sem and what can be detected', () => {
    fc.assert(
      fc.property(table, fc.double({ min: -50, max: 50, noNaN: true }), (rows, by) => {
        const seen = found(repeatability(rows));
        const scaled = found(repeatability(rows.map((row) => row.map((v) => v * by))));
        expect(scaled.sem).toBeCloseTo(seen.sem * Math.abs(by), 7);
        expect(scaled.coefficient).toBeCloseTo(seen.coefficient * Math.abs(by), 7);
      }),
    );
  });

  it('the squared sem is the mean square within subjects of the table', () => {
    fc.assert(
      fc.property(table, (rows) => {
        const { WMS } = found(intraclass(rows)).meanSquares;
        expect(found(repeatability(rows)).sem ** 2).toBeCloseTo(WMS, 6);
      }),
    );
  });

  it('a subject read once adds nothing', () => {
    const rows = [
      [1, 3],
      [10, 10],
    ];
    // By hand: squares within are 2 and 0, on 2 degrees of freedom.
    expect(found(repeatability(rows)).sem).toBe(1);
    expect(found(repeatability([...rows, [500]]))).toEqual(found(repeatability(rows)));
  });

  it('of 1 mm, two readings differ by less than 2.77 mm in 95 of 100 cases', () => {
    // By hand: 1.96 times the root of 2.
    expect(minimalDetectableChange(1)).toBeCloseTo(2.7719, 4);
  });
});

describe('laws of the correlations within classes', () => {
  it('a constant added, or another unit, leaves them', () => {
    fc.assert(
      fc.property(table, reading, (rows, by) => {
        const seen = found(intraclass(rows));
        fc.pre(seen.meanSquares.EMS > 1 && seen.meanSquares.BMS > 1);
        const moved = found(intraclass(rows.map((row) => row.map((v) => 3 * v + by))));
        for (const kind of ['oneWay', 'random', 'fixed'] as const) {
          expect(moved[kind].single.value).toBeCloseTo(seen[kind].single.value, 8);
          expect(moved[kind].single.interval!.low).toBeCloseTo(seen[kind].single.interval!.low, 6);
        }
      }),
    );
  });

  it('a judge who reads higher throughout counts in (1,1) and (2,1), not in (3,1)', () => {
    const rows = [
      [1, 2.1, 3],
      [4, 5, 6.2],
      [9, 10.3, 11],
      [2, 2.9, 4.1],
    ];
    const shifted = rows.map(([a, b, c]) => [a!, b!, c! + 5]);
    const [before, after] = [found(intraclass(rows)), found(intraclass(shifted))];
    expect(after.fixed.single.value).toBeCloseTo(before.fixed.single.value, 12);
    expect(after.random.single.value).toBeLessThan(before.random.single.value - 0.1);
    expect(after.oneWay.single.value).toBeLessThan(before.oneWay.single.value - 0.1);
  });

  it('holds its value inside its interval', () => {
    fc.assert(
      fc.property(table, (rows) => {
        const seen = found(intraclass(rows));
        fc.pre(seen.meanSquares.EMS > 1 && seen.meanSquares.BMS > 1);
        for (const kind of ['oneWay', 'fixed'] as const) {
          const { value, interval } = seen[kind].single;
          expect(interval!.low).toBeLessThan(value);
          expect(interval!.high).toBeGreaterThan(value);
        }
      }),
    );
  });

  it('judges who say the same have a correlation of 1 and no interval', () => {
    const { random } = found(
      intraclass([
        [1, 1],
        [2, 2],
        [5, 5],
      ]),
    );
    expect(random.single).toEqual({ value: 1 });
  });
});

describe('readings that nothing can be taken from', () => {
  it.each([
    [agreement([1], [2]), 'There are 1 pairs; at least 2 are needed.'],
    [agreement([1, 2], [2]), 'A row has 1 readings; 2 are needed, as many as the others have.'],
    [agreement([1, 2], [2, Number.NaN]), 'Row 2 holds NaN, which is no finite number.'],
    [repeatability([[1], [2]]), 'There are 1 repeats; at least 2 are needed.'],
    [repeatability([]), 'There are 0 repeats; at least 2 are needed.'],
    [intraclass([[1, 2]]), 'There are 1 subjects; at least 2 are needed.'],
    [intraclass([[1], [2]]), 'There are 1 judges; at least 2 are needed.'],
    [intraclass([[1, 2], [2]]), 'A row has 1 readings; 2 are needed, as many as the others have.'],
    [
      intraclass([
        [3, 3],
        [3, 3],
      ]),
      'All readings are 3; without any variation there is nothing to compare.',
    ],
  ] as const)('are refused with what was found (case %#)', (result, text) => {
    if (result.ok) throw new Error('not refused');
    expect(readingsFaultText(result.error)).toBe(text);
  });
});
