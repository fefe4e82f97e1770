import { commonPractice, fromMemory, type MeanDefault, type ScalarDefault } from '../defaults/clinical-default.ts';

const averaging = 'Talbot, J Orthop Surg Res 2017;12 (abstract)';

/** The references of the femoral turn in words. */
export const turnReferenceWords = {
  rearCondyles: 'rear condyle line',
  condylarTwist: 'side points (epicondyles)',
  trochlearTwist: 'groove (trochlea)',
} as const;

/** How well each reference of the femoral turn tells it. */
export const turnReferences = {
  rearCondyles: {
    name: 'Turn references: rear condyles',
    mean: 3,
    sd: 1.9,
    unit: 'deg',
    usedFor: 'the turn wanted against the rear condyle line, external, and how far one reader is off it',
    source: commonPractice,
    sdSource: averaging,
  },
  condylarTwist: {
    name: 'Turn references: side points',
    value: 2.5,
    unit: 'deg',
    usedFor: 'sd of a turn by the side points, beside that of the leg',
    source: fromMemory('2 to 3 between surgeons, not re-read'),
  },
  trochlearTwist: {
    name: 'Turn references: groove',
    value: 2.3,
    unit: 'deg',
    usedFor: 'sd of a turn by the groove, beside that of the leg',
    source: averaging,
  },
} as const satisfies Readonly<Record<string, MeanDefault | ScalarDefault>>;
