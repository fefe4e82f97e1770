import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process, { env } from 'node:process';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it, test } from 'vitest';
import { buildCommand, commandPath, type Ran, ran, refused } from './command.fixture.ts';

/** The command as it is run: a process, its exit code, what it prints and what it leaves on disk (design 10). */
const root = fileURLToPath(new URL('../../../', import.meta.url));
const bones = env.KERFLINE_BONES ?? join(root, '../shared/data/bones');
const present = existsSync(join(bones, 'VSD_z013_L', 'femur.ply'));

let folder = '';
beforeAll(async () => {
  buildCommand();
  folder = await mkdtemp(join(tmpdir(), 'kerfline-cli-'));
}, 240_000);
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

/** Two processes at a time, so that tests which run together do not crowd the machine. */
const lanes: Promise<unknown>[] = [Promise.resolve(), Promise.resolve()];
let calls = 0;
function kerfline(...args: readonly string[]): Promise<Ran> {
  const lane = calls % lanes.length;
  calls += 1;
  const mine = lanes[lane]!.then(() => ran(args));
  lanes[lane] = mine;
  return mine;
}

const at = (name: string): string => join(folder, name);
/** A file in a folder of its own, so that tests which run together do not meet. */
async function fileOf(name: string, content: string | Uint8Array): Promise<string> {
  const own = await mkdtemp(at('file-'));
  await writeFile(join(own, name), content);
  return join(own, name);
}

/** The reference case of the trade notes, 8.1, typed in. */
const reference = [
  'LDFA=88deg',
  'MPTA=87deg',
  'JLCA=4deg',
  'slope=6deg',
  'shaftMechanical=5.6deg',
  'tibiaSpan=330mm',
  'ankleOffset=3mm',
  'wearDistalMedial=2,3mm',
  'wearPlateauMedial=3.0mm',
  'distalSpacing=48mm',
  'posteriorSpacing=48mm',
  'plateauSpacing=48mm',
  'cortexDepth=61mm',
];
const sets = (values: readonly string[]): readonly string[] => values.flatMap((v) => ['--set', v]);
const newCase = (out: string, more: readonly string[] = [], values: readonly string[] = reference): Promise<Ran> =>
  kerfline(
    'case',
    'new',
    '--side',
    'left',
    ...sets(values),
    '--kit',
    'demo',
    '--aim',
    'restricted-kinematic',
    '--out',
    out,
    ...more,
  );

/** Keys of an object, those that are always there and those that may be. */
function keysAre(value: object, always: readonly string[], maybe: readonly string[] = [], where = ''): void {
  const keys = Object.keys(value);
  expect(
    always.filter((key) => !keys.includes(key)),
    `${where}: keys that are missing`,
  ).toEqual([]);
  expect(
    keys.filter((key) => ![...always, ...maybe].includes(key)),
    `${where}: keys that nobody knows`,
  ).toEqual([]);
}
interface Quantity {
  readonly value: number | null;
  readonly unit: string;
  readonly sd: number | null;
}
function isQuantity(q: Quantity & object, where: string): void {
  keysAre(q, ['value', 'unit', 'sd', 'method'], ['positive', 'definitionSd', 'unknown'], where);
  expect(['mm', 'deg'], where).toContain(q.unit);
  if (q.value === null) expect(q, where).toMatchObject({ sd: null, unknown: expect.any(String) });
  else expect([typeof q.value, typeof q.sd], where).toEqual(['number', 'number']);
}
function areFindings(findings: readonly object[]): void {
  expect(findings.length).toBeGreaterThan(0);
  for (const finding of findings) {
    keysAre(finding, ['code', 'severity', 'message'], [], 'finding');
    expect(['info', 'doubt', 'error']).toContain((finding as { severity: string }).severity);
  }
}

describe('a typed case', () => {
  beforeAll(async () => {
    const made = await newCase(at('reference.kerf.json'), [
      '--id',
      'ref',
      '--at',
      '2026-03-02T08:30:00Z',
      '--label',
      'invented',
    ]);
    expect(made).toMatchObject({ code: 0, err: '' });
    expect(made.out).toContain('case ref, LEFT knee, 16 entries');
  });

  it('is verified: every entry in an unbroken chain', async () => {
    const ran = await kerfline('case', 'verify', at('reference.kerf.json'));
    expect(ran).toMatchObject({ code: 0, err: '' });
    expect(ran.out).toContain('16 entries in an unbroken chain, 1 enclosed file as named');
  });

  it('is shown with its side, its entries and its leg', async () => {
    const ran = await kerfline('case', 'show', at('reference.kerf.json'));
    expect(ran).toMatchObject({ code: 0, err: '' });
    expect(ran.out).toContain('Case ref, LEFT knee, invented, revision 16');
    expect(ran.out).toMatch(/ref\/2\s+typed\s+LDFA 88 \+\/- 0\.7 deg/);
    expect(ran.out).toMatch(/clinicalHKA\s+175\.0/);
  });

  it('is planned as JSON of stable keys', async () => {
    const ran = await kerfline('plan', at('reference.kerf.json'), '--json');
    expect(ran).toMatchObject({ code: 0, err: '' });
    const plan = JSON.parse(ran.out);
    keysAre(plan, ['aims', 'settings', 'findings'], ['unreachable'], 'plan');
    for (const [name, q] of Object.entries(plan.aims)) isQuantity(q as Quantity & object, name);
    expect(Object.keys(plan.aims)).toEqual(
      expect.arrayContaining([
        'LDFA',
        'MPTA',
        'femurValgus',
        'tibiaVarus',
        'tibiaSlope',
        'femurRotation',
        'femurCutDepth',
        'tibiaCutDepth',
        'limbVarus',
      ]),
    );
    for (const line of plan.settings) {
      const where = `${line.guide} ${line.link}`;
      keysAre(
        line,
        ['guide', 'link', 'exact', 'call', 'unit', 'sd', 'residual', 'text'],
        ['sense', 'marks', 'rounded', 'leftOver'],
        where,
      );
      expect(['mm', 'deg'], where).toContain(line.unit);
      if (line.marks) keysAre(line.marks, ['exact', 'call'], [], where);
      if (line.rounded) expect(['shallower', 'thicker', 'nearest']).toContain(line.rounded);
      for (const [output, q] of Object.entries(line.residual)) isQuantity(q as Quantity & object, `${where} ${output}`);
    }
    areFindings(plan.findings);
    // Source: trade notes, 8.1.
    const line = (link: string) => plan.settings.find((s: { link: string }) => s.link === link);
    expect(line('ankleSlide')).toMatchObject({
      exact: expect.closeTo(14.29, 2),
      call: 14,
      unit: 'mm',
      sense: 'lateral',
      marks: { call: 2 },
    });
    expect(line('collar')).toMatchObject({ exact: expect.closeTo(7.6, 6), call: 8, unit: 'deg', sense: 'valgus' });
    expect(plan.aims.limbVarus).toMatchObject({ value: expect.closeTo(1, 6), unit: 'deg', positive: 'varus' });
  });

  it('is proved as JSON of stable keys', async () => {
    const ran = await kerfline('proof', at('reference.kerf.json'), '--json');
    expect(ran).toMatchObject({ code: 0, err: '' });
    const proof = JSON.parse(ran.out);
    keysAre(proof, ['cuts', 'rods', 'rungs', 'limb', 'fits', 'findings'], [], 'proof');
    expect(Object.keys(proof.cuts).sort()).toEqual([
      'anteriorChamfer',
      'anteriorFemur',
      'distalFemur',
      'posteriorChamfer',
      'posteriorFemur',
      'tibia',
    ]);
    for (const [cut, told] of Object.entries<{ pieces?: Record<string, object>; planes: object }>(proof.cuts)) {
      keysAre(told, ['planes'], ['pieces', 'stopLine'], cut);
      for (const [name, q] of Object.entries(told.planes)) isQuantity(q, name);
      if (!told.pieces) continue;
      keysAre(told.pieces, ['medial', 'lateral'], [], cut);
      for (const piece of Object.values(told.pieces) as {
        terms: { name: string; mm: number }[];
        pieceMm: number;
        sd: number;
      }[]) {
        keysAre(piece, ['terms', 'pieceMm', 'sd'], ['site'], `${cut} piece`);
        expect(piece.terms.map((t) => t.name)).toEqual(['intact', 'wear', 'kerf']);
        for (const term of piece.terms) keysAre(term, ['name', 'mm'], [], `${cut} term`);
        expect(piece.terms.reduce((sum, t) => sum + t.mm, 0)).toBeCloseTo(piece.pieceMm, 9);
      }
    }
    expect(Object.keys(proof.rods).sort()).toEqual(['ankle', 'hip']);
    for (const [name, q] of Object.entries(proof.rods)) isQuantity(q as Quantity & object, name);
    isQuantity(proof.limb, 'limb');
    areFindings(proof.findings);
    // Source: trade notes, 8.1: pieces M 4.96 and L 7.60, printed to two digits.
    expect(Math.abs(proof.cuts.distalFemur.pieces.medial.pieceMm - 4.96)).toBeLessThan(0.0051);
    expect(proof.cuts.distalFemur.pieces.lateral.pieceMm).toBeCloseTo(7.6, 6);
  });

  it('is planned and proved for people: words and no signs, the side, the revision and the caution', async () => {
    const [plan, proof] = [
      await kerfline('plan', at('reference.kerf.json')),
      await kerfline('proof', at('reference.kerf.json')),
    ];
    for (const ran of [plan, proof]) {
      expect(ran).toMatchObject({ code: 0, err: '' });
      expect(ran.out).toContain('LEFT knee, invented, revision 16');
      expect(ran.out).toContain('Not a cleared medical device');
      expect(ran.out).not.toMatch(/(^|\s)-\d/m);
    }
    expect(plan.out).toContain('Ankle slide 2 marks lateral, away from the other leg: 14 mm on this ruler');
    expect(plan.out).toContain('Collar 8, face LEFT up');
    expect(proof.out).toMatch(/M\s+8\.66 - 2\.30 - 1\.40 =\s+4\.96/);
  });

  it('takes a read-back, and proves it', async () => {
    await writeFile(at('readback.kerf.json'), await readFile(at('reference.kerf.json')));
    const entry = await fileOf(
      'collar.json',
      '{"kind":"readBack","body":{"guide":"canal-core","link":"collar","value":7,"unit":"deg"}}',
    );
    const added = await kerfline(
      'case',
      'add',
      at('readback.kerf.json'),
      entry,
      '--by',
      'scrub',
      '--at',
      '2026-03-02T09:00:00Z',
    );
    expect(added).toMatchObject({ code: 0, err: '' });
    expect(added.out).toContain('entry ref/16 (readBack)');
    const proof = JSON.parse((await kerfline('proof', at('readback.kerf.json'), '--json')).out);
    expect(proof.cuts.distalFemur.planes.femurValgus.value).toBeCloseTo(1.4, 6);
    const shown = JSON.parse((await kerfline('case', 'show', at('readback.kerf.json'), '--json')).out);
    expect(shown.readBacks).toEqual([{ guide: 'canal-core', link: 'collar', value: 7, unit: 'deg' }]);
  });

  it('with the same time, name and values is the same file, byte for byte', async () => {
    const again = await newCase(at('again.kerf.json'), [
      '--id',
      'ref',
      '--at',
      '2026-03-02T08:30:00Z',
      '--label',
      'invented',
    ]);
    expect(again.code).toBe(0);
    expect(await readFile(at('again.kerf.json'), 'utf8')).toBe(await readFile(at('reference.kerf.json'), 'utf8'));
  });
});

describe('help', () => {
  it('is no failure, and names every command', async () => {
    const ran = await kerfline('--help');
    expect(ran.code).toBe(0);
    for (const command of ['measure', 'case', 'plan', 'proof', 'open']) expect(ran.out).toContain(command);
  });
});

describe.concurrent('what cannot be used ends with 2, says why on the error stream and prints nothing', () => {
  it.each([
    { why: 'no command of that name', args: ['plann'], says: /unknown command|plann/ },
    { why: 'an option that does not exist', args: ['plan', 'x.kerf.json', '--jsn'], says: /--jsn/ },
    { why: 'a case that is not there', args: ['plan', 'nowhere.kerf.json'], says: /nowhere\.kerf\.json/ },
    {
      why: 'a bone that is not there',
      args: ['measure', '--femur', 'f.ply', '--tibia', 't.ply', '--side', 'left'],
      says: /f\.ply cannot be read: there is no such file/,
    },
    {
      why: 'a side that is none',
      args: ['measure', '--femur', 'f.ply', '--tibia', 't.ply', '--side', 'both'],
      says: /both/,
    },
    { why: 'no side', args: ['measure', '--femur', 'f.ply', '--tibia', 't.ply'], says: /--side/ },
    {
      why: 'a rod of no length',
      args: ['measure', '--femur', 'f.ply', '--tibia', 't.ply', '--side', 'left', '--rod-length', 'long'],
      says: /60 to 400 mm/,
    },
  ])('$why', async ({ args, says }) => {
    refused(await kerfline(...args), says);
  });

  describe('case new, which then writes nothing', () => {
    it.each([
      { why: 'a value without a unit', values: ['LDFA=88'], says: [/LDFA=88/, /no unit/] },
      { why: 'a length in degrees', values: ['tibiaSpan=330deg'], says: [/tibiaSpan/, /mm/] },
      { why: 'a length in centimetres', values: ['tibiaSpan=33cm'], says: [/cm/] },
      { why: 'a span of 40 mm', values: ['tibiaSpan=40mm'], says: [/200 to 480 mm/] },
      { why: 'a name that is none', values: ['LDFB=88deg'], says: [/LDFB/] },
      { why: 'a value stated twice', values: ['LDFA=88deg', 'LDFA=89deg'], says: [/LDFA is stated twice/] },
      { why: 'no leg at all', values: [], says: [/knows nothing of the leg/] },
    ])('$why', async ({ values, says }) => {
      const own = await mkdtemp(at('new-'));
      refused(await newCase(join(own, 'x.kerf.json'), [], values), ...says);
      expect(await readdir(own)).toEqual([]);
    });

    it.each([
      { why: 'a philosophy that is none', more: ['--aim', 'kinetic'], says: [/kinetic/, /restricted-kinematic/] },
      { why: 'a kit that is not there', more: ['--kit', 'nowhere'], says: [/nowhere/] },
      { why: 'one bone without the other', more: ['--femur', 'f.ply'], says: [/f\.ply/] },
      {
        why: 'a folder that is not there',
        more: ['--out', '/nowhere/at/all/x.kerf.json'],
        says: [/\/nowhere\/at\/all/],
      },
    ])('$why', async ({ more, says }) => {
      const own = await mkdtemp(at('new-'));
      refused(await newCase(join(own, 'x.kerf.json'), more, ['LDFA=88deg']), ...says);
      expect(await readdir(own)).toEqual([]);
    });

    it('a kit with a fault, with its path, what was found and what is allowed', async () => {
      const own = await mkdtemp(at('new-'));
      const kit = JSON.parse(await readFile(join(root, 'kits/demo/kit.json'), 'utf8'));
      kit.guides[0].links[1].turn = 'outward';
      const path = await fileOf('broken-kit.json', JSON.stringify(kit));
      refused(
        await newCase(join(own, 'x.kerf.json'), ['--kit', path]),
        /guides\[0\]\.links\[1\]\.turn: found "outward"; allowed: one of/,
      );
      expect(await readdir(own)).toEqual([]);
    });

    it('a file that is there already is left as it was', async () => {
      const there = await fileOf('there.kerf.json', 'mine');
      refused(await newCase(there), /exists already/);
      expect(await readFile(there, 'utf8')).toBe('mine');
    });
  });

  describe('bones', () => {
    const stl = (triangles: readonly (readonly number[])[]): string =>
      `solid x\n${triangles
        .map(
          (t) =>
            `facet normal 0 0 0\nouter loop\n${[0, 3, 6].map((k) => `vertex ${t[k]} ${t[k + 1]} ${t[k + 2]}`).join('\n')}\nendloop\nendfacet`,
        )
        .join('\n')}\nendsolid x\n`;
    const tetrahedron = (size: number): readonly (readonly number[])[] => [
      [0, 0, 0, 0, size, 0, size, 0, 0],
      [0, 0, 0, size, 0, 0, 0, 0, size],
      [0, 0, 0, 0, 0, size, 0, size, 0],
      [size, 0, 0, 0, size, 0, 0, 0, size],
    ];
    const measure = (femur: string, tibia: string): Promise<Ran> =>
      kerfline('measure', '--femur', femur, '--tibia', tibia, '--side', 'right', '--json');

    it('of three triangles', async () => {
      const three = await fileOf('three.stl', stl(tetrahedron(400).slice(0, 3)));
      refused(await measure(three, three), /three\.stl \(femur\)/, /three\.stl \(tibia\)/);
    });

    it('with coordinates that are not numbers', async () => {
      const nan = await fileOf('nan.stl', stl([[Number.NaN, 0, 0, 0, 400, 0, 400, 0, 0], ...tetrahedron(400)]));
      refused(await measure(nan, nan), /nan\.stl/);
    });

    it('in metres, with the length found and the one needed', async () => {
      const metres = await fileOf('metres.stl', stl(tetrahedron(0.3)));
      refused(await measure(metres, metres), /metres/, /330 to 580 mm/);
    });

    it('that are no bones at all', async () => {
      const solid = await fileOf('solid.stl', stl(tetrahedron(300)));
      refused(await measure(solid, solid), /femur/);
    });

    it('that are empty, a folder, or a text', async () => {
      const empty = await fileOf('empty.ply', '');
      const text = await fileOf('text.obj', 'a bone\n');
      refused(await measure(empty, text), /empty\.ply/, /text\.obj/);
      refused(await measure(folder, text), /it is a folder/);
    });
  });

  describe('a case file', () => {
    it('that was changed: the entry is named, by every command', async () => {
      const changed = (await readFile(at('reference.kerf.json'), 'utf8')).replace('"value":88', '"value":98');
      const path = await fileOf('changed.kerf.json', changed);
      for (const args of [['case', 'verify'], ['case', 'show'], ['plan'], ['proof']]) {
        refused(await kerfline(...args, path), /was changed: entry 2/);
      }
      const entry = await fileOf(
        'entry.json',
        '{"kind":"typed","body":{"name":"LDFA","value":89,"unit":"deg","sd":1,"sdFrom":"stated"}}',
      );
      refused(await kerfline('case', 'add', path, entry), /was changed: entry 2/);
      expect(await readFile(path, 'utf8')).toBe(changed);
    });

    it('that is cut short, of a newer version, or no case', async () => {
      const text = await readFile(at('reference.kerf.json'), 'utf8');
      refused(await kerfline('case', 'verify', await fileOf('short.kerf.json', text.slice(0, 900))), /not a case file/);
      refused(
        await kerfline('case', 'verify', await fileOf('newer.kerf.json', text.replace('{"kerf":1', '{"kerf":2'))),
        /version 2/,
      );
      refused(await kerfline('plan', join(root, 'kits/demo/kit.json')), /not a case file/);
    });

    it.each([
      { why: 'is no JSON', entry: '{"kind":', says: /not JSON/ },
      { why: 'is of no known kind', entry: '{"kind":"guess","body":{}}', says: /no kind of entry/ },
      { why: 'is of a kind that every object has', entry: '{"kind":"toString","body":{}}', says: /no kind of entry/ },
      {
        why: 'lacks a unit',
        entry: '{"kind":"readBack","body":{"guide":"canal-core","link":"collar","value":7}}',
        says: /unit/,
      },
      {
        why: 'is between two clicks',
        entry: '{"kind":"readBack","body":{"guide":"canal-core","link":"collar","value":7.5,"unit":"deg"}}',
        says: /3, 4, 5, 6, 7, 8, 9 deg/,
      },
      {
        why: 'lies outside a fence',
        entry:
          '{"kind":"aim","body":{"philosophy":"restricted-kinematic","wanted":[{"name":"tibiaVarus","value":7,"unit":"deg","positive":"varus"}]}}',
        says: /MPTA 85 to 95/,
      },
      {
        why: 'takes back what is not there',
        entry: '{"kind":"retract","body":{"entry":"ref/99","why":"x"}}',
        says: /ref\/99/,
      },
      { why: 'begins again', entry: '{"kind":"created","body":{"side":"right","label":"x"}}', says: /begun already/ },
    ])('to which an entry is added that $why, and it stays as it was', async ({ entry, says }) => {
      const path = at('reference.kerf.json');
      const before = await readFile(path, 'utf8');
      refused(await kerfline('case', 'add', path, await fileOf('bad-entry.json', entry)), says);
      expect(await readFile(path, 'utf8')).toBe(before);
    });

    it('to which a retraction of its only aim is added works no longer, and says what is missing', async () => {
      const path = await fileOf('aimless.kerf.json', await readFile(at('reference.kerf.json')));
      const entry = await fileOf(
        'retract.json',
        '{"kind":"retract","body":{"entry":"ref/15","why":"discussed again"}}',
      );
      expect((await kerfline('case', 'add', path, entry)).code).toBe(0);
      refused(await kerfline('plan', path), /no aim yet/);
      expect((await kerfline('case', 'verify', path)).code).toBe(0);
    });
  });
});

describe('a place that cannot be written to', () => {
  it('is named, with the reason', async () => {
    const ran = await newCase(join(folder, 'nowhere', 'leg.kerf.json'), [], ['LDFA=88deg']);
    refused(ran, /nowhere.*there is no such folder/);
  });
});

describe('open', () => {
  it('names a port that is none, before anything is started', async () => {
    const path = join(folder, 'port.kerf.json');
    expect((await newCase(path, [], ['LDFA=88deg'])).code).toBe(0);
    for (const port of ['99999', 'x', '-1']) refused(await kerfline('open', path, `--port=${port}`), /0 to 65535/);
  });

  it.skipIf(process.platform === 'win32')(
    'serves the case, and stops its server when it is stopped itself',
    async () => {
      const path = join(folder, 'open.kerf.json');
      expect((await newCase(path, [], ['LDFA=88deg'])).code).toBe(0);
      const command = spawn(process.execPath, [commandPath, 'open', path], { stdio: ['ignore', 'pipe', 'inherit'] });
      const address = await new Promise<string>((found) => {
        command.stdout.on('data', (chunk) => {
          const match = /http:[^ \n]+/.exec(String(chunk));
          if (match) found(match[0]);
        });
      });
      expect((await fetch(new URL('/api/cases', address))).status).toBe(200);
      const ended = new Promise((done) => command.once('exit', done));
      command.kill('SIGTERM');
      await ended;
      await expect(fetch(new URL('/api/cases', address))).rejects.toThrow();
    },
  );
});

describe("a failure that is nobody's input", () => {
  it.skipIf(process.platform === 'win32')('ends with 1: a link that leads to itself', async () => {
    await symlink('round', join(folder, 'round'));
    const ran = await newCase(join(folder, 'round', 'leg.kerf.json'), [], ['LDFA=88deg']);
    expect(ran.code).toBe(1);
    expect(ran.out).toBe('');
    expect(ran.err).toContain('kerfline failed');
  });
});

describe('measure', () => {
  test.skipIf(present)(
    'SKIPPED, the research data is not here: set KERFLINE_BONES to a folder with */femur.ply',
    ({ skip }) => skip(),
  );

  const files = (set: string): readonly string[] =>
    ['femur', 'tibia', 'fibula', 'patella'].flatMap((bone) => [`--${bone}`, join(bones, set, `${bone}.ply`)]);

  it.skipIf(!present)('gives JSON of stable keys, every landmark and quantity of design 10 among them', async () => {
    const ran = await kerfline('measure', ...files('VSD_z013_L'), '--side', 'left', '--json');
    expect(ran).toMatchObject({ code: 0, err: '' });
    const found = JSON.parse(ran.out);
    keysAre(found, ['side', 'frames', 'landmarks', 'quantities', 'findings'], [], 'measurement');
    expect(found.side).toBe('left');
    keysAre(found.frames, ['femurFromScan', 'tibiaFromScan'], [], 'frames');
    for (const frame of Object.values(found.frames)) expect((frame as number[]).flat()).toHaveLength(16);
    expect(Object.keys(found.landmarks)).toEqual(
      expect.arrayContaining(
        (
          'hipCentre femoralKneeCentre distalMedial distalLateral posteriorMedial posteriorLateral epicondyleMedial epicondyleLateral ' +
          'anteriorCortex tibialKneeCentre plateauMedial plateauLateral tubercle malleolusMedial malleolusLateral malleolarMidpoint ' +
          'plafondCentre ankleCentre patellaAnterior patellaFacetMedial patellaFacetLateral'
        ).split(' '),
      ),
    );
    for (const [name, landmark] of Object.entries<{ xyzMm: number[]; covMm2: number[][] }>(found.landmarks)) {
      keysAre(landmark, ['xyzMm', 'covMm2'], ['unknown'], name);
      expect(landmark.xyzMm).toHaveLength(3);
      expect(landmark.covMm2.flat()).toHaveLength(9);
    }
    expect(Object.keys(found.quantities)).toEqual(
      expect.arrayContaining(
        (
          'LDFA MPTA HKA JLCA shaftMechanical slope condylarTwist headRadius femurLength tibiaLength femurWidth femurDepth tibiaWidth ' +
          'tibiaDepth distalSpacing posteriorSpacing plateauSpacing ankleOffset patellaThickness patellaWidth'
        ).split(' '),
      ),
    );
    for (const [name, q] of Object.entries(found.quantities)) isQuantity(q as Quantity & object, name);
    areFindings(found.findings);
    // Reference of the research data: 87.0 and 182.6 deg.
    expect(Math.abs(found.quantities.LDFA.value - 86.96)).toBeLessThan(1);
    expect(Math.abs(found.quantities.HKA.value - 182.61)).toBeLessThan(1);
  });

  it.skipIf(!present)('refuses the other side, and a femur given as tibia, with 2', async () => {
    const side = await kerfline('measure', ...files('VSD_z013_L'), '--side', 'right', '--json');
    expect(side).toMatchObject({ code: 2, out: '' });
    expect(side.err).toMatch(/declared right/);
    const [femur, tibia] = ['femur', 'tibia'].map((bone) => join(bones, 'VSD_z013_L', `${bone}.ply`));
    const swapped = await kerfline('measure', '--femur', tibia!, '--tibia', femur!, '--side', 'left');
    expect(swapped).toMatchObject({ code: 2, out: '' });
    expect(swapped.err).toMatch(/looks like a tibia/);
  });

  it.skipIf(!present)('takes two scans in one call: exit 0 with a doubt, limb angle and opening unknown', async () => {
    const ran = await kerfline('measure', ...files('VAKHUM_CT_R'), '--side', 'right', '--json');
    expect(ran).toMatchObject({ code: 0, err: '' });
    const found = JSON.parse(ran.out);
    expect(found.quantities.HKA).toMatchObject({ value: null, unknown: expect.stringContaining('two scans') });
    expect(
      found.findings
        .filter((f: { code: string }) => f.code === 'two-scans')
        .map((f: { severity: string }) => f.severity),
    ).toEqual(['doubt']);
  });

  it.skipIf(!present)('begins a case from bones with values stated beside, and plans it', async () => {
    const ran = await kerfline(
      'case',
      'new',
      '--side',
      'left',
      ...files('VSD_z013_L'),
      '--set',
      'wearDistalMedial=2mm',
      '--kit',
      'demo',
      '--aim',
      'mechanical',
      '--out',
      at('bones.kerf.json'),
    );
    expect(ran, ran.err).toMatchObject({ code: 0 });
    const proof = JSON.parse((await kerfline('proof', at('bones.kerf.json'), '--json')).out);
    expect(proof.cuts.distalFemur.pieces.medial.terms[1]).toEqual({ name: 'wear', mm: -2 });
    const verified = await kerfline('case', 'verify', at('bones.kerf.json'));
    expect(verified.out).toContain('5 enclosed files as named');
  });
});
