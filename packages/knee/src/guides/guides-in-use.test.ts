import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { philosophy } from '../aims/philosophy.ts';
import { proveLeg } from '../cuts/proof.ts';
import { guideOf, kitFrom, withGuide } from '../kits/kit.fixture.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import type { Guide } from './guide.ts';
import { checkUse, guidesInUse, standsOn } from './guides-in-use.ts';
import { calledOf, planLeg } from './plan.ts';

const read = (name: string) =>
  kitFrom(readFileSync(new URL(`../../../../kits/${name}/kit.json`, import.meta.url), 'utf8'));
const [demo, second] = [read('demo'), read('second')];
const ids = (guides: readonly Guide[]): readonly string[] => guides.map((g) => g.id);
const leg = typedLeg(
  'left',
  'LDFA=88deg',
  'MPTA=87deg',
  'slope=6deg',
  'tibialCanalVarus=1deg',
  'tibialCanalSlope=1deg',
);

describe('of several guides for the same work', () => {
  it('the first is used unless another is asked for, and the last asked for counts', () => {
    const used = (...asked: readonly string[]) => ids(guidesInUse(demo, 'left', asked).used);
    expect(used()).toContain('shin-mast');
    expect(used()).not.toContain('tibia-core');
    expect(used('tibia-core')).toContain('tibia-core');
    expect(used('tibia-core')).not.toContain('shin-mast');
    expect(used('tibia-core', 'shin-mast')).toContain('shin-mast');
  });

  it('the one that is left out is named with the one that does its work', () => {
    expect(guidesInUse(demo, 'left', []).leftOut).toEqual([{ guide: 'tibia-core', why: 'another', by: 'shin-mast' }]);
    expect(guidesInUse(demo, 'left', ['tibia-core']).leftOut).toEqual([
      { guide: 'shin-mast', why: 'another', by: 'tibia-core' },
    ]);
  });

  it('only those can be asked for, and none that is made for the other side', () => {
    expect(checkUse(demo, 'tibia-core', 'left')).toBeUndefined();
    expect(checkUse(demo, 'canal-core', 'left')).toMatchObject({ kind: 'no-choice' });
    expect(checkUse(demo, 'nothing', 'left')?.message).toContain('shin-mast, tibia-core');
    const oneSided = withGuide(demo, { ...guideOf(demo, 'tibia-core'), side: 'right' });
    expect(checkUse(oneSided, 'tibia-core', 'left')).toMatchObject({ kind: 'wrong-side' });
    expect(checkUse(oneSided, 'tibia-core', 'right')).toBeUndefined();
  });

  it('the plan and the proof take the one asked for: by the canal the cut is the canal and its collars', () => {
    const plan = planLeg(leg, demo, philosophy('kinematic'), { use: ['tibia-core'] });
    expect(plan.settings.some((s) => s.guide === 'shin-mast')).toBe(false);
    // By hand: 3 varus on a canal of 1 is a collar of 2; 6 of slope on a canal of 1 is a head of 5.
    expect(plan.settings.find((s) => s.guide === 'tibia-core' && s.link === 'collar')).toMatchObject({ call: 2 });
    expect(plan.settings.find((s) => s.guide === 'tibia-core' && s.link === 'head')).toMatchObject({ call: 5 });
    const proof = proveLeg(leg, demo, calledOf(plan));
    expect(proof.cuts.tibia!.planes.tibiaVarus!.value).toBeCloseTo(3, 1);
  });

  it('the one asked for waits on a leg whose canal nobody knows', () => {
    const plan = planLeg(typedLeg('left', 'LDFA=88deg'), demo, philosophy('kinematic'), { use: ['tibia-core'] });
    expect(plan.waiting).toEqual(expect.arrayContaining(['tibia-core', 'tray-trial', 'keel-tool']));
    expect(plan.findings.find((f) => f.code === 'leg-lacks')!.message).toContain('state tibialCanalVarus');
  });
});

describe('a part made for one side', () => {
  it('is used on that side alone, and its twin on the other', () => {
    for (const [side, own, other] of [
      ['left', 'punch-left', 'punch-right'],
      ['right', 'punch-right', 'punch-left'],
    ] as const) {
      const { used, leftOut, faults } = guidesInUse(second, side, []);
      expect(ids(used)).toContain(own);
      expect(ids(used)).not.toContain(other);
      expect(leftOut).toEqual([{ guide: other, why: 'otherSide' }]);
      expect(faults).toEqual([]);
    }
  });

  it('without a twin is a fault on the other side, and nothing is planned with it', () => {
    const kit = withGuide(demo, { ...guideOf(demo, 'canal-core'), side: 'right' });
    const plan = planLeg(leg, kit, philosophy('mechanical'));
    expect(plan.findings).toContainEqual({
      code: 'wrong-side-part',
      severity: 'error',
      message: expect.stringContaining('Canal core is made for the RIGHT knee, this is a LEFT knee'),
    });
    expect(plan.settings.some((s) => s.guide === 'canal-core')).toBe(false);
    expect(plan.waiting).toContain('heel-frame');
  });
});

describe('a tool that makes holes, made for one side', () => {
  it('without a twin is a fault on the other side, though other guides make no cuts either', () => {
    const kit = { ...second, guides: second.guides.filter((g) => g.id !== 'punch-right') };
    expect(guidesInUse(kit, 'left', []).faults).toEqual([]);
    expect(guidesInUse(kit, 'right', []).faults).toMatchObject([{ code: 'wrong-side-part', severity: 'error' }]);
  });
});

describe('a block that has a seat for one side only', () => {
  it('is not used on the other', () => {
    const mast = guideOf(demo, 'shin-mast');
    const oneSeat: Guide = {
      ...mast,
      links: mast.links.map((l) =>
        l.kind === 'seat' ? { ...l, seats: l.seats.filter((s) => s.forSide === 'left') } : l,
      ),
    };
    const kit = withGuide({ ...demo, guides: demo.guides.filter((g) => g.id !== 'tibia-core') }, oneSeat);
    expect(ids(guidesInUse(kit, 'left', []).used)).toContain('shin-mast');
    expect(ids(guidesInUse(kit, 'right', []).used)).not.toContain('shin-mast');
    expect(guidesInUse(kit, 'right', []).faults).toMatchObject([{ code: 'wrong-side-part' }]);
  });
});

describe('a guide on the pins of another', () => {
  it('stands only where that one was used and the cut it lies on is made', () => {
    const [core, frame, block] = ['canal-core', 'heel-frame', 'slit-block'].map((id) => guideOf(demo, id)) as [
      Guide,
      Guide,
      Guide,
    ];
    expect(standsOn(block, [core, frame])).toBe(true);
    expect(standsOn(block, [core])).toBe(false);
    expect(standsOn(block, [frame])).toBe(false);
    expect(standsOn(core, [])).toBe(true);
    expect(standsOn(frame, [])).toBe(false);
  });
});
