import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BadInput } from './bad-input.ts';
import { addFilmRepeat, type FilmLengthOf, filmRepeatCommand } from './film-repeat.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'kerfline-repeat-'));
  await writeFile(at('film.bin'), 'a film');
  await writeFile(at('other.bin'), 'another film');
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});
const at = (name: string): string => join(folder, name);

type Landmarks = Readonly<Record<string, unknown>>;
/** A marked film; a later marking moves each joint surface point by so many pixels. */
const limb = (off: readonly (readonly [number, number])[]): Landmarks => {
  const move = (c: number, r: number, k: number): readonly [number, number] => [
    c + (off[k]?.[0] ?? 0),
    r + (off[k]?.[1] ?? 0),
  ];
  return {
    hipCentre: { pixel: [500, 100] },
    femoralKneeCentre: [500, 1000],
    distalMedial: { pixel: move(550, 1000, 0) },
    distalLateral: { pixel: move(450, 1000, 1) },
    plateauMedial: { pixel: move(550, 1020, 2) },
    plateauLateral: { pixel: move(450, 1020, 3) },
  };
};
async function marking(name: string, landmarks: unknown, more: object = {}): Promise<string> {
  await writeFile(at(name), JSON.stringify({ view: 'long-leg', side: 'left', landmarks, ...more }));
  return at(name);
}

const refusal = async (work: Promise<unknown>): Promise<string> => {
  try {
    await work;
  } catch (e) {
    if (e instanceof BadInput) return e.reasons.join('\n');
    throw e;
  }
  return 'not refused';
};

const none = limb([]);
/** Each point 2 pixels along and 1 across. */
const moved = limb([
  [2, 1],
  [2, -1],
  [-2, 1],
  [-2, -1],
]);

describe('film repeat', () => {
  it('tells spreads in millimetres and angles in degrees, by hand', async () => {
    const film = at('film.bin');
    const marks = [await marking('a.json', none), await marking('b.json', moved)];
    const said = JSON.parse(
      await filmRepeatCommand({ by: 'local', films: [{ film, marks }], spacing: 0.5, json: true }),
    );
    // Every pair is 1 px = 0.5 mm apart across and 2 px = 1 mm along: sd = difference / sqrt(2).
    expect(said.kinds.contact.acrossMm).toBeCloseTo(0.5 / Math.SQRT2, 12);
    expect(said.kinds.contact.alongMm).toBeCloseTo(1 / Math.SQRT2, 12);
    expect(said.kinds.contact).toMatchObject({ pairs: 4, used: false });
    // The distal line turned by 2 in 100 pixels: LDFA of the two markings differs by atan(0.02).
    const degrees = (Math.atan(0.02) * 180) / Math.PI;
    expect(said.quantities.LDFA.sem).toBeCloseTo(degrees / Math.SQRT2, 9);
    expect(said.quantities.LDFA.minimalDetectableChange).toBeCloseTo(1.96 * degrees, 9);
    expect(said.quantities.LDFA).toMatchObject({ unit: 'deg', films: 1, pairs: 1 });
    expect(said.findings.map((f: { code: string }) => f.code)).toContain('few-pairs');
  });

  it('writes only spreads with pairs enough, and says what it held back', async () => {
    const films = await Promise.all(
      ['film.bin', 'other.bin'].map(async (film) => ({
        film: at(film),
        marks: [await marking(`${film}-a.json`, none), await marking(`${film}-b.json`, moved)],
      })),
    );
    const out = at('spreads.json');
    const text = await filmRepeatCommand({ films, spacing: 0.5, by: 'reader 1', out });
    const spreads = JSON.parse(await readFile(out, 'utf8'));
    expect(Object.keys(spreads)).toEqual(['by', 'kinds']);
    expect(spreads.by).toBe('reader 1');
    expect(Object.keys(spreads.kinds)).toEqual(['contact']);
    expect(spreads.kinds.contact.pairs).toBe(8);
    expect(spreads.kinds.contact.acrossMm).toBeCloseTo(0.5 / Math.SQRT2, 12);
    expect(text).toMatch(/LEFT leg, long-leg, marked 2 times; 0.5 mm a pixel, as typed/);
    expect(text).toMatch(/points on joint surfaces +0\.35 \+\/- 0\.09 +0\.71 \+\/- 0\.18 +8\n/);
    expect(text).toMatch(/joint centres .* 2 +too few: 3 more needed/);
    expect(text).toMatch(/spreads\.json holds the spreads of 1 of 3 kinds/);
    // Two films are too few for limits.
    expect(text).toMatch(/LDFA .* deg +2 +too few\n/);
    expect(text).not.toMatch(/first minus second/);
  });

  it('without a length shows angles, and nothing in millimetres', async () => {
    const film = at('film.bin');
    const marks = [await marking('c.json', none), await marking('d.json', moved)];
    const said = JSON.parse(await filmRepeatCommand({ by: 'local', films: [{ film, marks }], json: true }));
    expect(said.kinds).toEqual({});
    expect(Object.keys(said.quantities).sort()).toEqual(['JLCA', 'LDFA']);
    expect(said.findings[0].code).toBe('no-length');
  });

  it('takes the length that the film says with the marking that holds a calibration', async () => {
    const film = at('film.bin');
    const calibration = { diameterMm: 25 };
    const marks = [await marking('e.json', none), await marking('f.json', moved, { calibration })];
    const asked: unknown[] = [];
    const lengthOf: FilmLengthOf = async (path, seen, side) => {
      asked.push([path, seen, side]);
      return { spacing: { rowMm: 0.2, columnMm: 0.1 }, description: 'a ball' };
    };
    const said = JSON.parse(await filmRepeatCommand({ by: 'local', films: [{ film, marks }], json: true }, lengthOf));
    expect(asked).toEqual([[film, marks[1], 'left']]);
    expect(said.kinds.contact.acrossMm).toBeCloseTo(0.2 / Math.SQRT2, 12);
    expect(said.kinds.contact.alongMm).toBeCloseTo(0.2 / Math.SQRT2, 12);
  });

  it('takes several films on the command line, each with its marks after it', async () => {
    const [a, b, c, d] = await Promise.all(
      ['g', 'h', 'i', 'j'].map((name, k) => marking(`${name}.json`, k % 2 === 0 ? none : moved)),
    );
    let said = '';
    const program = new Command('kerfline').exitOverride();
    addFilmRepeat(program.command('film'), (text) => {
      said = text;
    });
    await program.parseAsync(
      [
        'film',
        'repeat',
        '--film',
        at('film.bin'),
        '--marks',
        a!,
        b!,
        '--film',
        at('other.bin'),
        '--marks',
        c!,
        d!,
        '--spacing',
        '0,5',
        '--json',
      ],
      { from: 'user' },
    );
    const read = JSON.parse(said);
    expect(read.films.map((f: { film: string }) => f.film)).toEqual(['film.bin', 'other.bin']);
    expect(read.kinds.contact).toMatchObject({ pairs: 8, used: true });
  });
});

describe('film repeat refuses', () => {
  const run = (marks: readonly string[], film = at('film.bin')) =>
    refusal(filmRepeatCommand({ by: 'local', films: [{ film, marks }], spacing: 0.5 }));

  it('one marking, the same marking twice, and a film that is not there', async () => {
    const [a, b] = [await marking('k.json', none), await marking('l.json', moved)];
    expect(await run([a])).toMatch(/has 1 marks file; at least 2/);
    expect(await run([a, a])).toMatch(/markings 1 and 2 are the same to the last digit/);
    expect(await run([a, b], at('nowhere.dcm'))).toMatch(/there is no such file/);
  });

  it('a film given twice', async () => {
    const films = [
      { film: at('film.bin'), marks: [await marking('m.json', none), await marking('n.json', moved)] },
      { film: at('film.bin'), marks: [at('m.json'), at('n.json')] },
    ];
    expect(await refusal(filmRepeatCommand({ by: 'local', films }))).toMatch(/is given twice/);
  });

  it('markings of two sides', async () => {
    const marks = [await marking('o.json', none), await marking('p.json', moved, { side: 'right' })];
    expect(await run(marks)).toMatch(/p\.json is of a long-leg film of the right leg, .*o\.json of .* left leg/);
  });

  it('a file that is no marks file, with everything that is wrong in it', async () => {
    const good = await marking('q.json', none);
    await writeFile(at('r.json'), '{');
    expect(await run([good, at('r.json')])).toMatch(/r\.json is no JSON/);
    // A byte that is no UTF-8, in a note that nobody reads.
    await writeFile(
      at('r.json'),
      Buffer.from('{"view": "long-leg", "side": "left", "landmarks": {}, "note": "\xff"}', 'latin1'),
    );
    expect(await run([good, at('r.json')])).toMatch(/r\.json is no JSON/);
    await writeFile(at('r.json'), '[1]');
    expect(await run([good, at('r.json')])).toMatch(/r\.json holds \[1\]; an object/);
    await writeFile(
      at('r.json'),
      '{"view": "oblique", "side": 3, "landmarks": {"hipCentre": {"pixel": [1, "2"]}, "x": 4}}',
    );
    const text = await run([good, at('r.json')]);
    for (const said of [/view is "oblique"/, /side is 3/, /landmarks\.hipCentre is/, /landmarks\.x is 4/]) {
      expect(text).toMatch(said);
    }
  });

  it('a mark that is none, though the film has no length', async () => {
    const marks = [await marking('s.json', none), await marking('t.json', { ...moved, nose: [1, 2] })];
    expect(await refusal(filmRepeatCommand({ by: 'local', films: [{ film: at('film.bin'), marks }] }))).toMatch(
      /nose is no mark/,
    );
  });

  it('a place where nothing can be written', async () => {
    const marks = [await marking('u.json', none), await marking('v.json', moved)];
    const films = [{ film: at('film.bin'), marks }];
    expect(
      await refusal(filmRepeatCommand({ by: 'local', films, spacing: 0.5, out: at('none/spreads.json') })),
    ).toMatch(/cannot be written: there is no such folder/);
  });
});
