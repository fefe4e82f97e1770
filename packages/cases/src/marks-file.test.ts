import { describe, expect, it } from 'vitest';
import { marksStatements, readMarksFile } from './marks-file.ts';

const read = (value: unknown) => readMarksFile(JSON.stringify(value), 'm.json');
const good = { view: 'long-leg', side: 'left', landmarks: { hipCentre: { pixel: [1023.4, 512.2] } } };

describe('a file of marks', () => {
  it('takes places as they are, with a spread and a radius, and bare pairs', () => {
    const covPx2 = [
      [4, 1],
      [1, 3],
    ];
    const found = read({
      ...good,
      landmarks: { hipCentre: { pixel: [1, 2], covPx2, radiusPx: 63.1 }, plafondCentre: [3, 4] },
    });
    if (!found.ok) throw new Error(found.error[0]!.message);
    expect(marksStatements('c/1', found.value)).toEqual([
      { kind: 'mark', body: { film: 'c/1', name: 'hipCentre', pixel: [1, 2], covPx2, radiusPx: 63.1, by: 'hand' } },
      { kind: 'mark', body: { film: 'c/1', name: 'plafondCentre', pixel: [3, 4], by: 'hand' } },
    ]);
  });

  it('takes a decimal comma, as text', () => {
    const found = read({ ...good, landmarks: { hipCentre: ['12,5', ' 7.25 '], plafondCentre: { pixel: ['-3', 4] } } });
    expect(found).toMatchObject({
      ok: true,
      value: { landmarks: { hipCentre: { pixel: [12.5, 7.25] }, plafondCentre: { pixel: [-3, 4] } } },
    });
  });

  it('calibrates on a ball; depth 0 and its spread of 15 mm where nothing is said', () => {
    const rim = [
      [1, 2],
      [3, 4],
      [5, 9],
    ];
    const found = read({ ...good, calibration: { diameterMm: '25,4', rim } });
    if (!found.ok) throw new Error(found.error[0]!.message);
    expect(marksStatements('c/1', found.value).at(-1)).toEqual({
      kind: 'calibration',
      body: { film: 'c/1', kind: 'ball', sizeMm: 25.4, rim, depthMm: 0, depthSdMm: 15 },
    });
  });

  it.each([
    { why: 'a view that is none', file: { ...good, view: 'oblique' }, says: /view.*long-leg/ },
    { why: 'no landmarks', file: { view: 'long-leg' }, says: /landmarks/ },
    { why: 'a word for a number', file: { ...good, landmarks: { hipCentre: ['left', 2] } }, says: /hipCentre/ },
    { why: 'an empty text', file: { ...good, landmarks: { hipCentre: ['', 2] } }, says: /hipCentre/ },
    { why: 'one number', file: { ...good, landmarks: { hipCentre: [1] } }, says: /hipCentre/ },
    { why: 'three numbers', file: { ...good, landmarks: { hipCentre: [1, 2, 3] } }, says: /hipCentre/ },
    { why: 'a key that nobody knows', file: { ...good, unit: 'mm' }, says: /unit/ },
    {
      why: 'two rim points',
      file: {
        ...good,
        calibration: {
          diameterMm: 25,
          rim: [
            [1, 2],
            [3, 4],
          ],
        },
      },
      says: /3 points/,
    },
    { why: 'a list', file: [], says: /m\.json/ },
  ])('with $why is refused, naming the place', ({ file, says }) => {
    const found = read(file);
    if (found.ok) throw new Error('it was read');
    expect(found.error.map((e) => e.message).join(' ')).toMatch(says);
  });

  it('that is not JSON is refused', () => {
    expect(readMarksFile('{"view": long-leg}', 'm.json')).toMatchObject({
      ok: false,
      error: [{ message: expect.stringMatching(/m\.json is not JSON/) }],
    });
  });
});
