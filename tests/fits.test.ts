import { readFileSync } from 'node:fs';
import { expectOk, type Polygon } from '@kerfline/geometry';
import {
  calledOf,
  checkKit,
  type Fits,
  fitBones,
  fitsOf,
  philosophy,
  planLeg,
  proveLeg,
  withStated,
} from '@kerfline/knee';
import { describe, expect, it } from 'vitest';
import { measuredPhantom } from './phantom-knees.fixture.ts';

const kit = expectOk(
  checkKit(JSON.parse(readFileSync(new URL('../kits/demo/kit.json', import.meta.url), 'utf8'))),
  'demo kit',
);

function fitted(seed: number, trays?: number): Fits {
  const { bones, measured } = measuredPhantom(seed);
  const leg = withStated(measured.leg, []);
  const chosen = trays === undefined ? {} : { chosen: { 'tray-trial': { tray: { value: trays } } } };
  const plan = planLeg(leg, kit, philosophy('kinematic'), chosen);
  const set = calledOf(plan);
  return fitsOf(leg, kit, plan, set, proveLeg(leg, kit, set), fitBones(leg, measured, bones));
}

/** Whether a point lies inside a polygon: crossings of a half-line (Shimrat 1962), written anew for this test. */
function within(polygon: Polygon, x: number, y: number): boolean {
  let inside = false;
  polygon.forEach(([ax, ay], i) => {
    const [bx, by] = polygon[(i + 1) % polygon.length]!;
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  });
  return inside;
}

/** Shares by counting points of a grid: no clipping, no areas. */
function counted({ bone, tray }: { readonly bone: Polygon; readonly tray: Polygon }): { readonly cover: number } {
  let onBone = 0;
  let covered = 0;
  for (let x = -60; x <= 60; x += 0.25)
    for (let y = -60; y <= 60; y += 0.25) {
      if (!within(bone, x, y)) continue;
      onBone += 1;
      if (within(tray, x, y)) covered += 1;
    }
  return { cover: covered / onBone };
}

describe('sizes laid on a virtual knee', () => {
  const fits = [1, 2, 3].map((seed) => fitted(seed));

  it('cover the share of the cut that a grid of points counts, to half a point in a hundred', () => {
    for (const { tray } of fits) {
      const called = tray!.choices.find((choice) => choice.tray.size === tray!.size)!;
      expect(Math.abs(called.fit.cover! - counted(tray!.picture!).cover)).toBeLessThan(0.005);
    }
  });

  it('are judged by the outlines of the cuts, each with its bone beside keel, pegs and button', () => {
    for (const { by, tray, femur, button, findings } of fits) {
      expect(by).toBe('outlines');
      expect(tray!.keelMm).toBeGreaterThan(0);
      expect(femur!.pegsMm).toBeGreaterThan(0);
      expect(button!.pegMm).toBeGreaterThan(0);
      expect(tray!.turns.found.map((t) => t.rule)).toEqual([
        'tubercleMedialThird',
        'tubercleMedialBorder',
        'plateauContacts',
      ]);
      expect(findings.filter((f) => f.severity === 'error')).toEqual([]);
    }
  });

  it('say when the tray that is called does not match, and which would', () => {
    const { tray, findings } = fitted(1, 62);
    const called = tray!.choices.find((choice) => choice.tray.size === 62)!;
    expect(called.beyond.length).toBeGreaterThan(0);
    expect(findings.some((f) => f.code === 'tray-fit' && f.message.startsWith('Tray 62'))).toBe(true);
    expect(findings.find((f) => f.code === 'tray-other-size')!.message).toContain(
      `tray ${tray!.choices[0]!.tray.size} matches better`,
    );
  });
});
