import { doubt, type Finding, info } from '@kerfline/geometry';
import type { Wanted } from '../aims/aims-of-leg.ts';
import type { Philosophy } from '../aims/philosophy.ts';
import { brokenFence, fenceText } from '../aims/resolve-aims.ts';
import type { CutPlane } from '../cuts/cut-plane.ts';
import { flangeClearance } from '../cuts/flange.ts';
import { fusedRotation } from '../cuts/fused-rotation.ts';
import type { Leg } from '../leg/leg.ts';
import { quantity, quantityDefinition } from '../leg/quantities.ts';
import { outside, type Q } from '../quantity.ts';
import { sizeSlide } from './guide.ts';
import { outputsOf } from './outputs.ts';
import type { Settings } from './setting.ts';
import type { GuideProblem } from './solve.ts';
import { walk } from './walker.ts';

/** A ruler whose marks mean another angle on this leg than they say, and what counting them would do. */
export function markFindings(problem: GuideProblem, exact: Settings, span: number): readonly Finding[] {
  return problem.guide.links.flatMap((link): readonly Finding[] => {
    if (link.kind !== 'slide' || !link.marks?.trueFor) return [];
    const worth = (Math.atan(link.marks.everyMm / span) * 180) / Math.PI;
    const target = problem.targets.find((t) => t.output === 'tibiaVarus');
    const words =
      `A mark of ${link.says} says ${link.marks.says} for ${link.marks.trueFor.spanMm} mm; on this leg (${span.toFixed(0)} mm) it is ` +
      `${worth.toFixed(3)} deg`;
    if (!target || link.toward !== 'medial') return [info('marks-not-true', `${words}.`)];
    // Counting the wanted angle in marks from the ruler's zero.
    const marks = Math.round(outside(target.value, 'deg'));
    const counted = outputsOf(
      walk(
        problem.guide,
        problem.leg,
        { ...exact, [link.id]: { ...exact[link.id], value: link.zero - marks * link.marks.everyMm } },
        problem.components,
        problem.made,
      ),
      problem.leg,
    );
    const varus = outside(counted.tibiaVarus!, 'deg');
    const off = Math.abs(varus - outside(target.value, 'deg'));
    const trap =
      marks === 0
        ? '.'
        : `: counting ${Math.abs(marks)} ${Math.abs(marks) === 1 ? 'mark' : 'marks'} would cut ${Math.abs(varus).toFixed(2)} ${varus >= 0 ? 'varus' : 'valgus'}.`;
    return [(off > 0.5 && marks !== 0 ? doubt : info)('marks-not-true', words + trap)];
  });
}

/** Front cut against the cortex at the flange tip of the chosen size, and of the sizes beside it. */
export function notchFindings(
  problem: GuideProblem,
  settings: Settings,
  distal: CutPlane | undefined,
): readonly Finding[] {
  const slide = sizeSlide(problem.guide);
  if (!slide || !distal) return [];
  const at = (size: number): number | undefined => {
    const front = walk(
      problem.guide,
      problem.leg,
      { ...settings, [slide.id]: { ...settings[slide.id]!, value: size } },
      problem.components,
      problem.made,
    ).cuts.find((c) => c.cut === 'anteriorFemur');
    const component = problem.components.femur.find((f) => f.size === size);
    return front && component ? flangeClearance(problem.leg, front, distal, component) : undefined;
  };
  const chosen = settings[slide.id]!.value;
  const here = at(chosen);
  if (here === undefined) return [];
  const all = problem.components.femur.map((f) => `${f.size}: ${at(f.size)!.toFixed(1)}`).join(', ');
  const text = `Front cut at the flange tip of size ${chosen} stands ${Math.abs(here).toFixed(1)} mm ${here < 0 ? 'inside' : 'in front of'} the cortex (by size, mm: ${all}).`;
  return [here < 0 ? doubt('notch', `${text} Flexing 1 deg at 38 mm gains 0.66 mm.`) : info('flange', text)];
}

/** A limb that the wishes of a hand take outside its fence; the philosophy's own conflicts are said elsewhere. */
export function limbFindings(philosophy: Philosophy, limb: Q, wanted: Wanted): readonly Finding[] {
  if (limb.value === null || (wanted.femurValgus === undefined && wanted.tibiaVarus === undefined)) return [];
  const fence = brokenFence(philosophy, 'limb', -limb.value);
  return fence
    ? [
        doubt(
          'limb-outside-fence',
          `With what is wanted by hand the limb comes to ${Math.abs(limb.value).toFixed(1)} ${limb.value >= 0 ? 'varus' : 'valgus'}, outside ${fenceText(fence)}.`,
        ),
      ]
    : [];
}

/** References of femoral turn that this leg has, fused by their precision. */
export function rotationFinding(leg: Leg): readonly Finding[] {
  const readings = [
    { reference: 'rear condyles and 3', deg: 3, sdDeg: 1.9 },
    ...(['condylarTwist', 'trochlearTwist'] as const).flatMap((name) => {
      const q = quantity(leg, quantityDefinition(name)!);
      const ownSd = name === 'condylarTwist' ? 2.5 : 2.3;
      return q.value === null || leg.sources[name]?.from === 'population' || q.sd === null
        ? []
        : [{ reference: name, deg: q.value, sdDeg: Math.hypot(ownSd, q.sd) }];
    }),
  ];
  if (readings.length < 2) return [];
  const fused = fusedRotation(readings);
  const word = (deg: number): string => `${Math.abs(deg).toFixed(1)} ${deg >= 0 ? 'external' : 'internal'}`;
  return [
    info(
      'rotation-references',
      `Turn against the rear condyles by ${readings.map((r) => `${r.reference} ${word(r.deg)} +/- ${r.sdDeg.toFixed(1)}`).join(', ')}: ` +
        `together ${word(fused.deg)} +/- ${fused.sdDeg.toFixed(1)}.`,
    ),
  ];
}
