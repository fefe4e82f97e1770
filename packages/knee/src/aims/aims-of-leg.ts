import { buttonFor, kneecapCut } from '../cuts/kneecap.ts';
import { type Kit, thinnestTibia } from '../kits/kit.ts';
import type { Leg } from '../leg/leg.ts';
import { quantity, quantityDefinition } from '../leg/quantities.ts';
import type { Q, Unit } from '../quantity.ts';
import type { Philosophy } from './philosophy.ts';
import { type ResolvedAims, resolveAims, type Target } from './resolve-aims.ts';

/** Aims that may be wanted by value; degrees (positive as named) or mm. */
export const wantedNames = [
  'femurValgus',
  'tibiaVarus',
  'tibiaSlope',
  'femurRotation',
  'femurCutDepth',
  'tibiaCutDepth',
] as const;
export type WantedName = (typeof wantedNames)[number];
export type Wanted = Readonly<Partial<Record<WantedName, number>>>;

/** Aims of a leg by name, as they are shown. */
export interface LegAims {
  readonly aims: Readonly<Record<string, Q>>;
  readonly resolved: ResolvedAims;
}

/** A wanted value: exact, unless it is the leg's own. */
const wantedQ = (value: number, unit: Unit, positive: Q['positive'], method: string, sd = 0): Q => ({
  value,
  unit,
  ...(positive ? { positive } : {}),
  sd,
  method,
});

function aimQ(
  target: Target,
  unit: Unit,
  positive: Q['positive'],
  method: string,
  sd: number,
  of: (deg: number) => number,
): Q {
  if (target.kind === 'value') return wantedQ(of(target.deg), unit, positive, method, sd);
  const [a, b] = [of(target.low), of(target.high)].sort((x, y) => x - y);
  return {
    value: null,
    unit,
    ...(positive ? { positive } : {}),
    sd: null,
    method,
    unknown: `needs gaps; between ${bound(a!)} and ${bound(b!)} ${unit}`,
  };
}

const bound = (v: number): string => (Number.isFinite(v) ? v.toFixed(1) : 'any');

/** Native angles of a leg, degrees, clinical, with their spreads. */
export function nativeAngles(leg: Leg): { readonly LDFA: Q; readonly MPTA: Q; readonly slope: Q } {
  const of = (name: string): Q => quantity(leg, quantityDefinition(name)!);
  return { LDFA: of('LDFA'), MPTA: of('clinicalMPTA'), slope: of('slope') };
}

/** Every leg knows its native angles, measured or with a doubt; a leg without them is broken code and throws. */
function known(q: Q): number {
  if (q.value === null) throw new Error(`a native angle is not known: ${q.unknown}`);
  return q.value;
}

/** @numerical Half of the last digit that is shown, mm: less is said as none. */
const halfDigit = 0.05;

/** What a philosophy wants of this leg with this kit, with values wanted by hand in place of its own. */
export function aimsOfLeg(leg: Leg, kit: Kit, philosophy: Philosophy, wanted: Wanted = {}): LegAims {
  const native = nativeAngles(leg);
  const resolved = resolveAims(philosophy, {
    LDFA: known(native.LDFA),
    MPTA: known(native.MPTA),
    slope: known(native.slope),
  });
  const from = (on: 'LDFA' | 'MPTA' | 'slope', target: Target): { readonly method: string; readonly sd: number } => {
    const isNative = philosophy[on].kind === 'native' && target.kind === 'value' && target.deg === native[on].value;
    return {
      method: isNative ? `${philosophy.says}: native` : `${philosophy.says}: as prescribed`,
      sd: isNative ? (native[on].sd ?? 0) : 0,
    };
  };
  const l = from('LDFA', resolved.LDFA);
  const m = from('MPTA', resolved.MPTA);
  const s = from('slope', resolved.slope);
  const depthF = Math.min(...kit.components.femur.map((f) => f.distalMm));
  const depthT = thinnestTibia(kit.components);
  const same = (deg: number): number => deg;
  const made: Record<string, Q> = {
    LDFA: aimQ(resolved.LDFA, 'deg', undefined, l.method, l.sd, same),
    MPTA: aimQ(resolved.MPTA, 'deg', undefined, m.method, m.sd, same),
    femurValgus: aimQ(resolved.LDFA, 'deg', 'valgus', l.method, l.sd, (deg) => 90 - deg),
    tibiaVarus: aimQ(resolved.MPTA, 'deg', 'varus', m.method, m.sd, (deg) => 90 - deg),
    tibiaSlope: aimQ(resolved.slope, 'deg', 'posteriorSlope', s.method, s.sd, same),
    femurRotation: aimQ(
      resolved.rotation,
      'deg',
      'external',
      `${philosophy.says}: against the rear condyle line`,
      0,
      same,
    ),
    femurCutDepth: wantedQ(
      depthF,
      'mm',
      undefined,
      'thickness of the femoral component, from the farther condyle, intact',
    ),
    tibiaCutDepth: wantedQ(depthT, 'mm', undefined, 'thinnest tray and insert, from the higher side, intact'),
  };
  for (const [name, value] of Object.entries(wanted)) {
    const q = made[name]!;
    made[name] = wantedQ(value, q.unit, q.positive, 'wanted by hand');
    if (name === 'femurValgus') made.LDFA = wantedQ(90 - value, 'deg', undefined, 'wanted by hand');
    if (name === 'tibiaVarus') made.MPTA = wantedQ(90 - value, 'deg', undefined, 'wanted by hand');
  }
  const { femurValgus, tibiaVarus } = made;
  made.limbVarus =
    femurValgus!.value === null || tibiaVarus!.value === null
      ? { value: null, unit: 'deg', positive: 'varus', sd: null, method: 'tibia less femur', unknown: 'needs gaps' }
      : wantedQ(
          tibiaVarus!.value - femurValgus!.value,
          'deg',
          'varus',
          'tibial cut varus less femoral cut valgus',
          Math.hypot(l.sd, m.sd),
        );
  const thickness = quantity(leg, quantityDefinition('patellaThickness')!);
  if (thickness.value !== null) {
    const native = thickness.value;
    const button = buttonFor(kit.components.button, native);
    const cut = kneecapCut(native, button.thicknessMm);
    made.kneecapRemnant = wantedQ(
      cut.remnantMm,
      'mm',
      undefined,
      `bone to keep under a ${button.size} mm button ${button.thicknessMm} mm thick: together ${cut.compositeMm.toFixed(1)} mm, ${cut.changeMm > halfDigit ? `${cut.changeMm.toFixed(1)} mm thicker than it is now` : 'as thick as it is now'}`,
      thickness.sd ?? 0,
    );
  }
  return { aims: made, resolved };
}
