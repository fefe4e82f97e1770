import { mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PassThrough, Writable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { sha256Of } from '@kerfline/cases';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BadInput } from './bad-input.ts';
import { kitCheckCommand } from './kit-check.ts';
import { kitNewCommand } from './kit-new.ts';
import { kitShowCommand } from './kit-show.ts';

const demoPath = fileURLToPath(new URL('../../../kits/demo/kit.json', import.meta.url));
let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'kerfline-kit-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const own = (): Promise<string> => mkdtemp(join(folder, 'test-'));
async function fileOf(content: string): Promise<string> {
  const path = join(await own(), 'kit.json');
  await writeFile(path, content);
  return path;
}
const reasons = async (work: Promise<unknown>): Promise<string> => {
  const error = await work.then(
    () => undefined,
    (e: unknown) => e,
  );
  expect(error).toBeInstanceOf(BadInput);
  return (error as BadInput).reasons.join('\n');
};
const demo = async (): Promise<Record<string, unknown>> => JSON.parse(await readFile(demoPath, 'utf8'));

describe('kit check', () => {
  it('says name, version, hash of the bytes and how many guides and parts there are, in one line', async () => {
    const kit = (await demo()) as { guides: { links: unknown[] }[]; version: string };
    const parts = kit.guides.reduce((sum, guide) => sum + guide.links.length, 0);
    const said = await kitCheckCommand(demoPath, {});
    expect(said).toBe(
      `demo, version ${kit.version}, SHA-256 ${sha256Of(new Uint8Array(await readFile(demoPath)))}, ${kit.guides.length} guides, ${parts} parts.`,
    );
    expect(JSON.parse(await kitCheckCommand(demoPath, { json: true }))).toMatchObject({
      ok: true,
      name: 'demo',
      guides: kit.guides.length,
      parts,
    });
  });

  it('names every fault with its place, what was found and what is allowed', async () => {
    const kit = (await demo()) as { guides: { links: Record<string, unknown>[] }[]; name: string };
    kit.guides[0]!.links[0]!.rodMm = -8;
    kit.name = 'Not a name';
    const path = await fileOf(JSON.stringify(kit));
    const said = await reasons(kitCheckCommand(path, {}));
    expect(said).toMatch(/^guides\[0\]\.links\[0\]\.rodMm: found -8; allowed: /m);
    expect(said).toMatch(/^name: found "Not a name"; allowed: /m);
    const json = JSON.parse(await reasons(kitCheckCommand(path, { json: true })));
    expect(json).toMatchObject({
      ok: false,
      faults: [{ path: 'name' }, { path: 'guides[0].links[0].rodMm', found: '-8' }],
    });
  });

  it.each([
    ['an empty file', '', /the file is empty/],
    ['no JSON', 'a kit', /this is not JSON/],
    ['a kit of a newer form', '{"kit": 2, "name": "next"}', /found 2.*newer form.*a newer program/],
    ['JSON of something else', '[1, 2]', /allowed/],
  ])('refuses %s in clear words', async (_, content, words) => {
    expect(await reasons(kitCheckCommand(await fileOf(content), {}))).toMatch(words);
  });

  it('refuses a missing file and a folder in clear words', async () => {
    expect(await reasons(kitCheckCommand(join(folder, 'none.json'), {}))).toMatch(/there is no such file/);
    expect(await reasons(kitCheckCommand(folder, {}))).toMatch(/it is a folder/);
  });
});

describe('kit show', () => {
  it('lists each part with what is engraved on it', async () => {
    const said = await kitShowCommand('demo', { side: 'left' });
    expect(said).toMatch(/^collar +ring +Collar +3 4 5 6 7 8 9 deg +valgus +LEFT up/m);
    expect(said).toMatch(/^ankleSlide +slide .*"1 deg" every 7 mm/m);
  });

  it('draws each guide on a page of true millimetres', async () => {
    const out = join(await own(), 'scales');
    await kitShowCommand('demo', { out, side: 'right' });
    const files = await readdir(out);
    expect(files).toEqual(expect.arrayContaining(['demo-canal-core.svg', 'demo-shin-mast.svg']));
    const svg = await readFile(join(out, 'demo-canal-core.svg'), 'utf8');
    expect(svg).toMatch(/^<svg [^>]*width="210mm" height="297mm"/);
    expect(svg).toContain(sha256Of(new Uint8Array(await readFile(demoPath))));
  });
});

/** A person who types these lines and then hangs up. */
function typing(lines: readonly string[]): {
  readonly input: PassThrough;
  readonly output: Writable;
  readonly terminal: false;
  readonly seen: () => string;
} {
  const input = new PassThrough();
  input.end(lines.map((line) => `${line}\n`).join(''));
  const chunks: string[] = [];
  const output = new Writable({
    write(chunk, _, done) {
      chunks.push(String(chunk));
      done();
    },
  });
  return { input, output, terminal: false, seen: () => chunks.join('') };
}
/** The beginning of every form: short, instruments, name, words, version; Canal core, its rod. */
const beginning = ['', '', '', 'mykit', 'My kit', '1', '', ''];
const rod = 'guides.canal-core.links.rod.rodMm';

describe('kit new', () => {
  it('keeps every answer when the input ends, and goes on from there', async () => {
    const out = join(await own(), 'mine.json');
    const said = await reasons(kitNewCommand({ out }, typing([...beginning, '8,01 8,02 8,01 8,00 8,01'])));
    expect(said).toMatch(/Nothing is lost: .*mine\.readings\.txt has 9 answers/);
    const kept = await readFile(join(out, '../mine.readings.txt'), 'utf8');
    expect(kept).toContain(`${rod}: 8,01 8,02 8,01 8,00 8,01\n`);
    const second = typing(['end']);
    const report = await kitNewCommand({ out }, second);
    expect(second.seen()).toContain('Length of the rod');
    expect(report).toMatch(/Measured: 1\n/);
    const kit = JSON.parse(await readFile(out, 'utf8'));
    expect(kit.name).toBe('mykit');
    // By hand: mean of 8.01 8.02 8.01 8.00 8.01.
    expect(kit.guides[0].links[0].rodMm).toBe(8.01);
    expect(await kitCheckCommand(out, {})).toMatch(/^mykit, version 1, /);
  });

  it('writes nothing over: neither a kit nor what was typed before', async () => {
    const out = await fileOf('mine');
    expect(await reasons(kitNewCommand({ out }, typing([])))).toMatch(/never written over/);
    expect(await readFile(out, 'utf8')).toBe('mine');
    const other = join(await own(), 'k.json');
    const notes = join(other, '../k.readings.txt');
    await writeFile(notes, `# my own note\n${rod}: 8 8 8 8`);
    await reasons(kitNewCommand({ out: other }, typing([''])));
    expect(await readFile(notes, 'utf8')).toMatch(/^# my own note\nguides[^\n]*: 8 8 8 8\nform: -\n/);
  });

  it('returns one question on back, where Enter keeps what was there', async () => {
    const out = join(await own(), 'mine.json');
    const person = typing([...beginning, '8.1 8.1 8.1 8.1 8.1', 'back', '', 'end']);
    await kitNewCommand({ out }, person);
    expect(person.seen()).toContain('[Enter keeps 8.1 8.1 8.1 8.1 8.1]');
    expect(JSON.parse(await readFile(out, 'utf8')).guides[0].links[0].rodMm).toBe(8.1);
  });

  it('takes new readings after back, and keeps what was typed first in its file', async () => {
    const out = join(await own(), 'mine.json');
    const person = typing([...beginning, '8 8 8 8 8', 'back', '9 9 9 9 9', 'end']);
    await kitNewCommand({ out }, person);
    expect(JSON.parse(await readFile(out, 'utf8')).guides[0].links[0].rodMm).toBe(9);
    expect(await readFile(join(out, '../mine.readings.txt'), 'utf8')).toMatch(/: 8 8 8 8 8\n[\s\S]*: 9 9 9 9 9\n/);
  });

  it('explains on ?, asks again after what is no number and keeps that as a note', async () => {
    const out = join(await own(), 'mine.json');
    const person = typing([...beginning, '?', '8 8 eight 8 8', '8 8 8 8 80', '8 8 8 8 8', 'end']);
    await kitNewCommand({ out }, person);
    expect(person.seen()).toMatch(/5 readings in mm, separated by spaces/);
    expect(person.seen()).toMatch(/Needed: a number such as 6\.02 or 6,02; "eight" is none/);
    expect(person.seen()).toMatch(/80 looks ten times too large: 8\?/);
    const kept = await readFile(join(out, '../mine.readings.txt'), 'utf8');
    expect(kept).toMatch(/^# not understood .*8 8 eight 8 8$/m);
    expect(JSON.parse(await readFile(out, 'utf8')).guides[0].links[0].rodMm).toBe(8);
  });

  it('leaves the rest of a part on skip', async () => {
    const out = join(await own(), 'mine.json');
    const person = typing([...beginning, 'skip', 'end']);
    const report = await kitNewCommand({ out }, person);
    expect(report).toMatch(new RegExp(`^  ${rod.replace(/[.[\]]/g, '\\$&')}$`, 'm'));
    const kept = await readFile(join(out, '../mine.readings.txt'), 'utf8');
    expect(kept).toContain(`${rod}: -\n`);
    expect(kept).toContain('guides.canal-core.links.rod.engagedMm: -\n');
  });

  it('makes a kit of a finished readings file without asking, and says what became of each', async () => {
    const out = join(await own(), 'mine.json');
    const readings = join(await own(), 'r.txt');
    await writeFile(
      readings,
      [
        'like: demo',
        'name: mine',
        'guides.shin-mast.links.head.values[2]: 5,6 5,7 5,6 5,7 5,6',
        `${rod}: 8 8 8`,
        'guides.canal-core.links.slit.gapMm: 1.5 1.5 1.5 1.5 2.4',
        'guides.canal-core.links.collar.values[0]: 30 30 30 30 30',
        'guides.canal-core.links.collar.values[6]: 8.4 8.7 9 9.4 9.9',
      ].join('\n'),
    );
    const before = await readFile(readings, 'utf8');
    const said = await kitNewCommand({ out, readings }, typing([]));
    expect(said).toMatch(/Too few readings, not used: 1\n {2}guides\.canal-core\.links\.rod\.rodMm: .*3 of 5/);
    expect(said).toMatch(/Contradictory, not used: 1\n {2}guides\.canal-core\.links\.slit\.gapMm: .*2\.4/);
    expect(said).toMatch(/Slips of the pen, not used: 1\n {2}guides\.canal-core\.links\.collar\.values\[0\]/);
    expect(said).toMatch(
      /Scattered, used with their large spread: 1\n {2}guides\.canal-core\.links\.collar\.values\[6\]/,
    );
    expect(said).toMatch(/the pattern's number stands: \d+/);
    expect(JSON.parse(await readFile(out, 'utf8'))).toMatchObject({ name: 'mine' });
    expect(await readFile(readings, 'utf8')).toBe(before);
    await expect(stat(join(out, '../mine.readings.txt'))).rejects.toThrow();
  });

  it('refuses a readings file with a line it cannot read, a place it does not know, or an answer it cannot use', async () => {
    const out = join(await own(), 'mine.json');
    const of = async (text: string): Promise<string> => {
      const readings = join(await own(), 'r.txt');
      await writeFile(readings, text);
      return reasons(kitNewCommand({ out, readings }, typing([])));
    };
    expect(await of('name: x\nthis line\n')).toMatch(/line 2: "this line" is no answer/);
    expect(await of('guides.shin-mast.links.haed: yes\n')).toMatch(/links\.haed is no place of the kit demo/);
    expect(await of(`${rod}: 8 8 x 8 8\n`)).toMatch(/rodMm: found 8 8 x 8 8; allowed: a number/);
    expect(await of('guides.canal-core: no\n')).toMatch(/mountsOn/);
    await expect(stat(out)).rejects.toThrow();
  });
});
