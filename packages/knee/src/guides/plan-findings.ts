import { doubt, type Finding, fault, info } from '@kerfline/geometry';
import type { Wanted } from '../aims/aims-of-leg.ts';
import type { Philosophy } from '../aims/philosophy.ts';
import { brokenFence, fenceText } from '../aims/resolve-aims.ts';
import { flangeClearance } from '../cuts/flange.ts';
import { fusedRotation } from '../cuts/fused-rotation.ts';
import type { Leg } from '../leg/leg.ts';
import { quantity, quantityDefinition } from '../leg/quantities.ts';
import { outside, type Q } from '../quantity.ts';
import { type CutName, sizeSlide } from './guide.ts';
import { type OutputName, outputsOf, outputWords } from './outputs.ts';
import type { Made } from './placement.ts';
import { planDefaults } from './plan-defaults.ts';
import type { PlannedGuide } from './planned-guide.ts';
import type { Settings } from './setting.ts';
import type { GuideProblem } from './solve.ts';
import { turnReferences, turnReferenceWords } from './turn-references.ts';
import { madeBy, walk } from './walker.ts';

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
    return [(off > planDefaults.marksOff.value && marks !== 0 ? doubt : info)('marks-not-true', words + trap)];
  });
}

/** What a part that is turned by eye does to angles that it should not touch, when it is turned off. */
export function turnFindings(problem: GuideProblem, called: Settings): readonly Finding[] {
  const at = (link: string, by: number): Partial<Record<OutputName, number>> =>
    outputsOf(
      walk(
        problem.guide,
        problem.leg,
        by === 0 ? called : { ...called, [link]: { ...called[link]!, value: called[link]!.value + by } },
        problem.components,
        problem.made,
      ),
      problem.leg,
    );
  return problem.guide.links.flatMap((link): readonly Finding[] => {
    if (link.kind !== 'swing' || link.setBy !== 'sight' || !called[link.id]) return [];
    const byEye = planDefaults.turnedByEye.value;
    const [here, off] = [at(link.id, 0), at(link.id, byEye)];
    const words = problem.targets.flatMap(({ output }): readonly string[] => {
      const { unit, label } = outputWords[output];
      const change = outside(off[output]! - here[output]!, unit);
      return unit === 'deg' && Math.abs(change) >= planDefaults.coupledChange.value
        ? [`${label} by ${Math.abs(change).toFixed(2)} deg`]
        : [];
    });
    return words.length > 0
      ? [info('turn-couples', `${link.says}, ${byEye} deg off by eye, moves the ${words.join(' and the ')}.`)]
      : [];
  });
}

/** How far a saw must reach through the bone for a cut, by the leg's own numbers: across the end of a bone front to back. */
const reachOf: Readonly<Partial<Record<CutName, string>>> = {
  tibia: 'tibiaDepth',
  distalFemur: 'femurDepth',
  kneecap: 'patellaWidth',
};

/** Blades that end inside the bone. */
export function bladeFindings({ guide, leg }: GuideProblem): readonly Finding[] {
  return guide.outputs.flatMap(({ cut, link }): readonly Finding[] => {
    const slit = guide.links.find((l) => l.id === link);
    const reach = reachOf[cut];
    if ((slit?.kind !== 'slit' && slit?.kind !== 'openFace') || !reach || !leg.has(reach)) return [];
    if (slit.bladeLengthMm === undefined) return [];
    const standOff = slit.standOffMm ?? 0;
    const out = slit.bladeLengthMm - standOff;
    const bone = leg.number(reach);
    return out >= bone
      ? []
      : [
          fault(
            'blade-short',
            `${guide.says}: of a blade of ${slit.bladeLengthMm} mm the block takes ${standOff}, so it reaches ${out.toFixed(0)} mm into a bone ${bone.toFixed(0)} mm deep; take a longer blade.`,
          ),
        ];
  });
}

const oneDegree = Math.PI / 180;

/**
 * Front cut against the cortex at the flange tip of the chosen size, and of the sizes beside it.
 *
 * @param planned the guides up to the one that makes the front cut; one of them sets the size
 */
export function notchFindings(planned: readonly PlannedGuide[], made: Made): readonly Finding[] {
  const from = planned.findIndex(({ problem }) => sizeSlide(problem.guide));
  const distal = made.cuts.get('distalFemur');
  if (from < 0 || !distal) return [];
  const chain = planned.slice(from);
  const { problem, called } = chain[0]!;
  const slide = sizeSlide(problem.guide)!;
  const at = (size: number): number | undefined => {
    let so = problem.made;
    for (const { problem: own, called: set } of chain) {
      const sized = own.guide.links.filter(
        (l) => (l.kind === 'slide' && l.sizes) || (l.kind === 'sized' && l.component === 'femur'),
      );
      const withSize = { ...set, ...Object.fromEntries(sized.map((l) => [l.id, { ...set[l.id]!, value: size }])) };
      so = madeBy(own.guide, walk(own.guide, own.leg, withSize, own.components, so), so);
    }
    const front = so.cuts.get('anteriorFemur');
    const component = problem.components.femur.find((f) => f.size === size);
    return front && component ? flangeClearance(problem.leg, front, distal, component) : undefined;
  };
  const chosen = called[slide.id]!.value;
  const here = at(chosen);
  if (here === undefined) return [];
  const all = problem.components.femur.map((f) => `${f.size}: ${at(f.size)!.toFixed(1)}`).join(', ');
  const lever = problem.components.femur.find((f) => f.size === chosen)!.flangeHeightMm;
  const text = `Front cut at the flange tip of size ${chosen} stands ${Math.abs(here).toFixed(1)} mm ${here < 0 ? 'inside' : 'in front of'} the cortex (by size, mm: ${all}).`;
  return [
    here < 0
      ? doubt('notch', `${text} Flexing 1 deg at ${lever} mm gains ${(lever * Math.tan(oneDegree)).toFixed(2)} mm.`)
      : info('flange', text),
  ];
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
  const rear = turnReferences.rearCondyles;
  const readings = [
    { reference: turnReferenceWords.rearCondyles, deg: rear.mean, sdDeg: rear.sd },
    ...(['condylarTwist', 'trochlearTwist'] as const).flatMap((name) => {
      const q = quantity(leg, quantityDefinition(name)!);
      const ownSd = turnReferences[name].value;
      return q.value === null || leg.sources[name]?.from === 'population' || q.sd === null
        ? []
        : [{ reference: turnReferenceWords[name], deg: q.value, sdDeg: Math.hypot(ownSd, q.sd) }];
    }),
  ];
  if (readings.length < 2) return [];
  const fused = fusedRotation(readings);
  const word = (deg: number): string => `${Math.abs(deg).toFixed(1)} ${deg >= 0 ? 'external' : 'internal'}`;
  return [
    info(
      'rotation-references',
      `Femoral turn wanted against the rear condyle line, deg, by each reference: ${readings.map((r) => `${r.reference} ${word(r.deg)} +/- ${r.sdDeg.toFixed(1)}`).join(', ')}: ` +
        `together ${word(fused.deg)} +/- ${fused.sdDeg.toFixed(1)}.`,
    ),
  ];
}
