import { type ClinicalDefault, workingDefault } from '../defaults/clinical-default.ts';
import type { Unit } from '../quantity.ts';
import { type ContactSite, contactSites, wearName } from './sites.ts';

/** What a person may state of a leg by name, and what a typing slip looks like. */
export interface Stateable {
  readonly name: string;
  readonly unit: Unit;
  /** Values outside are refused as slips; mm or degrees. Working defaults, no source, wider than any knee seen. */
  readonly range: readonly [number, number];
  /** Spread taken when none is stated, flagged; mm or degrees. */
  readonly defaultSd: number;
  /** Whose reading that spread is of. */
  readonly read: string;
  readonly defaultSdSource: string;
}

const film = 'one reader on one film';
const stress = 'a stress device';
const goniometer = 'a long goniometer';
const goniometry = 'J Exp Orthop 2018 (abstract)';
const axes = 'Talbot, J Orthop Surg Res 2017;12 (abstract)';

const named = (
  name: string,
  unit: Unit,
  range: readonly [number, number],
  defaultSd: number,
  read: string,
  defaultSdSource: string = workingDefault,
): Stateable => ({ name, unit, range, defaultSd, read, defaultSdSource });

const worn =
  (range: readonly [number, number], sd: number) =>
  (site: ContactSite): Stateable =>
    named(wearName(site), 'mm', range, sd, 'wear seen by eye');

/** Every name that can be stated. */
export const stateables: readonly Stateable[] = [
  named('LDFA', 'deg', [70, 110], 0.7, film),
  named('MPTA', 'deg', [70, 110], 0.7, film),
  named('HKA', 'deg', [150, 210], 0.7, film),
  named('JLCA', 'deg', [-15, 25], 0.7, film),
  named('shaftMechanical', 'deg', [-3, 16], 0.8, film),
  named('canalFlexion', 'deg', [-12, 12], 1, film),
  named('slope', 'deg', [-10, 25], 2, film),
  named('condylarTwist', 'deg', [-12, 16], 1.9, film, axes),
  named('trochlearTwist', 'deg', [-12, 16], 2.3, film, axes),
  named('headRadius', 'mm', [15, 35], 0.7, film),
  named('femurLength', 'mm', [300, 560], 4, film),
  named('tibiaLength', 'mm', [240, 480], 3, film),
  named('tibiaSpan', 'mm', [200, 480], 3, 'tape or film'),
  named('tibialCanalVarus', 'deg', [-12, 12], 0.8, film),
  named('tibialCanalSlope', 'deg', [-10, 10], 1, film),
  named('crestLean', 'deg', [-8, 14], 1, film),
  named('femoralCanalWidth', 'mm', [5, 30], 1, film),
  named('tibialCanalWidth', 'mm', [5, 30], 1, film),
  named('femurWidth', 'mm', [45, 105], 1.5, film),
  named('femurDepth', 'mm', [30, 80], 1.5, film),
  named('cortexDepth', 'mm', [40, 90], 2, 'sizing on film'),
  named('tibiaWidth', 'mm', [45, 110], 1.5, film),
  named('tibiaDepth', 'mm', [28, 80], 1.5, film),
  named('distalSpacing', 'mm', [30, 70], 2, film),
  named('posteriorSpacing', 'mm', [30, 70], 2, film),
  named('plateauSpacing', 'mm', [28, 65], 2, film),
  named('ankleOffset', 'mm', [-6, 12], 1.5, 'middle of the malleoli by eye'),
  named('patellaThickness', 'mm', [8, 40], 0.5, 'a caliper'),
  named('patellaWidth', 'mm', [20, 75], 1, 'a caliper'),
  ...contactSites.map(worn([0, 25], 0.7)),
  named('fixedFlexion', 'deg', [-20, 60], 3.6, goniometer, goniometry),
  named('flexionRange', 'deg', [0, 165], 3.6, goniometer, goniometry),
  named('correctability', 'deg', [0, 40], 3.6, goniometer, goniometry),
  named('laxityMedial0', 'mm', [-5, 20], 0.7, stress),
  named('laxityLateral0', 'mm', [-5, 20], 0.7, stress),
  named('laxityMedial90', 'mm', [-5, 20], 0.7, stress),
  named('laxityLateral90', 'mm', [-5, 20], 0.7, stress),
];

const byName = new Map(stateables.map((s) => [s.name, s]));

export const stateable = (name: string): Stateable | undefined => byName.get(name);

/** Spreads and limits of everything that can be stated. */
export const stateableDefaults: readonly ClinicalDefault[] = stateables.flatMap(
  ({ name, unit, range, defaultSd, read, defaultSdSource }) => [
    {
      name: `Spread when none is stated: ${name}`,
      value: defaultSd,
      unit,
      usedFor: `sd of a value stated without one: ${read}`,
      source: defaultSdSource,
    },
    {
      name: `Stated values taken: ${name}`,
      range,
      unit,
      usedFor: 'what is refused as a slip; wider than any knee seen',
      source: workingDefault,
    },
  ],
);
