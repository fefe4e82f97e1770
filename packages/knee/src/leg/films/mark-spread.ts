import { type ScalarDefault, workingDefault } from '../../defaults/clinical-default.ts';
import type { MarkKind } from './mark-catalogue.ts';

/** How far a mark may be off, mm of the bone: along the surface or shaft it lies on, and across it. */
export interface MarkSpread {
  readonly acrossMm: number;
  readonly alongMm: number;
}

export type MarkSpreads = Readonly<Record<MarkKind, MarkSpread>>;

const observers = 'chosen so that LDFA, MPTA and HKA of one film spread as between two observers';
const d74 = 'SEM of Braun et al., J Orthop Surg Res 2023;18:69 (abstract): 0.54, 0.66, 0.71 deg';

const spread = (kind: MarkKind, way: 'across' | 'along', value: number, source: string): ScalarDefault => ({
  name: `Marks on films: ${kind}, ${way}`,
  value,
  unit: 'mm',
  usedFor: `sd of a mark placed by hand; ${observers}`,
  source,
});

/** Spreads of marks by kind, across and along, as listed in docs/sources.md. */
export const markSpreadDefaults: Readonly<Record<MarkKind, readonly [ScalarDefault, ScalarDefault]>> = {
  headCentre: [spread('headCentre', 'across', 1.5, d74), spread('headCentre', 'along', 1.5, d74)],
  jointCentre: [spread('jointCentre', 'across', 2, d74), spread('jointCentre', 'along', 2, d74)],
  contact: [spread('contact', 'across', 0.3, d74), spread('contact', 'along', 3, workingDefault)],
  prominence: [spread('prominence', 'across', 2, workingDefault), spread('prominence', 'along', 4, workingDefault)],
  canalMiddle: [
    spread('canalMiddle', 'across', 0.8, workingDefault),
    spread('canalMiddle', 'along', 0.8, workingDefault),
  ],
  edge: [spread('edge', 'across', 1, workingDefault), spread('edge', 'along', 3, workingDefault)],
  middle: [spread('middle', 'across', 1.5, workingDefault), spread('middle', 'along', 1.5, workingDefault)],
};

/** The listed spreads as numbers. */
export const literatureSpreads: MarkSpreads = Object.fromEntries(
  Object.entries(markSpreadDefaults).map(([kind, [across, along]]) => [
    kind,
    { acrossMm: across.value, alongMm: along.value },
  ]),
) as Record<MarkKind, MarkSpread>;
