import { belief, marginal } from '@kerfline/uncertainty';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Leg } from '../leg/leg.ts';
import { typedLeg } from '../leg/stated-leg.fixture.ts';
import { type TurnRule, trayTurns } from './tray-turn.ts';

const deg = (rad: number): number => (rad * 180) / Math.PI;

type Triple = readonly [number, number, number];

interface Shin {
  readonly tubercle?: Triple;
  readonly medial?: Triple;
  readonly lateral?: Triple;
  readonly lineTurn?: number;
  /** Spread of the tubercle along L and of either plateau point along A, mm. */
  readonly tubercleSd?: number;
  readonly plateauSd?: number;
}

/** A tibia that stands upright on its ankle; its frame is that of its numbers unless `lineTurn` turns it. */
function shin({
  tubercle = [8, 40, -35],
  medial = [-21, 0, -8],
  lateral = [21, 0, -8],
  lineTurn = 0,
  tubercleSd = 0,
  plateauSd = 0,
}: Shin = {}): Leg {
  const site = (name: string, value: Triple, [l, a]: readonly [number, number] = [0, 0]) => ({
    name,
    value,
    covariance: [
      [l * l, 0, 0],
      [0, a * a, 0],
      [0, 0, 0],
    ] as const,
  });
  return {
    side: 'right',
    belief: belief([
      site('tibialKneeCentre', [0, 0, 0]),
      site('malleolarMidpoint', [0, 0, -350]),
      site('plateauMedial', medial, [0, plateauSd]),
      site('plateauLateral', lateral, [0, plateauSd]),
      site('tubercle', tubercle, [tubercleSd, 0]),
      { name: 'ankleOffset', value: 0, sd: 0 },
      { name: 'tibialLineTurn', value: lineTurn, sd: 0 },
    ]),
    sources: {},
    unknown: {},
    contactsOn: 'bone',
    findings: [],
  };
}

const turnOf = (leg: Leg, rule: TurnRule, width = 24): number =>
  deg(trayTurns(leg, width).found.find((found) => found.rule === rule)!.turn);

describe('the turn of a tray by landmarks', () => {
  /** Closed form: the tubercle 8 lateral and 40 in front of the middle, 24 wide: aims 4 and -4 to the side over 40. */
  it.each([
    { rule: 'tubercleMedialThird', turn: deg(Math.atan(4 / 40)) },
    { rule: 'tubercleMedialBorder', turn: deg(Math.atan(-4 / 40)) },
    { rule: 'plateauContacts', turn: 0 },
  ] as const)('by $rule is $turn deg external', ({ rule, turn }) => {
    expect(turnOf(shin(), rule)).toBeCloseTo(turn, 9);
  });

  it('by the contacts is external where the lateral one lies farther back', () => {
    expect(turnOf(shin({ lateral: [21, -3, -8], medial: [-21, 0, -8] }), 'plateauContacts')).toBeCloseTo(
      deg(Math.atan(3 / 42)),
      9,
    );
  });

  it('by the tubercle is seen from the middle of the contacts, wherever that lies', () => {
    const leg = shin({ medial: [-16, 5, -8], lateral: [26, 5, -8] });
    // The middle is 5 lateral and 5 in front: the aim is 4 - 5 to the side over 35.
    expect(turnOf(leg, 'tubercleMedialThird')).toBeCloseTo(deg(Math.atan(-1 / 35)), 9);
  });

  it('by the tubercle moves inward with its width, a sixth of it and a half', () => {
    expect(turnOf(shin(), 'tubercleMedialThird', 30)).toBeCloseTo(deg(Math.atan(3 / 40)), 9);
    expect(turnOf(shin(), 'tubercleMedialBorder', 30)).toBeCloseTo(deg(Math.atan(-7 / 40)), 9);
  });

  it('is told from the frame: a frame turned 5 deg internal sees every rule 5 deg more external', () => {
    const internal = (5 * Math.PI) / 180;
    for (const rule of ['tubercleMedialThird', 'tubercleMedialBorder', 'plateauContacts'] as const) {
      // L of the frame is turned toward the front. A width is laid along L, so without one every aim stays where it is.
      const turned = turnOf(shin({ lineTurn: internal }), rule, 0) - turnOf(shin(), rule, 0);
      expect(turned).toBeCloseTo(5, 9);
    }
  });
});

describe('the spread of a turn', () => {
  it('is that of the tubercle across the line of sight', () => {
    // Closed form: the derivative of atan(l / a) by l is a / (l2 + a2).
    const { found } = trayTurns(shin({ tubercleSd: 2 }), 24);
    const sd = (rule: TurnRule): number => found.find((f) => f.rule === rule)!.sd;
    expect(sd('tubercleMedialThird')).toBeCloseTo((2 * 40) / (4 ** 2 + 40 ** 2), 6);
    expect(sd('tubercleMedialBorder')).toBeCloseTo((2 * 40) / (4 ** 2 + 40 ** 2), 6);
    expect(sd('plateauContacts')).toBe(0);
  });

  it('of the contact rule is that of both contacts over their distance', () => {
    const { found } = trayTurns(shin({ plateauSd: 1.5 }), 24);
    expect(found.find((f) => f.rule === 'plateauContacts')!.sd).toBeCloseTo((1.5 * Math.SQRT2) / 42, 6);
  });
});

describe('rules compared', () => {
  it('of 5.71, -5.71 and 0 deg have mean 0, range 11.42, sd 5.71 and lie 7.61 apart', () => {
    // By hand: differences 2 t, t and t of t = atan(0.1) = 5.71 deg; squares 2 t2 over 3 - 1.
    const t = deg(Math.atan(0.1));
    const between = trayTurns(shin(), 24).between!;
    expect(deg(between.mean)).toBeCloseTo(0, 9);
    expect(deg(between.range)).toBeCloseTo(2 * t, 9);
    expect(deg(between.sd)).toBeCloseTo(t, 9);
    expect(deg(between.apart)).toBeCloseTo((4 / 3) * t, 9);
  });

  it('differ by the same however the frame is turned', () => {
    fc.assert(
      fc.property(fc.double({ min: -0.5, max: 0.5, noNaN: true }), (lineTurn) => {
        expect(trayTurns(shin({ lineTurn }), 0).between!.range).toBeCloseTo(trayTurns(shin(), 0).between!.range, 9);
      }),
    );
  });

  it('without a tubercle are one, and the others say why', () => {
    const turns = trayTurns(typedLeg('right', 'LDFA=88deg+-1', 'MPTA=87deg+-1'));
    expect(turns.found.map(({ rule }) => rule)).toEqual(['plateauContacts']);
    expect(turns.absent.map(({ rule }) => rule)).toEqual(['tubercleMedialThird', 'tubercleMedialBorder']);
    for (const { why } of turns.absent) expect(why).toMatch(/tubercle/);
    expect(turns.between).toBeUndefined();
  });

  it('that cannot be followed give the reason that the leg gives', () => {
    const { belief: all, ...rest } = shin();
    const known = [
      'tibialKneeCentre',
      'malleolarMidpoint',
      'plateauMedial',
      'plateauLateral',
      'ankleOffset',
      'tibialLineTurn',
    ];
    const leg: Leg = { ...rest, belief: marginal(all, known), unknown: { tubercle: 'the scan ends above it' } };
    expect(trayTurns(leg).absent.map(({ why }) => why)).toEqual(['the scan ends above it', 'the scan ends above it']);
  });
});
