import { readFileSync, existsSync } from 'node:fs';
import { it } from 'vitest';
import { filmLimb, filmScene } from '@kerfline/phantom';
import { legFromBones, legFromFilms, quantities, literatureSpreads, markPlace, type FilmReading } from '@kerfline/knee';
import { looseWay } from '../packages/knee/src/leg/films/mark-spread.ts';
import { surfaceFromPly } from '../packages/knee/src/leg/bones/research-bones.fixture.ts';
import { randomStream } from '@kerfline/uncertainty';
const root = '../shared/data/bones/';
const legs = [['ICL_MRI_R','right'],['LHDL_CT_R','right'],['VSD_z013_L','left'],['VSD_z013_R','right']] as const;
it('cov', () => {
  const N = Number(process.env.N ?? 20);
  const names = ['LDFA','MPTA','HKA','shaftMechanical'];
  const cells = new Map<string, {in: number; n: number; sum: number; sd: number}>();
  const add = (k: string, ok: boolean, e: number, sd: number) => { const c = cells.get(k) ?? {in:0,n:0,sum:0,sd:0}; c.n++; c.in += ok?1:0; c.sum+=e; (c as any).sq=((c as any).sq??0)+e*e; c.sd+=sd; cells.set(k,c); };
  let t = 0, count = 0;
  for (const [leg, side] of legs) {
    const m = (b: string) => surfaceFromPly(readFileSync(`${root}${leg}/${b}.ply`));
    const meshes = { femur: m('femur'), tibia: m('tibia'), fibula: m('fibula'), patella: m('patella') };
    const r = legFromBones(meshes, { side });
    if (!r.ok) throw new Error(JSON.stringify(r.error));
    const truth = quantities(r.value.leg);
    console.log(leg, 'twist', truth.condylarTwist!.value!.toFixed(1), 'HKA', truth.HKA!.value!.toFixed(2)); const limb = filmLimb(r.value, meshes);
    if (!limb.ok) throw new Error('limb');
    for (const rot of [0, 10, -10, 20, -20]) for (const flex of [0, 10]) {
      const scene = filmScene(limb.value, { rotate: rot*Math.PI/180, flex: flex*Math.PI/180 }, { view: 'long-leg' });
      if (!scene.ok) throw new Error(JSON.stringify(scene.error));
      const px = scene.value.cone.pixelMm;
      for (let k = 0; k < N; k++) {
        const rnd = randomStream(1, 'films', leg, rot, flex, k);
        const marks = scene.value.marks.filter((mk)=>process.env.NOPAT ? mk.name!=='patellaCentre' && mk.name!=='fibulaHead' : true).map((mk) => {
          const p = markPlace(mk.name)!; const { acrossMm, alongMm } = literatureSpreads[p.kind];
          const up = looseWay(p, 'long-leg') === 'upright';
          const s = N === 1 ? 0 : 1;
          return { name: mk.name, pixel: [mk.pixel[0] + s*rnd.normal() * (up ? acrossMm : alongMm) / (px*0.98), mk.pixel[1] + s*rnd.normal() * (up ? alongMm : acrossMm) / (px*0.98)] as const };
        });
        const film: FilmReading = { id: 'a', view: 'long-leg', posture: 'standing', side, columns: scene.value.cone.columns, rows: scene.value.cone.rows, scale: { kind: 'bone', spacing: { rowMm: px*0.98, columnMm: px*0.98 }, sd: 0.01, method: 'ball' }, mirrored: false, marks };
        const t0 = performance.now();
        const got = legFromFilms(side, [film]);
        t += performance.now() - t0; count++;
        if (!got.ok) { console.log(leg, rot, flex, got.error); continue; }
        const q = quantities(got.value.leg);
        for (const n of names) {
          const e = q[n]!.value! - truth[n]!.value!;
          const ok = Math.abs(e) <= 1.645 * q[n]!.sd!;
          add(n, ok, e, q[n]!.sd!); add(`${n} ${rot},${flex}`, ok, e, q[n]!.sd!);
          if (k === 0 && n==='HKA' && process.env.SH) console.log(rot===0&&flex===0 ? JSON.stringify(got.value.doubts[process.env.SH!]!.slice(0,9).map(d=>d.source+' '+(100*d.share).toFixed(0))) : '', 'sd', q.HKA!.sd!.toFixed(2)), console.log(leg, rot, flex, 'pose HKA', (180-scene.value.inPose.limbVarus*180/Math.PI).toFixed(2), 'got', q.HKA!.value!.toFixed(2), 'turn', got.value.films[0]!.rotation!.value!.toFixed(1), got.value.films[0]!.rotation!.sd!.toFixed(1), 'flex', got.value.films[0]!.flexion!.value!.toFixed(1), got.value.films[0]!.flexion!.sd!.toFixed(1));
        }
      }
    }
  }
  for (const [k, c] of cells) console.log(k, (100*c.in/c.n).toFixed(1)+'%', 'mean err', (c.sum/c.n).toFixed(2), 'mean sd', (c.sd/c.n).toFixed(2), 'rms', Math.sqrt((c as any).sq/c.n).toFixed(2));
  console.log('ms each', t/count);
});
