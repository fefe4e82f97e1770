import { midpoint, type Radians, rad, subtract, type Vec3 } from '@kerfline/geometry';
import { has, meanOf, propagate, sdOf } from '@kerfline/uncertainty';
import { type LegView, legViewer, viewInputs } from '../guides/leg-view.ts';
import type { Leg } from '../leg/leg.ts';
import { fitDefaults } from './fit-defaults.ts';

/**
 * Ways to find the turn of a tray from landmarks of the tibia. By the first two its front points from the middle of the two
 * plateau contacts at the tubercle: at the border between its medial and middle third, or at its medial border. By the last it
 * lies square to the line through the contacts.
 */
export const turnRules = ['tubercleMedialThird', 'tubercleMedialBorder', 'plateauContacts'] as const;
export type TurnRule = (typeof turnRules)[number];

/** A tray's turn by one rule, external to the clinical A axis of the tibia. */
export interface RuleTurn {
  readonly rule: TurnRule;
  readonly turn: Radians;
  /** From the spread of the landmarks alone, not of the rule. */
  readonly sd: Radians;
}

export interface TrayTurns {
  readonly found: readonly RuleTurn[];
  /** Rules that this leg cannot follow, each with the reason. */
  readonly absent: readonly { readonly rule: TurnRule; readonly why: string }[];
  /** How the rules found differ; undefined for fewer than two. */
  readonly between: BetweenRules | undefined;
}

export interface BetweenRules {
  readonly mean: Radians;
  /** Most external less most internal. */
  readonly range: Radians;
  /** Of one rule about the mean of all, by their number less one. */
  readonly sd: Radians;
  /** Mean of the differences of all pairs; what `fitDefaults.turnRulesApart` is compared with. */
  readonly apart: Radians;
}

const sitesOf: Readonly<Record<TurnRule, readonly string[]>> = {
  tubercleMedialThird: ['plateauMedial', 'plateauLateral', 'tubercle'],
  tubercleMedialBorder: ['plateauMedial', 'plateauLateral', 'tubercle'],
  plateauContacts: ['plateauMedial', 'plateauLateral'],
};

/** @numerical The border between the medial and the middle third lies half a third from the middle. */
const halfThird = 1 / 6;

/** External turn of a tray whose front points along `d`, seen along P. */
const turnOfFront = (d: Vec3): number => Math.atan2(d[0], d[1]);
/** External turn of a tray whose lateral end points along `d`: it then lies toward the back. */
const turnOfLateralEnd = (d: Vec3): number => Math.atan2(-d[1], d[0]);

/** By a rule on one draw of the tibia, in its clinical frame. */
function turnBy(rule: TurnRule, view: LegView, tubercleWidthMm: number): number {
  const [medial, lateral] = [view.site('plateauMedial'), view.site('plateauLateral')];
  const toTubercle = (medialOfProminenceMm: number): number => {
    const d = subtract(view.site('tubercle'), midpoint(medial, lateral));
    return turnOfFront([d[0] - medialOfProminenceMm, d[1], d[2]]);
  };
  switch (rule) {
    case 'tubercleMedialThird':
      return toTubercle(tubercleWidthMm * halfThird);
    case 'tubercleMedialBorder':
      return toTubercle(tubercleWidthMm / 2);
    case 'plateauContacts':
      return turnOfLateralEnd(subtract(lateral, medial));
  }
}

/**
 * The turn of a tray by every rule that this leg has the landmarks for, and how far the rules disagree.
 *
 * @param tubercleWidthMm where the tendon ends on it; its prominence is taken for its middle
 */
export function trayTurns(leg: Leg, tubercleWidthMm: number = fitDefaults.tubercleWidth.value): TrayTurns {
  const lackOf = (rule: TurnRule): string | undefined => sitesOf[rule].find((site) => !has(leg.belief, site));
  const rules = turnRules.filter((rule) => lackOf(rule) === undefined);
  const absent = turnRules.flatMap((rule) => {
    const lack = lackOf(rule);
    return lack === undefined ? [] : [{ rule, why: leg.unknown[lack] ?? `${lack} is not known` }];
  });
  const viewOf = legViewer(leg, 'tibia');
  const turns = propagate(leg.belief, viewInputs(leg, 'tibia'), rules, (x) => {
    const view = viewOf(x);
    return rules.map((rule) => turnBy(rule, view, tubercleWidthMm));
  });
  const found = rules.map((rule) => ({ rule, turn: rad(meanOf(turns, rule)), sd: rad(sdOf(turns, rule)) }));
  return { found, absent, between: betweenRules(found.map(({ turn }) => turn)) };
}

function betweenRules(turns: readonly number[]): BetweenRules | undefined {
  if (turns.length < 2) return undefined;
  const mean = turns.reduce((sum, turn) => sum + turn, 0) / turns.length;
  const squares = turns.reduce((sum, turn) => sum + (turn - mean) ** 2, 0);
  const pairs = turns.flatMap((one, i) => turns.slice(i + 1).map((other) => Math.abs(one - other)));
  return {
    mean: rad(mean),
    range: rad(Math.max(...turns) - Math.min(...turns)),
    sd: rad(Math.sqrt(squares / (turns.length - 1))),
    apart: rad(pairs.reduce((sum, difference) => sum + difference, 0) / pairs.length),
  };
}
