import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { guideOf, kitFrom, linkOf } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { boreSize, boreText } from './bores.ts';
import type { DrillLink } from './guide.ts';
import { planLeg } from './plan.ts';

const demo = kitFrom(readFileSync(new URL('../../../../kits/demo/kit.json', import.meta.url), 'utf8'));
const leg = (...more: readonly string[]) =>
  typedLeg('right', 'LDFA=88deg', 'MPTA=87deg', 'slope=6deg', 'cortexDepth=62.5mm', ...more);
const plan = (chosen: Parameters<typeof planLeg>[3] = {}, ...more: readonly string[]) =>
  planLeg(leg('tibiaWidth=72mm', 'tibiaDepth=48mm', ...more), demo, philosophy('mechanical'), chosen);
const call = (p: ReturnType<typeof plan>, guide: string, link: string) =>
  p.settings.find((s) => s.guide === guide && s.link === link)?.call;

describe('a part that is taken by size', () => {
  it('follows the setting that it belongs to, also when that is chosen by hand', () => {
    const p = plan();
    expect(call(p, 'slit-block', 'block')).toBe(call(p, 'heel-frame', 'size'));
    expect(call(p, 'keel-tool', 'tool')).toBe(call(p, 'tray-trial', 'tray'));
    const larger = plan({
      chosen: { 'heel-frame': { size: { value: 66, keeps: 'rear' } }, 'tray-trial': { tray: { value: 74 } } },
    });
    expect(call(larger, 'slit-block', 'block')).toBe(66);
    expect(call(larger, 'keel-tool', 'tool')).toBe(74);
  });

  it('is the tray that stands out least over a tibia of 72 by 48 mm, among those that go with the femur', () => {
    // By hand: with femur 63 go 68, 71 and 74; 71 by 47 stays inside 72 by 48, 74 by 49 stands out by 1 mm on each side.
    expect(call(plan(), 'heel-frame', 'size')).toBe(63);
    expect(call(plan(), 'tray-trial', 'tray')).toBe(71);
  });

  it('of another size than was set before is a fault that names the size to take', () => {
    const p = plan({ chosen: { 'keel-tool': { tool: { value: 68 } } } });
    expect(p.findings.filter((f) => f.code === 'size-mismatch')).toEqual([
      { code: 'size-mismatch', severity: 'error', message: expect.stringContaining('take 71') },
    ]);
    expect(plan().findings.some((f) => f.code === 'size-mismatch')).toBe(false);
  });

  it('that may not go with the femoral component is a fault with those that may', () => {
    const p = plan({ chosen: { 'tray-trial': { tray: { value: 80 } } } });
    expect(p.findings.find((f) => f.code === 'pair-not-allowed')).toMatchObject({
      severity: 'error',
      message: 'Femur 63 and tray 80 may not be used together; with femur 63 go trays 68, 71, 74.',
    });
  });

  it('has no size while the front feeler has not read one', () => {
    const p = planLeg(typedLeg('right', 'LDFA=88deg'), demo, philosophy('mechanical'));
    expect(p.settings.find((s) => s.link === 'size')).toMatchObject({ call: null });
    expect(p.settings.find((s) => s.link === 'block')).toMatchObject({
      call: null,
      text: 'Block: of the size that is read on the bone',
    });
  });
});

describe('a tray on a tibia whose widths nobody knows', () => {
  it.each([54, 57, 60, 63, 66, 69, 72])(
    'is one that may go with femur %d, and is called only once it was tried',
    (size) => {
      const p = planLeg(leg(), demo, philosophy('mechanical'), {
        chosen: { 'heel-frame': { size: { value: size, keeps: 'rear' } } },
      });
      expect(p.findings.filter((f) => f.severity === 'error')).toEqual([]);
      expect(p.settings.find((s) => s.link === 'tray')).toMatchObject({
        call: null,
        text: 'Tray: of the size that is tried on the bone',
      });
    },
  );
});

/** By the demo kit's own data: tray 71 has a keel of 35 mm, a drill of 13 and wings of 18 to each side; button 32 a peg of 6 by 5. */
describe('a drill with a stop', () => {
  const drill = (guide: string, link: string) => linkOf(guideOf(demo, guide), link) as DrillLink;
  const said = (guide: string, link: string, size: number, part: string) =>
    boreText(
      drill(guide, link),
      boreSize(guideOf(demo, guide), drill(guide, link), { [part]: { value: size } }, demo.components),
    );

  it('goes as deep and is as thick as the size taken', () => {
    expect(said('tray-trial', 'drill', 71, 'tray')).toBe('Keel drill to its stop: 35 mm deep, 13 mm thick');
    expect(said('keel-tool', 'punch', 71, 'tool')).toBe('Punch to its stop: 35 mm deep, wings 36 mm across');
    expect(said('kneecap-drill', 'pegs', 32, 'button')).toBe('Peg bit to its stop: 6 mm deep, 5 mm thick');
  });

  it('is only said to go to its stop where the kit does not know more', () => {
    expect(said('tray-trial', 'drill', 99, 'tray')).toBe('Keel drill to its stop');
  });
});
