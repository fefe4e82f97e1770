import type { SmudgeRule } from '@kerfline/sheets';

/** Rows of the Leg page: plain words, and the rule that the number is drawn on. */
export interface QuantityRow {
  readonly name: string;
  readonly title: string;
  readonly note: string;
  readonly range: readonly [number, number];
  readonly tick: number;
  readonly numerals: SmudgeRule['numerals'];
}

const plain = (...at: readonly number[]): SmudgeRule['numerals'] =>
  at.map((v) => ({ at: v, says: String(Math.abs(v)) }));

export const limbRows: readonly QuantityRow[] = [
  {
    name: 'LDFA',
    title: 'Femur joint line',
    note: 'LDFA, lateral angle',
    range: [82, 94],
    tick: 2,
    numerals: plain(82, 88, 94),
  },
  {
    name: 'clinicalMPTA',
    title: 'Tibia joint line',
    note: 'MPTA, to the ankle centre',
    range: [82, 94],
    tick: 2,
    numerals: plain(82, 88, 94),
  },
  {
    name: 'JLCA',
    title: 'Joint opening',
    note: 'JLCA, in the pose given',
    range: [-2, 8],
    tick: 2,
    numerals: plain(0, 4, 8),
  },
  {
    name: 'clinicalHKA',
    title: 'Limb',
    note: 'HKA, in the pose given',
    range: [170, 186],
    tick: 2,
    numerals: [
      { at: 172, says: '8 varus' },
      { at: 180, says: '0' },
    ],
  },
];

export const boneRows: readonly QuantityRow[] = [
  {
    name: 'shaftMechanical',
    title: 'Shaft to axis',
    note: 'canal over the rod length',
    range: [1, 11],
    tick: 2,
    numerals: plain(1, 5, 9),
  },
  {
    name: 'slope',
    title: 'Posterior slope',
    note: 'medial, rim to rim',
    range: [0, 14],
    tick: 2,
    numerals: plain(0, 6, 12),
  },
  {
    name: 'condylarTwist',
    title: 'Side points',
    note: 'to the rear condyles, external',
    range: [-6, 12],
    tick: 3,
    numerals: plain(-6, 0, 6),
  },
  {
    name: 'ankleOffset',
    title: 'Middle of malleoli',
    note: 'from the ankle centre, lateral',
    range: [-2, 10],
    tick: 2,
    numerals: plain(0, 4, 8),
  },
  {
    name: 'cortexDepth',
    title: 'Front to back',
    note: 'rear condyles to front cortex',
    range: [48, 78],
    tick: 6,
    numerals: plain(48, 60, 72),
  },
  {
    name: 'tibiaSpan',
    title: 'Span',
    note: 'ankle to the top of the mast',
    range: [280, 440],
    tick: 40,
    numerals: plain(280, 360, 440),
  },
  {
    name: 'distalSpacing',
    title: 'Contacts, far end',
    note: 'medial to lateral',
    range: [36, 60],
    tick: 6,
    numerals: plain(36, 48, 60),
  },
  {
    name: 'plateauSpacing',
    title: 'Contacts, plateau',
    note: 'medial to lateral',
    range: [30, 54],
    tick: 6,
    numerals: plain(30, 42, 54),
  },
  {
    name: 'patellaThickness',
    title: 'Kneecap',
    note: 'front to back',
    range: [14, 32],
    tick: 3,
    numerals: plain(14, 23, 32),
  },
];
