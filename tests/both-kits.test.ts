import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import process from 'node:process';
import { fileURLToPath } from 'node:url';
import {
  checkKit,
  detents,
  type Guide,
  type Kit,
  legFromStated,
  madeBy,
  type OutputName,
  type OutputTarget,
  outputsOf,
  parseStated,
  type Setting,
  type Side,
  solveGuide,
  viewAtMean,
  walk,
} from '@kerfline/knee';
import { type Random, randomStream } from '@kerfline/uncertainty';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const full = process.env.KERFLINE_FULL === '1';

async function kitOf(name: string): Promise<Kit> {
  const kit = checkKit(JSON.parse(await readFile(join(root, `kits/${name}/kit.json`), 'utf8')));
  if (!kit.ok) throw new Error(JSON.stringify(kit.error));
  return kit.value;
}

const between = (random: Random, low: number, high: number): number => low + (high - low) * random.uniform();

/** A leg with everything that guides of any kind look at, at random within what people have. */
function randomLeg(random: Random, side: Side) {
  const of = (name: string, low: number, high: number, unit: 'mm' | 'deg'): string =>
    `${name}=${between(random, low, high).toFixed(3)}${unit}`;
  const texts = [
    of('LDFA', 84, 93, 'deg'),
    of('MPTA', 83, 92, 'deg'),
    of('slope', 2, 12, 'deg'),
    of('shaftMechanical', 4, 8, 'deg'),
    of('canalFlexion', -3, 3, 'deg'),
    of('crestLean', 1, 6, 'deg'),
    of('tibialCanalVarus', -2, 2, 'deg'),
    of('tibialCanalSlope', -2, 2, 'deg'),
    of('tibiaSpan', 290, 430, 'mm'),
    of('ankleOffset', -1, 5, 'mm'),
    of('cortexDepth', 54, 70, 'mm'),
    of('patellaThickness', 19, 27, 'mm'),
    of('wearDistalMedial', 0, 3, 'mm'),
    of('wearPlateauLateral', 0, 3, 'mm'),
  ];
  const stated = texts.map((text) => {
    const value = parseStated(text);
    if (!value.ok) throw new Error(value.error.message);
    return value.value;
  });
  return legFromStated(side, stated);
}

const oneOf = <T>(random: Random, items: readonly T[]): T => items[Math.floor(random.uniform() * items.length)]!;

/** Settings that the plan would choose, at random; what is set by eye stays at its zero. */
function randomSettings(guide: Guide, random: Random, start: Readonly<Record<string, Setting>>) {
  const set: Record<string, Setting> = { ...start };
  for (const link of guide.links) {
    if ((link.setBy ?? 'plan') !== 'plan') continue;
    switch (link.kind) {
      case 'ring':
      case 'dial':
      case 'peg':
        set[link.id] = { value: oneOf(random, link.values) };
        break;
      case 'feeler':
        set[link.id] = { value: oneOf(random, link.values), site: oneOf(random, link.touches) };
        break;
      case 'slide':
      case 'swing':
        if (link.kind === 'slide' && link.sizes) break;
        set[link.id] = {
          ...set[link.id],
          value:
            link.step === null ? between(random, ...link.range) : oneOf(random, detents({ ...link, step: link.step })),
        };
        break;
      case 'thread':
        set[link.id] = { value: between(random, ...link.range) };
        break;
      default:
    }
  }
  return set;
}

/** Outputs of a guide that its own links set. */
const targetsAt = (outputs: Partial<Record<OutputName, number>>): readonly OutputTarget[] =>
  Object.entries(outputs).flatMap(([output, value]) =>
    output === 'femurFlexion'
      ? []
      : [{ output: output as OutputName, value, tolerance: /Depth|Remnant/.test(output) ? 1 : Math.PI / 180 }],
  );

/** Law: what some settings do can be asked for, and is then met: by those settings or by others that do the same. */
describe.each(['demo', 'second'])('the inverse of the forward map of the %s kit', (name) => {
  it(`meets what random settings do, on ${full ? 500 : 40} random legs`, { timeout: 600_000 }, async () => {
    const kit = await kitOf(name);
    const random = randomStream(full ? 7 : 3, `inverse of forward, ${name}`);
    let met = 0;
    for (let k = 0; k < (full ? 500 : 40); k += 1) {
      const side = k % 2 === 0 ? 'left' : 'right';
      const leg = randomLeg(random, side);
      for (const bone of ['femur', 'tibia', 'patella'] as const) {
        const view = viewAtMean(leg, bone);
        let made = { cuts: new Map(), pins: new Map() } as Parameters<typeof walk>[4];
        for (const guide of kit.guides.filter((g) => g.bone === bone && (g.side ?? side) === side)) {
          const problem = { guide, leg: view, components: kit.components, made };
          const start = solveGuide({ ...problem, targets: [] }).settings;
          const set = randomSettings(guide, random, start);
          const inPlace = walk(guide, view, set, kit.components, made);
          const onPins = typeof guide.mountsOn === 'object' && 'pinsOf' in guide.mountsOn;
          const targets = onPins ? [] : targetsAt(outputsOf(inPlace, view));
          if (targets.length > 0) {
            const solved = solveGuide({ ...problem, targets });
            const angles = targets.filter((t) => !/Depth|Remnant/.test(t.output));
            for (const { output } of angles) {
              expect(Math.abs(solved.residuals[output]!), `${guide.id} ${output}`).toBeLessThan(1e-7);
            }
            for (const { output, value } of targets.filter((t) => !angles.includes(t))) {
              expect(Math.abs(solved.residuals[output]!), `${guide.id} ${output} ${value}`).toBeLessThan(0.05);
            }
            met += 1;
          }
          made = madeBy(guide, inPlace, made);
        }
      }
    }
    // Core, frame or gauge, mast or pole, core of the shin, jaw: none was passed over.
    expect(met).toBeGreaterThanOrEqual((full ? 500 : 40) * 4);
  });
});

describe('a kit that the program was not written for', () => {
  const kerfline = (...args: readonly string[]): string =>
    execFileSync(process.execPath, [join(root, 'apps/cli/dist/main.js'), ...args], { encoding: 'utf8', stdio: 'pipe' });

  it.each(['left', 'right'] as const)('is planned and proved from the command line for a %s knee', async (side) => {
    const folder = await mkdtemp(join(tmpdir(), 'kerfline-second-'));
    try {
      const file = join(folder, 'second.kerf.json');
      const said =
        'LDFA=88deg MPTA=87deg slope=6deg shaftMechanical=5.5deg crestLean=4deg tibiaSpan=330mm cortexDepth=61mm patellaThickness=23mm';
      kerfline(
        ...['case', 'new', '--side', side, '--kit', 'second', '--aim', 'kinematic', '--out', file],
        ...said.split(' ').flatMap((value) => ['--set', value]),
      );
      const plan = JSON.parse(kerfline('plan', file, '--json'));
      expect(plan.findings.filter((f: { severity: string }) => f.severity === 'error')).toEqual([]);
      expect(plan.unreachable).toBeUndefined();
      // By hand: 5.5 of the canal and 2 valgus are 7.5 on the arc, which has half degrees.
      expect(plan.settings.find((s: { link: string }) => s.link === 'arc')).toMatchObject({
        call: 7.5,
        sense: 'valgus',
      });
      const proof = JSON.parse(kerfline('proof', file, '--json'));
      expect(proof.cuts.distalFemur.planes.femurValgus.value).toBeCloseTo(2, 1);
      // The pole's clicks, wedges and caliper leave less than half a degree.
      expect(Math.abs(proof.cuts.tibia.planes.tibiaVarus.value - 3)).toBeLessThan(0.5);
      expect(Math.abs(proof.cuts.tibia.planes.tibiaSlope.value - 6)).toBeLessThan(0.5);
      expect(proof.cuts.kneecap.planes.kneecapRemnant.value).toBeGreaterThanOrEqual(12);
      expect(Object.keys(proof.cuts)).toHaveLength(7);
      const text = kerfline('plan', file);
      expect(text).toContain(`Punch ${side === 'left' ? 'RIGHT' : 'LEFT'}: for the other side`);
      expect(text).toContain(`on the scale marked ${side.toUpperCase()}`);
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  });
});
