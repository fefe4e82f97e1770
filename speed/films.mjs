// A mark that is moved on one of three films to every quantity of the leg, and a picture of a long film.
import { legFromBones, legFromFilms, quantities, withStated } from '@kerfline/knee';
import { filmLimb, filmPicture, filmPlan, filmScene, usualLook } from '@kerfline/phantom';
import { bonesWith, side } from './bones.mjs';
import { inTurns, median, shown, tell, within } from './timing.mjs';

const must = (result) => {
  if (!result.ok) throw new Error(JSON.stringify(result.error));
  return result.value;
};
const meshes = bonesWith(100_000);
const limb = must(filmLimb(must(legFromBones(meshes, { side })), meshes));
const readings = ['long-leg', 'knee-lateral', 'skyline'].map((view) => {
  const { cone, marks } = must(filmScene(limb, { rotate: 0.1, flex: view === 'skyline' ? 0.7 : 0.1 }, { view }));
  const spacing = { rowMm: cone.pixelMm, columnMm: cone.pixelMm };
  return {
    id: view,
    view,
    posture: 'standing',
    side,
    columns: cone.columns,
    rows: cone.rows,
    scale: { kind: 'bone', spacing, sd: 0.01, method: 'ball' },
    mirrored: false,
    marks,
  };
});
let turn = 0;
const moved = (moving) => () => {
  turn += 1;
  const [long, ...others] = readings;
  const [hip, ...rest] = long.marks;
  const at = { ...hip, pixel: [hip.pixel[0] + (turn % 9), hip.pixel[1]] };
  const found = must(legFromFilms(side, [{ ...long, marks: [at, ...rest] }, ...others], { moving }));
  quantities(withStated(found.leg, []));
};
// A hand moves a mark many times before it lets go once.
const [inHand] = inTurns([moved(true)], { warm: 300, runs: 400 });
const [again, released] = inTurns([moved(true), moved(false)], { warm: 50, runs: 150 });

const scene = must(
  filmScene(limb, { rotate: 0, flex: 0 }, { view: 'long-leg', pixelMm: 430 / 3000, heightMm: (430 / 3000) * 9000 }),
);
const start = performance.now();
const rows = filmPicture(filmPlan(scene, usualLook));
for (let next = rows.next(); !next.done; next = rows.next());
const pictureS = (performance.now() - start) / 1000;

const what = 'one mark in the hand, three films, to every quantity of the leg';
tell([
  { name: `${what}, median`, ours: shown(median(inHand)), unit: 'ms' },
  { name: `${what}, p95`, ours: shown(within(inHand, 0.95)), unit: 'ms', mark: 8 },
  {
    name: 'the same when it is let go, with next marks, doubts and film against film, beside the one in the hand; median',
    ours: shown(median(released)),
    peer: shown(median(again)),
    unit: 'ms',
  },
  {
    name: 'picture of a film of 3,000 x 9,000 pixels, bones of 100,000 triangles',
    ours: shown(pictureS),
    unit: 's',
    mark: 10,
  },
]);
