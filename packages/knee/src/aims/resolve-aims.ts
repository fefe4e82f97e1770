import { type RangeDefault, workingDefault } from '../defaults/clinical-default.ts';
import { arithmeticDeviation } from './alignment.ts';
import type { Fence, Philosophy, Rule } from './philosophy.ts';

/** The leg as it was born, degrees; a wear-corrected film, a scan, or the other leg. */
export interface NativeAngles {
  readonly LDFA: number;
  readonly MPTA: number;
  readonly slope: number;
}

/** One target: a value, or bounds when gaps will decide. Degrees. */
export type Target =
  | { readonly kind: 'value'; readonly deg: number }
  | { readonly kind: 'needsGaps'; readonly low: number; readonly high: number };

export interface BoundFence {
  readonly fence: Fence;
  /** Value before and after the fence, degrees. */
  readonly from: number;
  readonly to: number;
}

export interface ResolvedAims {
  readonly LDFA: Target;
  readonly MPTA: Target;
  readonly slope: Target;
  readonly rotation: Target;
  /** Limb deviation with parallel components, negative varus; absent when gaps decide. */
  readonly limbDeg: number | undefined;
  readonly bound: readonly BoundFence[];
  /** In words: which fences cannot be kept together; empty when all hold. */
  readonly conflict: readonly string[];
}

const unbounded: Fence = { on: 'LDFA', low: -Infinity, high: Infinity, citation: '' };

const clamp = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));

/** Slack allowed when a fence is judged kept, degrees: below any mark. */
const slack = 1e-9;

const onLimb = (fence: Fence): string =>
  `limb ${Math.abs(fence.low)} ${fence.low < 0 ? 'varus' : 'valgus'} to ${Math.abs(fence.high)} ${fence.high < 0 ? 'varus' : 'valgus'}`;

export const fenceText = (fence: Fence): string =>
  `${fence.on === 'limb' ? onLimb(fence) : `${fence.on} ${fence.low} to ${fence.high}`} (${fence.says === undefined ? '' : `${fence.says}; `}${fence.citation})`;

/**
 * The targets that a philosophy gives this leg. Each bone first keeps its own fence; then, when the limb's fence binds, the
 * bone that yields moves until it holds; if it then breaks its own fence there is no solution, and both are named.
 */
export function resolveAims(philosophy: Philosophy, native: NativeAngles): ResolvedAims {
  const bound: BoundFence[] = [];
  const conflict: string[] = [];
  const fenceOn = (on: Fence['on']): Fence => philosophy.fences.find((f) => f.on === on) ?? { ...unbounded, on };
  const limbFence = fenceOn('limb');

  const start = (on: 'LDFA' | 'MPTA' | 'slope', rule: Rule): number | undefined => {
    if (rule.kind === 'gaps') return undefined;
    const wanted = rule.kind === 'fixed' ? rule.deg : native[on];
    const fence = fenceOn(on);
    const kept = clamp(wanted, fence.low, fence.high);
    if (kept !== wanted) bound.push({ fence, from: wanted, to: kept });
    return kept;
  };
  let ldfa = start('LDFA', philosophy.LDFA);
  let mpta = start('MPTA', philosophy.MPTA);
  const slope = start('slope', philosophy.slope);

  if (ldfa !== undefined && mpta !== undefined) {
    const limb = arithmeticDeviation(mpta, ldfa);
    const held = clamp(limb, limbFence.low, limbFence.high);
    if (held !== limb && philosophy.yields !== 'none') {
      bound.push({ fence: limbFence, from: limb, to: held });
      const on = philosophy.yields === 'tibia' ? 'MPTA' : 'LDFA';
      const moved = philosophy.yields === 'tibia' ? ldfa + held : mpta - held;
      const own = fenceOn(on);
      if (moved < own.low - slack || moved > own.high + slack) {
        conflict.push(
          `no solution inside limits: ${fenceText(limbFence)} needs ${on} ${moved.toFixed(1)}, outside ${fenceText(own)}`,
        );
      }
      const kept = clamp(moved, own.low, own.high);
      if (philosophy.yields === 'tibia') mpta = kept;
      else ldfa = kept;
    }
  }
  const target = (on: 'LDFA' | 'MPTA' | 'slope', v: number | undefined): Target => {
    if (v !== undefined) return { kind: 'value', deg: v };
    const own = fenceOn(on);
    // What gaps may still choose keeps the limb inside its fence, given the other bone.
    const fromLimb =
      on === 'LDFA' && mpta !== undefined
        ? [mpta - limbFence.high, mpta - limbFence.low]
        : on === 'MPTA' && ldfa !== undefined
          ? [ldfa + limbFence.low, ldfa + limbFence.high]
          : [-Infinity, Infinity];
    return { kind: 'needsGaps', low: Math.max(own.low, fromLimb[0]!), high: Math.min(own.high, fromLimb[1]!) };
  };
  const rotation: Target =
    philosophy.rotation.kind === 'fixed'
      ? { kind: 'value', deg: philosophy.rotation.deg }
      : { kind: 'needsGaps', low: gapRotation.range[0], high: gapRotation.range[1] };
  return {
    LDFA: target('LDFA', ldfa),
    MPTA: target('MPTA', mpta),
    slope: target('slope', slope),
    rotation,
    limbDeg: ldfa !== undefined && mpta !== undefined ? arithmeticDeviation(mpta, ldfa) : undefined,
    bound,
    conflict,
  };
}

/** Turns that gaps may ask for. */
export const gapRotation: RangeDefault = {
  name: 'Wanted values: turn from gaps',
  range: [-1, 7],
  unit: 'deg',
  usedFor: 'bounds of a femoral turn that waits for gaps, external',
  source: workingDefault,
};

/** Why a wanted value breaks a fence of the philosophy, or `undefined` if it keeps all. */
export function brokenFence(philosophy: Philosophy, on: Fence['on'], deg: number): Fence | undefined {
  return philosophy.fences.find((f) => f.on === on && (deg < f.low - slack || deg > f.high + slack));
}
