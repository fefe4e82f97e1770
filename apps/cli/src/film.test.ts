import { mkdtemp, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { filmFile } from '../../../packages/cases/src/film.fixture.ts';
import { buildCommand, done, type Ran, ran, refused } from './command.fixture.ts';

/** The film commands as they are run: a process, its exit code, what it prints and what it leaves on disk (design 10). */
let folder = '';
beforeAll(async () => {
  buildCommand();
  folder = await mkdtemp(join(tmpdir(), 'kerfline-film-'));
}, 240_000);
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

const kerfline = (...args: readonly string[]): Promise<Ran> => ran(args);

let made = 0;
async function file(name: string, content: Uint8Array | string): Promise<string> {
  made += 1;
  const path = join(folder, `${made}-${name}`);
  await writeFile(path, content);
  return path;
}

/** Marks laid out by hand: LDFA 88, MPTA 87 (tangents of 2 and 3 degrees); lateral of a left leg is to the right. */
const marks = {
  hipCentre: [250, 80],
  femoralKneeCentre: [250, 500],
  distalMedial: [226, 508.84],
  distalLateral: [274, 507.16],
  tibialKneeCentre: [250, 510],
  plateauMedial: [228, 520.15],
  plateauLateral: [272, 517.85],
  malleolusMedial: [225, 885],
  malleolusLateral: [275, 890],
  plafondCentre: [248, 880],
} as const;
const marksFile = (change: object = {}, name = 'marks.json'): Promise<string> =>
  file(name, JSON.stringify({ view: 'long-leg', side: 'left', posture: 'standing', landmarks: marks, ...change }));
/** A rim of a ball 28 pixels wide. */
const rim = [0, 1, 2, 3, 4, 5].map((k) => [60 + 14 * Math.cos(k), 400 + 14 * Math.sin(k)]);

/** The PNG header alone: W3C PNG, 11.2.1. */
function png(): Uint8Array {
  const bytes = new Uint8Array(45);
  bytes.set([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52]);
  new DataView(bytes.buffer).setUint32(16, 500);
  new DataView(bytes.buffer).setUint32(20, 1000);
  return bytes;
}

describe('film info', () => {
  it('says what the file is, what may be measured, whose side it is and what identifies, but never who', async () => {
    const out = done(await kerfline('film', 'info', await file('long.dcm', filmFile())));
    expect(out).toMatch(/500 columns and 1000 rows/);
    expect(out).toMatch(
      /DETECTOR.*at the detector.*larger than the object by an unknown amount.*before choosing a size/,
    );
    expect(out).toContain('LEFT');
    expect(out).toMatch(/Patient's Name, Patient ID/);
    expect(out).not.toMatch(/INVENTED|K 0081|2020/);
  });

  it('gives the same to programs', async () => {
    const offered = filmFile({
      spacing: { rowMm: 0.8, columnMm: 0.8 },
      calibration: { type: 'FIDUCIAL', description: 'ball of 25 mm' },
      stitched: true,
      sourceToDetectorMm: 2800,
    });
    const found = JSON.parse(done(await kerfline('film', 'info', await file('long.dcm', offered), '--json')));
    expect(found).toMatchObject({
      kind: 'dicom',
      columns: 500,
      rows: 1000,
      length: { state: 'FIDUCIAL', spacing: { rowMm: 0.8, columnMm: 0.8 }, description: 'ball of 25 mm' },
      sideTag: 'left',
      stitched: true,
      sourceToDetectorMm: 2800,
    });
    expect(found.identifies).toContainEqual({ tag: '(0010,0010)', name: "Patient's Name", action: 'emptied' });
    expect(JSON.stringify(found)).not.toMatch(/INVENTED|K 0081/);
  });

  it('of a picture says that nothing in it can be checked', async () => {
    const out = done(await kerfline('film', 'info', await file('photograph.png', png())));
    expect(out).toMatch(/a picture, 500 columns and 1000 rows/);
    expect(out).toMatch(/names no patient, no side and no lengths/);
    expect(out).toMatch(/photograph is seen when its pixels are read/);
  });

  it('refuses what is no film, with what was found', async () => {
    const whole = filmFile();
    const slice = whole.slice();
    const text = new TextDecoder('latin1').decode(whole.subarray(0, 2000));
    for (const at of [...text.matchAll(/1\.2\.840\.10008\.5\.1\.4\.1\.1\.1\.1/g)].map((m) => m.index)) {
      slice.set(new TextEncoder().encode('1.2.840.10008.5.1.4.1.1.2\0\0'), at);
    }
    refused(await kerfline('film', 'info', await file('cut.dcm', whole.subarray(0, 900_000))), /cut\.dcm.*ends early/);
    refused(await kerfline('film', 'info', await file('ct.dcm', slice)), /ct\.dcm.*no film/);
    refused(await kerfline('film', 'info', await file('text.dcm', 'a letter')), /neither a DICOM file nor/);
    refused(await kerfline('film', 'info', await file('none.dcm', '')), /empty/);
    refused(await kerfline('film', 'info', join(folder, 'nowhere.dcm')), /there is no such file/);
    for (const rowMm of [0, -0.2]) {
      const bad = filmFile({ imagerSpacing: { rowMm, columnMm: 0.2 } });
      refused(await kerfline('film', 'info', await file('spacing.dcm', bad)), /Imager Pixel Spacing.*positive/);
    }
  });
});

describe('film measure', () => {
  const measured = async (films: readonly string[], files: readonly string[], ...more: readonly string[]) =>
    kerfline('film', 'measure', ...films, '--marks', ...files, '--side', 'left', ...more);
  const json = async (films: readonly string[], files: readonly string[], ...more: readonly string[]) =>
    JSON.parse(done(await measured(films, files, ...more, '--json')));

  it('gives the angles that were laid out by hand, marks with their spread, and what would narrow them', async () => {
    const path = await file('long.dcm', filmFile());
    const found = await json([path], [await marksFile()]);
    expect(Object.keys(found).sort()).toEqual(
      ['side', 'landmarks', 'quantities', 'findings', 'films', 'next', 'dominates'].sort(),
    );
    expect(found.side).toBe('left');
    expect(Math.abs(found.quantities.LDFA.value - 88)).toBeLessThan(0.5);
    expect(Math.abs(found.quantities.MPTA.value - 87)).toBeLessThan(1);
    expect(found.quantities.LDFA.sd).toBeGreaterThan(0);
    // Not calibrated: sizes are refused (open-standards A1).
    expect(found.quantities.femurWidth.value).toBeNull();
    expect(found.landmarks.hipCentre).toMatchObject({ film: path, pixel: [250, 80] });
    const [[a, b], [c, d]] = found.landmarks.hipCentre.covPx2;
    expect(a).toBeGreaterThan(0);
    expect(a * d - b * c).toBeGreaterThan(0);
    expect(Object.keys(found.landmarks).sort()).toEqual(Object.keys(marks).sort());
    expect(found.films).toMatchObject([
      { film: path, view: 'long-leg', posture: 'standing', columns: 500, rows: 1000, length: 'DETECTOR' },
    ]);
    expect(found.next[0]).toMatchObject({
      film: path,
      name: expect.any(String),
      pixel: [expect.any(Number), expect.any(Number)],
    });
    expect(found.dominates.LDFA[0]).toMatchObject({ source: expect.any(String), share: expect.any(Number) });
  });

  it('takes numbers with a decimal comma, and pixels that are not square', async () => {
    const wide = await file('wide.dcm', filmFile({ columns: 1000, imagerSpacing: { rowMm: 1, columnMm: 0.5 } }));
    const landmarks = Object.fromEntries(
      Object.entries(marks).map(([name, [column, row]]) => [
        name,
        { pixel: [String(2 * column).replace('.', ','), String(row).replace('.', ',')] },
      ]),
    );
    const found = await json([wide], [await marksFile({ landmarks })]);
    const square = await json([await file('long.dcm', filmFile())], [await marksFile()]);
    expect(found.quantities.LDFA.value).toBeCloseTo(square.quantities.LDFA.value, 6);
    expect(found.landmarks.distalMedial.pixel).toEqual([452, 508.84]);
  });

  it('has sizes when a ball of known size is marked', async () => {
    const landmarks = { ...marks, femurEdgeMedial: [210, 499], femurEdgeLateral: [290, 499] };
    const calibration = { diameterMm: '25,0', rim, depthMm: 0, depthSdMm: 5 };
    const found = await json([await file('long.dcm', filmFile())], [await marksFile({ landmarks, calibration })]);
    // 80 pixels of 25/28 mm, pulled by what people in general have by less than the spread of two edges.
    expect(Math.abs(found.quantities.femurWidth.value - (80 * 25) / 28)).toBeLessThan(1.5);
    expect(found.films[0].scale).toMatchObject({ kind: 'bone', spacing: { columnMm: expect.closeTo(25 / 28, 6) } });
  });

  it('gives a landmark that is on two films as that on the film with the least spread', async () => {
    const long = await file('long.dcm', filmFile());
    const front = await file('front.dcm', filmFile({ instanceUid: '2.25.8', description: 'front' }));
    const soft = {
      pixel: [226, 508.84],
      covPx2: [
        [9, 0],
        [0, 9],
      ],
    };
    const sharp = {
      pixel: [226, 508.84],
      covPx2: [
        [1, 0],
        [0, 1],
      ],
    };
    const ofFront = (distalMedial: object) =>
      marksFile({
        view: 'knee-front',
        landmarks: { distalMedial, distalLateral: [274, 507.16], femoralKneeCentre: [250, 500] },
      });
    const ofLong = (distalMedial: object) => marksFile({ landmarks: { ...marks, distalMedial } });
    const one = await json([long, front], [await ofLong(soft), await ofFront(sharp)]);
    expect(one.landmarks.distalMedial).toMatchObject({
      film: front,
      covPx2: [
        [expect.closeTo(1, 9), expect.closeTo(0, 9)],
        [expect.closeTo(0, 9), expect.closeTo(1, 9)],
      ],
    });
    const other = await json([long, front], [await ofLong(sharp), await ofFront(soft)]);
    expect(other.landmarks.distalMedial.film).toBe(long);
  });

  it('takes the spreads of the person who marked, and refuses a file that has none', async () => {
    const path = await file('long.dcm', filmFile());
    const kinds = Object.fromEntries(
      ['headCentre', 'jointCentre', 'contact', 'prominence'].map((kind) => [
        kind,
        { acrossMm: 0.1, alongMm: 0.1, pairs: 20 },
      ]),
    );
    const steady = await file('spreads.json', JSON.stringify({ by: 'reader 1', kinds }));
    const own = await json([path], [await marksFile()], '--spreads', steady);
    const usual = await json([path], [await marksFile()]);
    expect(own.quantities.LDFA.sd).toBeLessThan(0.7 * usual.quantities.LDFA.sd);
    refused(await measured([path], [await marksFile()], '--spreads', await file('s.json', '{"kinds": 3}')), /s\.json/);
    refused(await measured([path], [await marksFile()], '--spreads', join(folder, 'no.json')), /no such file/);
  });

  it('tells components against the axes of a film after the operation, by plane geometry: 2 deg, 1 deg and straight', async () => {
    const tilted = (at: number, deg: number): readonly [readonly number[], readonly number[]] => {
      const up = 30 * Math.tan((deg * Math.PI) / 180);
      // Of a left leg that faces you lateral lies at the right.
      return [
        [220, at + up],
        [280, at - up],
      ];
    };
    const [femurM, femurL] = tilted(509, 2);
    const [trayM, trayL] = tilted(530, -1);
    const marks = await file(
      'after.json',
      JSON.stringify({
        view: 'after-front',
        side: 'left',
        landmarks: {
          hipCentre: [250, 80],
          femoralKneeCentre: [250, 500],
          componentDistalMedial: femurM,
          componentDistalLateral: femurL,
          tibialKneeCentre: [250, 515],
          trayMedial: trayM,
          trayLateral: trayL,
          plafondCentre: [250, 880],
        },
      }),
    );
    const path = await file('after.dcm', filmFile());
    const told = JSON.parse(
      done(await kerfline('film', 'measure', path, '--marks', marks, '--side', 'left', '--json')),
    );
    expect(told.quantities.componentLDFA.value).toBeCloseTo(88, 6);
    expect(told.quantities.componentMPTA.value).toBeCloseTo(91, 6);
    expect(told.quantities.achievedHKA.value).toBeCloseTo(180, 6);
    expect(done(await kerfline('film', 'measure', path, '--marks', marks, '--side', 'left'))).toMatch(
      /LEFT leg, components after the operation/,
    );
  });

  it('says in words what it found', async () => {
    const out = done(await measured([await file('long.dcm', filmFile())], [await marksFile()]));
    expect(out).toMatch(/^LEFT leg, measured on a film/);
    expect(out).toMatch(/LDFA +88\.\d/);
    expect(out).toMatch(/What would narrow this most: /);
    expect(out).toMatch(/not calibrated/);
  });

  it('names both numbers when films and files of marks do not match', async () => {
    const path = await file('long.dcm', filmFile());
    refused(await measured([path], [await marksFile(), await marksFile()]), /1 film and 2 files of marks/);
    refused(await measured([path, path], [await marksFile()]), /2 films and 1 file of marks/);
  });

  it.each([
    { why: 'off the film', change: { landmarks: { ...marks, hipCentre: [900, 80] } }, says: /column 900.*500 columns/ },
    { why: 'of no place', change: { landmarks: { hip: [1, 2] } }, says: /"hip" is no mark/ },
    { why: 'of another view', change: { landmarks: { ...marks, tubercle: [1, 2] } }, says: /tubercle.*knee-lateral/ },
    { why: 'of another side', change: { side: 'right' }, says: /RIGHT.*LEFT/ },
    { why: 'that are words', change: { landmarks: { hipCentre: ['here', 'there'] } }, says: /hipCentre/ },
    { why: 'too few', change: { landmarks: { hipCentre: [250, 80] } }, says: /at least two marks/ },
    {
      why: 'with a ball of 0 mm',
      change: { calibration: { diameterMm: 0, rim } },
      says: /0 mm large; a size above 0 mm/,
    },
    {
      why: 'with medial and lateral mistaken',
      change: {
        landmarks: Object.fromEntries(
          Object.entries(marks).map(([name, at]) => [
            name.endsWith('Medial') ? name.replace('Medial', 'Lateral') : name.replace('Lateral', 'Medial'),
            at,
          ]),
        ),
      },
      says: /mirror image/,
    },
  ])('refuses marks $why', async ({ change, says }) => {
    refused(await measured([await file('long.dcm', filmFile())], [await marksFile(change)]), says);
  });

  it('doubts marks on top of each other', async () => {
    const landmarks = { ...marks, epicondyleMedial: marks.distalMedial };
    const found = await json([await file('long.dcm', filmFile())], [await marksFile({ landmarks })]);
    expect(found.findings).toContainEqual(expect.objectContaining({ code: 'marks-together', severity: 'doubt' }));
  });

  it('refuses films of the other side and of two patients', async () => {
    const path = await file('long.dcm', filmFile());
    refused(
      await measured([await file('r.dcm', filmFile({ side: 'right' }))], [await marksFile()]),
      /r\.dcm.*RIGHT.*LEFT/,
    );
    const other = await file('other.dcm', filmFile({ patientId: 'K 0099', instanceUid: '2.25.9' }));
    refused(
      await measured([path, other], [await marksFile(), await marksFile()]),
      /other\.dcm is of another patient than .*long\.dcm/,
    );
  });

  it('refuses a file of marks that is not there or is none', async () => {
    const path = await file('long.dcm', filmFile());
    refused(await measured([path], [join(folder, 'no.json')]), /The marks.*no such file/);
    refused(await measured([path], [await file('m.json', '{')]), /m\.json is not JSON/);
  });
});

describe('a case begun from films', () => {
  const begin = (out: string, ...more: readonly string[]): Promise<Ran> =>
    kerfline('case', 'new', '--side', 'left', '--kit', 'demo', '--aim', 'restricted-kinematic', '--out', out, ...more);

  it('can be planned and proved, verifies, and holds no name', async () => {
    const out = join(folder, 'filmed.kerf.json');
    const path = await file('long.dcm', filmFile());
    done(await begin(out, '--film', path, '--marks', await marksFile(), '--set', 'slope=6deg+-1'));
    const text = await readFile(out, 'utf8');
    expect(text).not.toMatch(/INVENTED|K 0081/);
    expect(Buffer.from(text, 'utf8').toString('latin1')).not.toContain(
      Buffer.from('INVENTED').toString('base64').slice(0, 8),
    );
    expect(done(await kerfline('case', 'verify', out))).toMatch(/2 enclosed files/);
    const plan = JSON.parse(done(await kerfline('plan', out, '--json')));
    expect(Math.abs(plan.aims.LDFA.value - 88)).toBeLessThan(0.5);
    const proof = JSON.parse(done(await kerfline('proof', out, '--json')));
    expect(proof.cuts.distalFemur.pieces).toBeDefined();
    const shown = done(await kerfline('case', 'show', out));
    expect(shown).toMatch(/film +\d+-long\.dcm, long-leg, left, standing/);
    expect(shown).toMatch(/mark +hipCentre at 250\.0, 80\.0/);
  });

  it('is not begun when a film cannot be taken: nothing is written', async () => {
    const out = join(folder, 'never.kerf.json');
    refused(
      await begin(out, '--film', await file('r.dcm', filmFile({ side: 'right' })), '--marks', await marksFile()),
      /RIGHT/,
    );
    refused(await begin(out, '--film', await file('long.dcm', filmFile())), /1 film and 0 files of marks/);
    await expect(stat(out)).rejects.toThrow();
  });
});
