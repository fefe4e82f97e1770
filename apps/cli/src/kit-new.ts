import { closeSync, existsSync, fsyncSync, openSync, readFileSync, writeFileSync, writeSync } from 'node:fs';
import { basename } from 'node:path';
import { createInterface } from 'node:readline/promises';
import type { Readable, Writable } from 'node:stream';
import {
  type Answers,
  answerLine,
  answersHeading,
  answersIn,
  explained,
  type FormDefaults,
  type FormStep,
  faultText,
  formSteps,
  heard,
  isBlank,
  type Kit,
  type KitMade,
  kitFromAnswers,
  repeatsText,
  unknownPlaces,
  type Verdict,
} from '@kerfline/knee';
import { BadInput } from './bad-input.ts';
import { bytesOf, cannotWrite } from './files.ts';
import { readKit } from './kit-check.ts';

export interface KitNewOptions {
  readonly out: string;
  readonly like?: string;
  readonly readings?: string;
}

/** Where questions are asked. */
export interface Asking {
  readonly input: Readable;
  readonly output: Writable;
  readonly terminal: boolean;
}

/** The readings file beside a kit. */
const beside = (out: string): string => `${out.replace(/\.json$/, '')}.readings.txt`;

/** A name for the kit from the name of its file. */
function nameFrom(out: string): string {
  const name = basename(out)
    .replace(/\.json$/, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^[^a-z]+|-+$/g, '');
  return name === '' ? 'measured' : name;
}

/** Runs a write, or ends the command with the reason in words. */
function written<T>(path: string, write: () => T): T {
  try {
    return write();
  } catch (e) {
    cannotWrite(e, path);
  }
}

interface Readings {
  readonly like?: string;
  readonly answers: Answers;
}

function readingsIn(text: string, path: string): Readings {
  const read = answersIn(text);
  if (read.ok) return read.value;
  throw new BadInput(
    read.error.map((f) => `${path}, line ${f.line}: "${f.found}" is no answer; a place, a colon and the answer is.`),
  );
}

function mustKnow(pattern: Kit, answers: Answers, defaults: FormDefaults, path: string): void {
  const unknown = unknownPlaces(pattern, answers, defaults);
  if (unknown.length > 0) {
    throw new BadInput(
      unknown.map(
        (place) => `${path}: ${place} is no place of the kit ${pattern.name}. Correct the line, or put # before it.`,
      ),
    );
  }
}

/** Every answer goes to the disk before the next question is asked. */
function answerFile(path: string, like: string): { readonly add: (text: string) => void; readonly close: () => void } {
  const fd = written(path, () => openSync(path, 'a'));
  const add = (text: string): void =>
    written(path, () => {
      writeSync(fd, text);
      fsyncSync(fd);
    });
  const before = readFileSync(path, 'utf8');
  if (before === '') add(answersHeading(like));
  // A line that was being written when the machine stopped is not joined to the next.
  else if (!before.endsWith('\n')) add('\n');
  return { add, close: () => closeSync(fd) };
}

const help =
  'Enter keeps what is in brackets, or leaves a dimension not measured. ? explains, back returns, skip leaves the rest of this part, end makes the kit now.';

function promptOf(step: FormStep, before: string | undefined): string {
  const kept = before === undefined ? '' : ` [Enter keeps ${before}]`;
  if (step.kind === 'entry') return `${step.entry.asks}${before === undefined ? ` [${step.entry.now}]` : kept}\n> `;
  const { question } = step;
  const about = question.engraved === undefined ? '' : `, about ${question.expected} ${question.unit}`;
  return `${question.asks}: ${question.repeats} readings, ${question.unit}${about}${kept}\n> `;
}

/** Asks until nothing is left, or until the person ends; true when the kit is to be made. */
async function ask(
  pattern: Kit,
  answers: Map<string, string>,
  defaults: FormDefaults,
  add: (text: string) => void,
  asking: Asking,
): Promise<boolean> {
  const rl = createInterface({ input: asking.input, output: asking.output, terminal: asking.terminal });
  rl.on('SIGINT', () => rl.close());
  // An input that has ended may still have lines to give: they are taken, but there is nobody left to prompt.
  let ended = false;
  rl.once('close', () => {
    ended = true;
  });
  const lines = rl[Symbol.asyncIterator]();
  const say = (text: string): void => {
    asking.output.write(text);
  };
  const keep = (path: string, answer: string): void => {
    add(answerLine(path, answer));
    answers.set(path, isBlank(answer) ? '-' : answer.trim());
  };
  try {
    say(`${help}\n\n`);
    let revisited: string | undefined;
    for (;;) {
      const steps = formSteps(pattern, answers, defaults);
      const found = steps.findIndex((s) => (revisited === undefined ? !answers.has(s.path) : s.path === revisited));
      const at = found === -1 ? steps.findIndex((s) => !answers.has(s.path)) : found;
      const step = steps[at];
      if (!step) return true;
      const before = answers.get(step.path);
      const prompt = `${at + 1} of ${steps.length}  ${promptOf(step, isBlank(before) ? undefined : before)}`;
      rl.setPrompt('> ');
      say(prompt.slice(0, -2));
      if (!ended) rl.prompt();
      const next = await lines.next();
      if (next.done) return false;
      const line = String(next.value).trim();
      const again = revisited !== undefined && before !== undefined;
      revisited = undefined;
      switch (line.toLowerCase()) {
        case '?':
          say(`${explained(step)}\n`);
          revisited = step.path;
          continue;
        case 'back':
          revisited = steps[Math.max(0, at - 1)]!.path;
          continue;
        case 'end':
          return true;
        case 'skip':
          for (const other of steps) if (other.part === step.part && !answers.has(other.path)) keep(other.path, '-');
          continue;
      }
      if (line === '' && again) continue;
      const result = heard(pattern, answers, step, line, defaults);
      if (!result.ok) {
        add(`# not understood  ${answerLine(step.path, line)}`);
        say(`Needed: ${result.error}\n`);
        revisited = step.path;
        continue;
      }
      keep(step.path, line);
      if (result.value.says !== '') say(`  ${result.value.says}\n`);
      if (result.value.again) {
        say('  Type them again, or Enter to keep them as they are.\n');
        revisited = step.path;
      }
    }
  } finally {
    rl.close();
  }
}

const section = (title: string, lines: readonly string[]): readonly string[] =>
  lines.length === 0 ? [] : ['', `${title}: ${lines.length}`, ...lines.map((line) => `  ${line}`)];

/** What became of every question. */
export function reportText(made: KitMade): string {
  const seen = (verdict: Verdict): readonly string[] =>
    made.measured
      .filter((m) => m.repeats.verdict === verdict && m.repeats.slips.length === 0)
      .map((m) => `${m.question.path}: ${repeatsText(m.question, m.repeats)}`);
  const slips = made.measured
    .filter((m) => m.repeats.slips.length > 0)
    .map((m) => `${m.question.path}: ${repeatsText(m.question, m.repeats)}`);
  return [
    `Measured: ${made.measured.filter((m) => m.used).length}`,
    ...section('Metal that is not what is engraved on it', made.faults.map(faultText)),
    ...section('Too few readings, not used', seen('too few')),
    ...section('Contradictory, not used', seen('contradictory')),
    ...section('Slips of the pen, not used', slips),
    ...section('Scattered, used with their large spread', seen('scattered')),
    ...section('Not checked on this metal', made.notChecked),
    ...section("Not measured on this metal, the pattern's number stands", made.notMeasured),
    ...section('Answers for parts that are not in the kit', made.setAside),
  ].join('\n');
}

/** Makes a kit from a pattern and what is typed and measured. */
export async function kitNewCommand(options: KitNewOptions, asking: Asking): Promise<string> {
  const { out } = options;
  const mayWrite = (): void => {
    if (existsSync(out))
      throw new BadInput([`${out} exists already; a kit is never written over. Give another --out.`]);
  };
  mayWrite();
  const defaults = { name: nameFrom(out) };
  const source = options.readings ?? beside(out);
  const given: Readings =
    options.readings !== undefined || existsSync(source)
      ? readingsIn(new TextDecoder().decode(await bytesOf(source, 'The readings')), source)
      : { answers: new Map() };
  if (given.like !== undefined && options.like !== undefined && given.like !== options.like) {
    throw new BadInput([`${source} was begun with --like ${given.like}; --like ${options.like} was given.`]);
  }
  const like = options.like ?? given.like ?? 'demo';
  const { kit: pattern } = await readKit(like);
  const answers = new Map(given.answers);
  mustKnow(pattern, answers, defaults, source);
  if (options.readings === undefined) {
    const file = answerFile(source, like);
    try {
      const done = await ask(pattern, answers, defaults, file.add, asking);
      if (!done) {
        throw new BadInput([
          `\nNothing is lost: ${source} has ${answers.size} answers. The same command goes on from there.`,
        ]);
      }
    } finally {
      file.close();
    }
  }
  const made = kitFromAnswers(pattern, answers, defaults);
  const faults = [...made.unread, ...(made.kit.ok ? [] : made.kit.error)];
  if (faults.length > 0 || !made.kit.ok) {
    throw new BadInput([
      ...faults.map(faultText),
      `No kit was made. The answers are in ${source}: correct them there, or answer again, and give the same command.`,
    ]);
  }
  mayWrite();
  const { kit } = made;
  written(out, () => writeFileSync(out, `${JSON.stringify(kit.value, null, 2)}\n`, { flag: 'wx' }));
  const { sha256 } = await readKit(/^[a-z][a-z0-9-]*$/.test(out) ? `./${out}` : out);
  return `${reportText(made)}\n\n${out}: ${kit.value.name}, version ${kit.value.version}, SHA-256 ${sha256}, made like ${pattern.name} ${pattern.version}.`;
}
