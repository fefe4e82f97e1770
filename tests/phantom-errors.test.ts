import { intoBone } from '@kerfline/knee';
import type { PhantomTruth } from '@kerfline/phantom';
import { covarianceOf, meanVectorOf } from '@kerfline/uncertainty';
import { describe, expect, it } from 'vitest';
import { cellMm, measuredPhantom, seeds, truthOf } from './phantom-knees.fixture.ts';

/** The direction in which a contact is sharp, as a place in L, A, P. */
const depthOf: Readonly<Record<string, 0 | 1 | 2>> = {
  distalMedial: 2,
  distalLateral: 2,
  posteriorMedial: 1,
  posteriorLateral: 1,
  plateauMedial: 2,
  plateauLateral: 2,
};
const onFemur = [
  'hipCentre',
  'femoralKneeCentre',
  'distalMedial',
  'distalLateral',
  'posteriorMedial',
  'posteriorLateral',
];
const onTibia = ['tibialKneeCentre', 'plateauMedial', 'plateauLateral', 'malleolarMidpoint', 'plafondCentre'];

interface Off {
  readonly seed: number;
  readonly name: string;
  /** Found less true, L-A-P of the bone, mm, and what was said of it. */
  readonly by: readonly number[];
  readonly sd: readonly number[];
}

function offsOf(seed: number): readonly Off[] {
  const { knee, measured } = measuredPhantom(seed);
  const truth: PhantomTruth = truthOf(knee);
  const { leg, femurFrame, tibiaFrame } = measured;
  const off = (name: string, trueAt: readonly [number, number, number]): Off => {
    const found = meanVectorOf(leg.belief, name);
    const covariance = covarianceOf(leg.belief, name);
    return {
      seed,
      name,
      by: found.map((v, k) => v - trueAt[k]!),
      sd: covariance.map((row, k) => Math.sqrt(row[k]!)),
    };
  };
  const landmark = (name: string) => truth.landmarks[name as keyof typeof truth.landmarks].scan;
  return [
    ...onFemur.map((name) => off(name, intoBone(femurFrame, landmark(name)).xyz)),
    ...onTibia.map((name) => off(name, intoBone(tibiaFrame, landmark(name)).xyz)),
  ];
}

/** Marks of design 11 on smooth virtual bones, whose truth is sampled from the implicit surface by other code. */
describe(`on ${seeds.length} virtual knees`, () => {
  const offs = seeds.flatMap(offsOf);
  const worst = (list: readonly { readonly at: string; readonly mm: number }[]) =>
    list.reduce((a, b) => (b.mm > a.mm ? b : a));

  it('the centre of the head lies within 1 mm of the truth', () => {
    const heads = offs.filter((o) => o.name === 'hipCentre');
    expect(heads).toHaveLength(seeds.length);
    const farthest = worst(heads.map((o) => ({ at: `seed ${o.seed}`, mm: Math.hypot(...o.by) })));
    expect(farthest.mm, farthest.at).toBeLessThan(1);
  });

  it('every contact lies within 0.5 mm of the truth in depth', () => {
    const contacts = offs.filter((o) => o.name in depthOf);
    expect(contacts).toHaveLength(6 * seeds.length);
    const deepest = worst(
      contacts.map((o) => ({ at: `${o.name} of seed ${o.seed}`, mm: Math.abs(o.by[depthOf[o.name]!]!) })),
    );
    expect(deepest.mm, deepest.at).toBeLessThan(0.5);
  });

  it('every other direction of a landmark lies within its stated spread, or within a quarter of a mesh cell', () => {
    const soft = offs.flatMap((o) =>
      o.by.flatMap((by, k) =>
        k === depthOf[o.name]
          ? []
          : [{ at: `${o.name} of seed ${o.seed}, axis ${k}`, mm: Math.abs(by) - Math.max(o.sd[k]!, cellMm / 4) }],
      ),
    );
    expect(worst(soft).mm, worst(soft).at).toBeLessThan(0);
  });
});
