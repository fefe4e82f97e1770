import { commonPractice, fromMemory, type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';

/** What fits are judged by unless a team says otherwise. */
export const fitDefaults = {
  trayOverhangMedial: {
    name: 'Fit: tray overhang, medial',
    value: 2,
    unit: 'mm',
    usedFor: 'how far a tray may stand out over the medial edge, where it rubs on the ligament',
    source: commonPractice,
  },
  trayOverhangElsewhere: {
    name: 'Fit: tray overhang, elsewhere',
    value: 3,
    unit: 'mm',
    usedFor: 'how far a tray may stand out over any other edge; 2 to 3 are in use',
    source: commonPractice,
  },
  trayUnderCover: {
    name: 'Fit: bone beyond a tray',
    value: 3,
    unit: 'mm',
    usedFor: 'how far bare bone may show beyond a tray',
    source: workingDefault,
  },
  tubercleWidth: {
    name: 'Fit: width of the tubercle',
    value: 24,
    unit: 'mm',
    usedFor: 'where the thirds of the tubercle lie: its width where the tendon ends on it',
    source: workingDefault,
  },
  turnRulesApart: {
    name: 'Fit: rules for the turn of a tray',
    value: 4.6,
    unit: 'deg',
    usedFor: 'how far landmark rules lie apart on average, to compare this leg with',
    source: 'comparison of landmark rules for the tibia, BMC 2010 and 2016 (abstracts)',
  },
  femurOverhang: {
    name: 'Fit: femoral overhang',
    value: 3,
    unit: 'mm',
    usedFor: 'from here on a femoral component that stands out over bone is said to',
    source: fromMemory('the literature, not re-read'),
  },
  femurShift: {
    name: 'Fit: femoral shift',
    value: 2,
    unit: 'mm',
    usedFor: 'how far a femoral component may be shifted to a side',
    source: commonPractice,
  },
  buttonMedialLeast: {
    name: 'Fit: button medial, least',
    value: 2,
    unit: 'mm',
    usedFor: "how far medial of the kneecap's middle a button is put at least",
    source: workingDefault,
  },
  buttonMedialMost: {
    name: 'Fit: button medial, most',
    value: 4,
    unit: 'mm',
    usedFor: 'and at most',
    source: workingDefault,
  },
} as const satisfies Readonly<Record<string, ScalarDefault>>;
