import { neutralBands } from '../aims/alignment.ts';
import { wantedDefaults } from '../aims/check-aim.ts';
import { philosophyDefaults } from '../aims/philosophy.ts';
import { gapRotation } from '../aims/resolve-aims.ts';
import { halfJaw } from '../cuts/bone-under-cut.ts';
import { fitDefaults } from '../cuts/fit-defaults.ts';
import { openTouch } from '../cuts/foretell.ts';
import { leastRemnant } from '../cuts/kneecap.ts';
import { sizeWeightDefaults } from '../cuts/size-choice.ts';
import { planDefaults } from '../guides/plan-defaults.ts';
import { turnReferences } from '../guides/turn-references.ts';
import { biasSpreads, engravingDefaults } from '../kits/kit-form.ts';
import { instrumentDefaults } from '../kits/kit-form-instruments.ts';
import { travelDefaults } from '../kits/kit-form-questions.ts';
import { repeatDefaults } from '../kits/repeats.ts';
import { wholeLengthDefaults } from '../leg/bones/recognise.ts';
import { calibrationDefaults } from '../leg/films/film-calibration.ts';
import { filmDefaults, leanDefaults, placeDefaults } from '../leg/films/film-defaults.ts';
import { markRepeatDefaults } from '../leg/films/mark-repeats.ts';
import { markSpreadDefaults } from '../leg/films/mark-spread.ts';
import { boneDefaults } from '../leg/leg-from-bones.ts';
import { populationDefaults } from '../leg/population.ts';
import { definitionDefaults } from '../leg/quantities.ts';
import { stateableDefaults } from '../leg/stateable.ts';
import { disagreement } from '../leg/stated.ts';
import type { ClinicalDefault } from './clinical-default.ts';

/**
 * Every clinical default of the domain, as docs/sources.md lists them. Each stands beside its use; here they are only gathered.
 * Parameters of the landmark search are no defaults: docs/methods.md describes them.
 */
export const clinicalDefaults = (): readonly ClinicalDefault[] => [
  ...populationDefaults,
  ...stateableDefaults,
  ...definitionDefaults,
  disagreement,
  ...Object.values(filmDefaults),
  ...Object.values(placeDefaults),
  ...Object.values(leanDefaults),
  ...Object.values(markSpreadDefaults).flat(),
  ...Object.values(boneDefaults),
  ...wholeLengthDefaults,
  ...Object.values(calibrationDefaults),
  ...philosophyDefaults,
  ...wantedDefaults,
  gapRotation,
  ...Object.values(neutralBands),
  ...Object.values(planDefaults),
  ...Object.values(turnReferences),
  ...sizeWeightDefaults,
  leastRemnant,
  ...Object.values(fitDefaults),
  ...Object.values(openTouch),
  halfJaw,
  ...Object.values(repeatDefaults),
  ...Object.values(markRepeatDefaults),
  ...instrumentDefaults,
  ...Object.values(travelDefaults),
  biasSpreads,
  ...engravingDefaults,
];
