import { postures } from '@kerfline/knee';
import { simulatedViews } from '@kerfline/phantom';
import { type Command, InvalidArgumentError, Option } from 'commander';
import { filmInfoCommand } from './film-info.ts';
import { type FilmMeasureOptions, filmMeasureCommand } from './film-measure.ts';
import { addFilmRepeat } from './film-repeat.ts';
import { filmLength } from './film-repeat-length.ts';
import { type FilmSimulateOptions, filmSimulateCommand } from './film-simulate.ts';

/** A number as it is typed, with a point or a comma. */
const decimal = (text: string): number => {
  const value = Number(text.replace(',', '.'));
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('a number is needed.');
  return value;
};

/** The group of commands about films, with all of its commands. */
export function addFilmCommands(program: Command, print: (text: string) => void): void {
  const film = program
    .command('film')
    .description(
      'films: what one is, a leg from marks on them, how well marks repeat, and one made of bones whose truth is known',
    );
  addFilmInfo(film, print);
  addFilmMeasure(film, print);
  addFilmRepeat(film, print, filmLength);
  addFilmSimulate(film, print);
}

function addFilmInfo(film: Command, print: (text: string) => void): void {
  film
    .command('info <film>')
    .description('what a film is, what may be measured on it, and what in it identifies a person')
    .option('--json', 'for programs')
    .addHelpText('after', '\nExample:\n  kerfline film info film.dcm')
    .action(async (path: string, options: { json?: boolean }) => print(await filmInfoCommand(path, options)));
}

function addFilmMeasure(film: Command, print: (text: string) => void): void {
  film
    .command('measure <films...>')
    .description('measure a leg on films and the marks on them')
    .requiredOption('--marks <files...>', 'the marks of each film, in the same order')
    .addOption(new Option('--side <side>', 'whose leg').choices(['right', 'left']).makeOptionMandatory())
    .addOption(
      new Option('--posture <posture>', 'how films were taken whose marks do not say it').choices([...postures]),
    )
    .option('--spreads <file>', 'how well the person who marks finds marks again, {"by", "kinds"}')
    .option('--json', 'for programs')
    .addHelpText(
      'after',
      '\nExample:\n  kerfline film measure long.dcm side.dcm --marks long.json side.json --side left --posture standing',
    )
    .action(async (films: readonly string[], options: FilmMeasureOptions) =>
      print(await filmMeasureCommand(films, options)),
    );
}

function addFilmSimulate(film: Command, print: (text: string) => void): void {
  film
    .command('simulate')
    .description('make a film of bones, with the truth of what is on it')
    .requiredOption('--femur <file>', 'STL, PLY or OBJ, in mm')
    .requiredOption('--tibia <file>', 'STL, PLY or OBJ, in mm, of the same scan')
    .option('--fibula <file>', 'STL, PLY or OBJ, in mm')
    .option('--patella <file>', 'STL, PLY or OBJ, in mm')
    .addOption(new Option('--side <side>', 'whose leg').choices(['right', 'left']).makeOptionMandatory())
    .addOption(new Option('--view <view>', 'how it is taken').choices([...simulatedViews]).makeOptionMandatory())
    .option('--rotate <deg>', 'turn of the limb, + external; 0 has the posterior condyle line side to side', decimal, 0)
    .option('--flex <deg>', 'bend of the knee; 0, for a skyline film 40, when left out', decimal)
    .option('--seed <n>', 'seed of the noise', decimal, 1)
    .option('--source-distance <mm>', 'source to detector; 3000 for a long-leg film, 1150 for others', decimal)
    .option('--bone-distance <mm>', 'knee centre (skyline: kneecap) to detector; 60 when left out', decimal)
    .option('--pixel <mm>', 'pitch of the detector; 0.2 for a long-leg film, 0.15 for others', decimal)
    .option('--ball <mm>', 'diameter of the marker ball beside the joint; 25 when left out, 0 for none', decimal)
    .option('--ball-depth <mm>', 'how much nearer to the source than the bone the ball lies', decimal)
    .option('--stitch <n>', 'exposures that a long-leg film is joined from', decimal)
    .addOption(
      new Option('--letter <letter>', 'side letter on the film; the true one when left out').choices([
        'R',
        'L',
        'none',
      ]),
    )
    .option('--mirror', 'turn the picture over, left for right, and leave what the file says of it')
    .option('--exposure <factor>', 'share of the usual exposure', decimal, 1)
    .option('--noise <factor>', 'share of the noise of that exposure; 0 for none', decimal, 1)
    .requiredOption('--out <folder>', 'folder for film.dcm, truth.json and marks.json')
    .option('--json', 'for programs')
    .addHelpText(
      'after',
      '\nExample:\n  kerfline film simulate --femur femur.stl --tibia tibia.stl --side left --view long-leg --rotate 8 --out film',
    )
    .action(async (options: FilmSimulateOptions) => print(await filmSimulateCommand(options)));
}
