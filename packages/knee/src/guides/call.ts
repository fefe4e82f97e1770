import { deepening } from './choices.ts';
import type { Guide, Link } from './guide.ts';
import type { Setting, Settings } from './setting.ts';

/** Smallest step a hand can set on a link, in its own unit; `undefined` where every value of the link is a step already. */
export function settableStep(link: Link): number | undefined {
  if (link.kind === 'thread') return link.settable;
  if ((link.kind === 'slide' || link.kind === 'swing') && link.step === null && link.settable !== undefined) {
    return link.kind === 'slide' && link.marks ? link.settable * link.marks.everyMm : link.settable;
  }
  return undefined;
}

/** Halves nearer than this to a tie are a tie. */
const tieSlack = 1e-9;

/** Nearest multiple of a step to a value; a tie goes toward `neutral`. */
export function nearestStep(value: number, step: number, neutral: number): number {
  const steps = (value - neutral) / step;
  const below = Math.floor(steps);
  const above = steps - below;
  const up = above > 0.5 + tieSlack || (Math.abs(above - 0.5) <= tieSlack && steps < 0);
  // Adding 0 turns -0 into 0.
  return neutral + (up ? below + 1 : below) * step + 0;
}

/** The step at or before a value on the side that leaves more bone. */
function shallowerStep(value: number, step: number, neutral: number, deepens: 1 | -1): number {
  const steps = (value - neutral) / step;
  const whole = deepens === 1 ? Math.floor(steps + tieSlack) : Math.ceil(steps - tieSlack);
  return neutral + whole * step + 0;
}

/** A value brought back, by whole steps, onto the scale that it would leave. */
function onScale(value: number, step: number, [low, high]: readonly [number, number]): number {
  if (value < low) return value + Math.ceil((low - value) / step - tieSlack) * step;
  if (value > high) return value - Math.ceil((value - high) / step - tieSlack) * step;
  return value;
}

/**
 * What is called for one link: the nearest setting that a hand can make, on the side that the link's rounding says
 * (shallower and thicker both leave more bone).
 */
export function calledSetting(guide: Guide, link: Link, exact: Setting): Setting {
  const step = settableStep(link);
  if (step === undefined || !('range' in link)) return exact;
  const neutral = link.kind === 'thread' ? 0 : link.zero;
  const deepens = link.kind !== 'swing' && (link.rounds ?? 'nearest') !== 'nearest' ? deepening(guide, link.toward) : 0;
  const value =
    deepens === 0 ? nearestStep(exact.value, step, neutral) : shallowerStep(exact.value, step, neutral, deepens);
  return { ...exact, value: onScale(value, step, link.range) };
}

/** What is called for a whole guide. */
export const calledSettings = (guide: Guide, exact: Settings): Settings =>
  Object.fromEntries(
    Object.entries(exact).map(([id, setting]) => {
      const link = guide.links.find((l) => l.id === id);
      return [id, link ? calledSetting(guide, link, setting) : setting];
    }),
  );
