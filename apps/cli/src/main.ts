#!/usr/bin/env node
import { kitJsonSchema, philosophyNames } from '@kerfline/knee';
import { Command, CommanderError, InvalidArgumentError, Option } from 'commander';
import { BadInput } from './bad-input.ts';
import { caseAddCommand } from './case-add.ts';
import { type CaseNewOptions, caseNewCommand } from './case-new.ts';
import { caseShowCommand } from './case-show.ts';
import { caseVerifyCommand } from './case-verify.ts';
import { addFilmCommands } from './film-commands.ts';
import { kitCheckCommand } from './kit-check.ts';
import { type KitNewOptions, kitNewCommand } from './kit-new.ts';
import { type KitShowOptions, kitShowCommand } from './kit-show.ts';
import { type MeasureOptions, measureCommand } from './measure.ts';
import { openCommand } from './open.ts';
import { planCommand } from './plan.ts';
import { proofCommand } from './proof.ts';

const print = (text: string): void => {
  process.stdout.write(`${text}\n`);
};

const sideOption = (): Option =>
  new Option('--side <side>', 'whose leg').choices(['right', 'left']).makeOptionMandatory();

const millimetres = (text: string): number => {
  const value = Number(text.replace(',', '.').replace(/mm$/, ''));
  if (!(value >= 60 && value <= 400)) throw new InvalidArgumentError('a length from 60 to 400 mm is needed.');
  return value;
};

const each = (text: string, before: readonly string[]): readonly string[] => [...before, text];

const program = new Command('kerfline')
  .description(
    'Total knee replacement with mechanical cutting guides: the leg, the marks to set, and what the saw will do',
  )
  .exitOverride()
  .configureOutput({ writeErr: (text) => process.stderr.write(text) });

program
  .command('measure')
  .description('measure a leg on the surfaces of its bones')
  .requiredOption('--femur <file>', 'STL, PLY or OBJ, in mm')
  .requiredOption('--tibia <file>', 'STL, PLY or OBJ, in mm')
  .option('--fibula <file>', 'STL, PLY or OBJ, in mm')
  .option('--patella <file>', 'STL, PLY or OBJ, in mm')
  .addOption(sideOption())
  .option('--rod-length <mm>', 'take the canal line of the stretch that a rod of this length lies in', millimetres)
  .option('--json', 'for programs')
  .addHelpText(
    'after',
    '\nExample:\n  kerfline measure --femur femur.stl --tibia tibia.stl --fibula fibula.stl --side left',
  )
  .action(async (options: MeasureOptions) => print(await measureCommand(options)));

const caseCommand = program.command('case').description('begin, add to, show and check a case file');

caseCommand
  .command('new')
  .description('begin a case from bones, from films, from stated values, or from several of them')
  .addOption(sideOption())
  .option('--femur <file>', 'STL, PLY or OBJ, in mm')
  .option('--tibia <file>', 'STL, PLY or OBJ, in mm')
  .option('--fibula <file>', 'STL, PLY or OBJ, in mm')
  .option('--patella <file>', 'STL, PLY or OBJ, in mm')
  .option('--film <file>', 'a film, DICOM, PNG, JPEG or TIFF; may be repeated', each, [])
  .option('--marks <file>', 'the marks of a film, one file for each in the same order', each, [])
  .option('--set <name=value>', 'state a value of the leg with its unit and spread; may be repeated', each, [])
  .requiredOption('--kit <kit>', 'name of a folder in kits/, or path of a kit file')
  .addOption(new Option('--aim <philosophy>', 'what to aim at').choices([...philosophyNames]).makeOptionMandatory())
  .requiredOption('--out <file>', 'case file to write, ending in .kerf.json')
  .option('--label <text>', 'a name for the case that is no identity', 'unnamed')
  .option('--id <id>', 'identifier of the case; otherwise made at random')
  .option('--by <who>', 'who records it', 'local')
  .option('--at <time>', 'when it is recorded, ISO 8601; otherwise now')
  .addHelpText(
    'after',
    '\nExample:\n  kerfline case new --side left --set LDFA=88deg+-1 --set MPTA=87deg+-1 --set slope=6deg --set tibiaSpan=330mm \\\n' +
      '    --kit demo --aim restricted-kinematic --out knee.kerf.json',
  )
  .action(async (options: CaseNewOptions) => print(await caseNewCommand(options)));

caseCommand
  .command('add <file> <entry>')
  .description('add one entry, {"kind": ..., "body": ...}, to a case')
  .option('--by <who>', 'who records it', 'local')
  .option('--at <time>', 'when it is recorded, ISO 8601; otherwise now')
  .addHelpText(
    'after',
    '\nExample:\n  kerfline case add knee.kerf.json collar.json\n  with collar.json: {"kind": "readBack", "body": {"guide": "canal-core", "link": "collar", "value": 8, "unit": "deg"}}',
  )
  .action(async (file: string, entry: string, options: { at?: string; by: string }) =>
    print(await caseAddCommand(file, entry, options)),
  );

caseCommand
  .command('show <file>')
  .description('what is recorded, and what the leg is')
  .option('--json', 'for programs')
  .addHelpText('after', '\nExample:\n  kerfline case show knee.kerf.json')
  .action(async (file: string, options: { json?: boolean }) => print(await caseShowCommand(file, options)));

caseCommand
  .command('verify <file>')
  .description('check that nothing in a case file was changed')
  .addHelpText('after', '\nExample:\n  kerfline case verify knee.kerf.json')
  .action(async (file: string) => print(await caseVerifyCommand(file)));

program
  .command('plan <case>')
  .description('what is wanted and the marks to set on each guide')
  .option('--json', 'for programs')
  .addHelpText('after', '\nExample:\n  kerfline plan knee.kerf.json')
  .action(async (file: string, options: { json?: boolean }) => print(await planCommand(file, options)));

program
  .command('proof <case>')
  .description('what the settings will do, before any cut')
  .option('--json', 'for programs')
  .addHelpText('after', '\nExample:\n  kerfline proof knee.kerf.json')
  .action(async (file: string, options: { json?: boolean }) => print(await proofCommand(file, options)));

program
  .command('open <case>')
  .description('show a case on a page of this machine')
  .option('--port <number>', 'port on this machine', '0')
  .addHelpText('after', '\nExample:\n  kerfline open knee.kerf.json')
  .action((file: string, options: { port: string }) => openCommand(file, options));

const kitCommand = program.command('kit').description('check, draw and measure a kit of guides');

kitCommand
  .command('check <file>')
  .description('check a kit file, and name every fault by its place')
  .option('--json', 'for programs')
  .addHelpText('after', '\nExample:\n  kerfline kit check my-kit.json')
  .action(async (file: string, options: { json?: boolean }) => print(await kitCheckCommand(file, options)));

kitCommand
  .command('schema')
  .description('the form of a kit file as JSON Schema, for editors and other programs')
  .addHelpText('after', '\nExample:\n  kerfline kit schema > kit.schema.json')
  .action(() => print(JSON.stringify(kitJsonSchema(), null, 2)));

kitCommand
  .command('show <file>')
  .description('the scales of a kit as a list, or drawn in true millimetres')
  .option('--out <folder>', 'write one A4 page for each guide, SVG')
  .addOption(new Option('--side <side>', 'only what this side uses').choices(['right', 'left']))
  .addHelpText('after', '\nExample:\n  kerfline kit show demo --out scales --side left')
  .action(async (file: string, options: KitShowOptions) => print(await kitShowCommand(file, options)));

kitCommand
  .command('new')
  .description('make a kit from real metal: asks what it is and five readings of each dimension')
  .requiredOption('--out <file>', 'kit file to write; what is typed is kept beside it')
  .option('--like <kit>', 'pattern: name of a folder in kits/, or path of a kit file; demo unless begun with another')
  .option('--readings <file>', 'make it from a finished readings file, without asking')
  .addHelpText(
    'after',
    '\nExample:\n  kerfline kit new --out my-kit.json\n  kerfline kit new --out my-kit.json --readings my-kit.readings.txt',
  )
  .action(async (options: KitNewOptions) =>
    print(
      await kitNewCommand(options, {
        input: process.stdin,
        output: process.stdout,
        terminal: process.stdin.isTTY === true && process.stdout.isTTY === true,
      }),
    ),
  );

addFilmCommands(program, print);

/** 0 done, 1 the program failed, 2 what it was given cannot be used. */
async function run(): Promise<number> {
  try {
    await program.parseAsync();
    return 0;
  } catch (e) {
    if (e instanceof CommanderError) return e.exitCode === 0 ? 0 : 2;
    if (e instanceof BadInput) {
      process.stderr.write(`${e.reasons.join('\n')}\n`);
      return 2;
    }
    process.stderr.write(`kerfline failed: ${e instanceof Error ? (e.stack ?? e.message) : String(e)}\n`);
    return 1;
  }
}

process.exitCode = await run();
