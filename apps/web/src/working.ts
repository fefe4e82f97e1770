import { type Leg, outside, type Q, quantity, quantityDefinition, saidQuantity } from '@kerfline/knee';
import { has, meanVectorOf } from '@kerfline/uncertainty';

/** A line of working: what, and how much. */
export interface WorkingLine {
  readonly what: string;
  readonly value: string;
  readonly total?: boolean;
}

const shown = (q: Q): string => {
  const s = saidQuantity(q);
  return `${s.value} ${s.word}`.trim();
};

const sited = (leg: Leg, name: string): string =>
  meanVectorOf(leg.belief, name)
    .map((v) => Math.abs(v).toFixed(1))
    .join(', ');

/** How a number came about, in at most six lines. */
export function workingOf(leg: Leg, name: string): readonly WorkingLine[] {
  const definition = quantityDefinition(name);
  if (!definition) return [];
  const q = quantity(leg, definition);
  if (q.value === null) return [{ what: q.unknown ?? 'not known', value: '' }];
  const of = (other: string): Q => quantity(leg, quantityDefinition(other)!);
  if (name === 'clinicalHKA') {
    const varus: Q = { ...q, value: 180 - q.value, positive: 'varus' };
    const bone: Q = { ...q, value: of('LDFA').value! - of('clinicalMPTA').value!, positive: 'varus' };
    const opening = of('JLCA');
    return [
      { what: 'tibia joint line, MPTA', value: of('clinicalMPTA').value!.toFixed(1) },
      { what: 'less femur joint line, LDFA', value: `− ${of('LDFA').value!.toFixed(1)}` },
      { what: 'bone alone', value: shown(bone) },
      { what: 'joint opening, JLCA', value: opening.value === null ? 'not known' : shown(opening) },
      { what: 'limb, between its two axes', value: shown(varus), total: true },
      { what: 'give or take', value: `± ${q.sd!.toFixed(1)}` },
    ];
  }
  if (name === 'clinicalMPTA') {
    const measured = of('MPTA');
    const tilt = outside(Math.atan2(of('ankleOffset').value!, of('tibiaLength').value!), 'deg');
    return [
      { what: 'to the middle of the malleoli', value: measured.value!.toFixed(1) },
      { what: `ankle centre ${of('ankleOffset').value!.toFixed(1)} mm medial of it`, value: `− ${tilt.toFixed(1)}` },
      { what: 'to the ankle centre', value: q.value.toFixed(1), total: true },
      { what: 'give or take', value: `± ${q.sd!.toFixed(1)}` },
    ];
  }
  // Frames come first among the inputs; what the quantity looks at comes last.
  const looked = definition.inputs
    .slice(-2)
    .filter((input) => has(leg.belief, input) && leg.belief.slots.find((s) => s.name === input)?.size === 3);
  return [
    { what: q.method, value: '' },
    ...looked.map((input) => ({ what: `${input}: L, A, P of it, mm`, value: sited(leg, input) })),
    { what: definition.label, value: shown(q), total: true },
    {
      what: q.definitionSd === undefined ? 'give or take' : 'give or take; between definitions',
      value: `± ${q.sd!.toFixed(1)}${q.definitionSd === undefined ? '' : `; ${q.definitionSd.toFixed(1)}`}`,
    },
  ];
}
