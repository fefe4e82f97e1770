import { readFileSync } from 'node:fs';
import { dot, type Vec3 } from '@kerfline/geometry';
import { expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { kitFrom, withLinks } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import type { Guide } from './guide.ts';
import { planLeg } from './plan.ts';
import { walk } from './walker.ts';

/** Hazard 11 of the trade notes, section 7: the kerf counted on the wrong side of the cut. */
const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));

const facing = (guide: Guide, referenceFace: 'retained' | 'piece'): Guide =>
  withLinks(
    guide,
    Object.fromEntries(
      guide.links
        .filter((link) => link.kind === 'slit' || link.kind === 'openFace')
        .map((link) => [link.id, { referenceFace }]),
    ),
  );

/**
 * By hand: the blade of 1.4 mm takes its width from the piece when the kept face is the reference, and from the kept bone when
 * the piece's is. Seen from a place far on the kept side, the cut then comes nearer by 1.4 mm.
 */
it('every slit of the demo kit takes exactly its kerf more from the kept bone when it refers to the face of the piece', () => {
  const leg = typedLeg(
    'left',
    'LDFA=88deg',
    'MPTA=87deg',
    'slope=6deg',
    'cortexDepth=61mm',
    'tibialCanalVarus=1deg',
    'tibialCanalSlope=0deg',
    'patellaThickness=23mm',
    'patellaWidth=44mm',
  );
  const keptSide: Readonly<Record<Guide['bone'], Vec3>> = {
    femur: [0, 10, 100],
    tibia: [0, 0, -100],
    patella: [0, 100, 0],
  };
  const cuts: string[] = [];
  for (const use of [[], ['tibia-core']]) {
    for (const { problem, called } of planLeg(leg, demo, philosophy('mechanical'), { use }).guides) {
      const at = (face: 'retained' | 'piece'): readonly CutPlane[] =>
        walk(facing(problem.guide, face), problem.leg, called, problem.components, problem.made).cuts;
      const [retained, piece] = [at('retained'), at('piece')];
      retained.forEach((plane, k) => {
        const away = (p: CutPlane): number => Math.abs(dot(p.normal, keptSide[problem.guide.bone]) - p.offset);
        expect(away(plane) - away(piece[k]!), `${problem.guide.id} ${plane.cut}`).toBeCloseTo(1.4, 9);
        cuts.push(`${problem.guide.id} ${plane.cut}`);
      });
    }
  }
  expect([...new Set(cuts)].sort()).toEqual([
    'canal-core distalFemur',
    'kneecap-jaw kneecap',
    'shin-mast tibia',
    'slit-block anteriorChamfer',
    'slit-block anteriorFemur',
    'slit-block posteriorChamfer',
    'slit-block posteriorFemur',
    'tibia-core tibia',
  ]);
});
