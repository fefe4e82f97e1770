import { type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';

/** What settings are weighed by, and what a plan finds worth saying, unless a team says otherwise. */
export const planDefaults = {
  degreeWorth: {
    name: 'Setting a guide: worth of a degree',
    value: 1,
    unit: 'deg',
    usedFor: 'a target missed by this costs as much as one missed by 1 mm',
    source: workingDefault,
  },
  depthSlack: {
    name: 'Setting a guide: slack of a depth',
    value: 0.05,
    unit: 'mm',
    usedFor: 'a cut this little too deep is not too deep: no hand sets it and no caliper reads it',
    source: workingDefault,
  },
  tooDeep: {
    name: 'Setting a guide: cost of too deep',
    value: 10_000,
    unit: 'weight',
    usedFor: 'cost in mm squared of a cut that is too deep: a whole scale too shallow comes first',
    source: workingDefault,
  },
  shimCost: {
    name: 'Setting a guide: cost of a shim',
    value: 0.25,
    unit: 'weight',
    usedFor: 'cost in mm squared of one part more: it must be worth more than half a millimetre',
    source: workingDefault,
  },
  turnedByEye: {
    name: 'What a plan says: turned by eye',
    value: 10,
    unit: 'deg',
    usedFor: 'how far a part is turned off by eye when it is told what that would do',
    source: workingDefault,
  },
  coupledChange: {
    name: 'What a plan says: coupled change',
    value: 0.3,
    unit: 'deg',
    usedFor: 'a change by a turned part that is worth a word',
    source: workingDefault,
  },
  marksOff: {
    name: 'What a plan says: marks not true',
    value: 0.5,
    unit: 'deg',
    usedFor: 'counting marks that is off by more than this is a doubt',
    source: workingDefault,
  },
  leftOver: {
    name: 'What a plan says: left over',
    value: 0.02,
    unit: 'mm',
    usedFor: 'less than this left over by a call is not said, mm or deg: no hand can set it',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;
