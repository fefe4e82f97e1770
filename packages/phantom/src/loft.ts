import type { Field } from '@kerfline/geometry';
import { curveThrough, splineCurve, splineTable } from './spline-table.ts';

/** One cross section of a long bone, drawn as the four places it reaches, mm, and how square it is. */
export interface Section {
  /** Along P, mm. */
  readonly level: number;
  readonly medial: number;
  readonly lateral: number;
  readonly posterior: number;
  readonly anterior: number;
  /** 2 is an ellipse; 3 and more tend to a rectangle with rounded corners. */
  readonly squareness: number;
}

/** A raised line along a long bone. */
export interface Ridge {
  /** Where it runs at this level: angle from L toward A about the section's middle, radians. */
  readonly angle: (level: number) => number;
  /** mm above the section without it. */
  readonly height: (level: number) => number;
  /** Standard width in angle, radians. */
  readonly width: number;
}

/** How finely a loft is drawn: every 3 mm along the bone and at 72 directions around it. */
const LEVEL_STEP_MM = 3;
const DIRECTIONS = 72;

export interface Loft {
  /** In rising order of level. */
  readonly sections: readonly Section[];
  /** How far the section at a level is moved along L and A, mm: the bow and the canal axis. */
  readonly shift?: (level: number) => readonly [number, number];
  /** How far the section at a level is turned externally about the bone's axis P, radians. */
  readonly twist?: (level: number) => number;
  readonly ridges?: readonly Ridge[];
}

/**
 * A long bone between cross sections that change smoothly, without ends: above the last section and below the first the
 * end section continues. Made so that it is nearly a distance near the surface of a shaft.
 *
 * Sections and ridges are stated in the bone's L and A before shift and twist.
 */
export function loft({ sections, shift, twist, ridges = [] }: Loft): Field {
  const reach = (of: (s: Section) => number): ((level: number) => number) =>
    curveThrough(sections.map((s) => [s.level, of(s)] as const));
  const medial = reach((s) => s.medial);
  const lateral = reach((s) => s.lateral);
  const posterior = reach((s) => s.posterior);
  const anterior = reach((s) => s.anterior);
  const squareness = reach((s) => s.squareness);
  const from = sections[0]!.level;
  const to = sections[sections.length - 1]!.level;
  const axis = { from, to, steps: Math.ceil((to - from) / LEVEL_STEP_MM) };
  const around = { from: -Math.PI, to: Math.PI, steps: DIRECTIONS, periodic: true };
  const middle = (p: number): readonly [number, number] => {
    const l = (medial(p) + lateral(p)) / 2;
    const a = (posterior(p) + anterior(p)) / 2;
    const turned = twist?.(p) ?? 0;
    const [dl, da] = shift?.(p) ?? [0, 0];
    return [l * Math.cos(turned) + a * Math.sin(turned) + dl, a * Math.cos(turned) - l * Math.sin(turned) + da];
  };
  const middleL = splineCurve(axis, (p) => middle(p)[0]);
  const middleA = splineCurve(axis, (p) => middle(p)[1]);
  const radius = splineTable(axis, around, (p, direction) => {
    const halfL = (lateral(p) - medial(p)) / 2;
    const halfA = (anterior(p) - posterior(p)) / 2;
    const n = squareness(p);
    // External turning carries A toward L, which is against the angle from L toward A.
    const angle = direction + (twist?.(p) ?? 0);
    const oval = ((Math.abs(Math.cos(angle)) / halfL) ** n + (Math.abs(Math.sin(angle)) / halfA) ** n) ** (-1 / n);
    return ridges.reduce((r, ridge) => {
      const off = Math.atan2(Math.sin(angle - ridge.angle(p)), Math.cos(angle - ridge.angle(p))) / ridge.width;
      return r + ridge.height(p) * Math.exp(-0.5 * off * off);
    }, oval);
  });
  return (x, y, z) => {
    const dx = x - middleL(z);
    const dy = y - middleA(z);
    return Math.sqrt(dx * dx + dy * dy) - radius(z, Math.atan2(dy, dx));
  };
}
