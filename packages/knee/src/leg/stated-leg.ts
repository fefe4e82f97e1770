import { doubt, type Finding, info, type Vec3 } from '@kerfline/geometry';
import { belief, type Output, propagate } from '@kerfline/uncertainty';
import { inside } from '../quantity.ts';
import type { Side } from '../side.ts';
import type { Leg, Source } from './leg.ts';
import { ankleOffset, type PopulationValue, populationOrigin, populationSource, typicalLeg } from './population.ts';
import { quantityDefinition } from './quantities.ts';
import { statedSource, withStated } from './stated.ts';
import type { StatedValue } from './stated-value.ts';

/** What the sites of a typed leg are built from, in this order; radians and mm. */
const baseNames = [
  'LDFA',
  'MPTA',
  'shaftMechanical',
  'canalFlexion',
  'slope',
  'condylarTwist',
  'femurLength',
  'tibiaLength',
  'distalSpacing',
  'posteriorSpacing',
  'plateauSpacing',
  'ankleOffset',
] as const;

/** @numerical Places that a typed leg does not know and no result depends on; they only give the sites somewhere to be. mm. */
const placed = {
  distalBelowKnee: 8,
  distalBehindKnee: 5,
  rearBehindKnee: 33,
  rearAboveDistal: 20,
  canalFrontOfKnee: 8,
  sideAboveKnee: 18,
  sideReach: 38,
  plateauBelowKnee: 8,
  rimReach: 18,
  canalLow: 100,
  canalHigh: 200,
} as const;

const siteOutputs: readonly Output[] = [
  ...[
    'hipCentre',
    'femoralKneeCentre',
    'distalMedial',
    'distalLateral',
    'posteriorMedial',
    'posteriorLateral',
    'epicondyleMedial',
    'epicondyleLateral',
    'femoralCanalLow',
    'femoralCanalHigh',
    'tibialKneeCentre',
    'malleolarMidpoint',
    'plateauMedial',
    'plateauLateral',
    'medialRimFront',
    'medialRimRear',
  ].map((name) => ({ name, size: 3 as const })),
  'ankleOffset',
  'tibialLineTurn',
];

/** What a typed leg does not know unless it is stated too. */
const notOnFilms = [
  'headRadius',
  'femurWidth',
  'femurDepth',
  'tibiaWidth',
  'tibiaDepth',
  'cortexDepth',
  'trochlearTwist',
  'tibialCanalVarus',
  'tibialCanalSlope',
  'crestLean',
  'patellaThickness',
  'patellaWidth',
  'HKA',
  'clinicalHKA',
  'JLCA',
];

/** Sites at which every quantity of `baseNames` has exactly its stated value; MPTA is clinical. */
function sitesOf(q: readonly number[]): readonly number[] {
  const [ldfa, mpta, shaft, flexion, slope, twist, femurLength, tibiaLength, distal, rear, plateau, offset] =
    q as unknown as readonly [
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
      number,
    ];
  const distalTilt = Math.tan(Math.PI / 2 - ldfa);
  const distalAt = (sign: 1 | -1): Vec3 => [
    (sign * distal) / 2,
    -placed.distalBehindKnee,
    -placed.distalBelowKnee + (sign * distal * distalTilt) / 2,
  ];
  const rearAt = (sign: 1 | -1): Vec3 => [
    (sign * rear) / 2,
    -placed.rearBehindKnee,
    placed.rearAboveDistal - placed.distalBelowKnee,
  ];
  const sideAt = (sign: 1 | -1): Vec3 => [
    sign * placed.sideReach,
    -sign * placed.sideReach * Math.tan(twist),
    placed.sideAboveKnee,
  ];
  const canalAt = (p: number): Vec3 => [Math.tan(shaft) * p, placed.canalFrontOfKnee + Math.tan(flexion) * p, p];
  // The stated MPTA is against the axis through the ankle centre; the frame's axis goes through the middle of the malleoli.
  const plateauTilt = Math.tan(Math.PI / 2 - mpta - Math.atan2(offset, tibiaLength));
  const plateauAt = (sign: 1 | -1): Vec3 => [
    (sign * plateau) / 2,
    0,
    -placed.plateauBelowKnee + (sign * plateau * plateauTilt) / 2,
  ];
  const medial = plateauAt(-1);
  const rimAt = (sign: 1 | -1): Vec3 => [
    medial[0],
    sign * placed.rimReach,
    medial[2] + sign * placed.rimReach * Math.tan(slope),
  ];
  return [
    ...[0, 0, femurLength],
    ...[0, 0, 0],
    ...distalAt(-1),
    ...distalAt(1),
    ...rearAt(-1),
    ...rearAt(1),
    ...sideAt(-1),
    ...sideAt(1),
    ...canalAt(placed.canalLow),
    ...canalAt(placed.canalHigh),
    ...[0, 0, 0],
    ...[0, 0, -tibiaLength],
    ...medial,
    ...plateauAt(1),
    ...rimAt(1),
    ...rimAt(-1),
    offset,
    0,
  ];
}

const partOf = (name: string, value: number, sd: number, unit: 'mm' | 'deg') => ({
  name,
  value: inside(value, unit),
  sd: inside(sd, unit),
});

const populationOf = (name: (typeof baseNames)[number]): PopulationValue =>
  name === 'ankleOffset' ? ankleOffset : typicalLeg[name];

/**
 * A leg from values that another reading gave. Sites are laid where every stated quantity has exactly its value; what was
 * not stated and is needed is taken from people in general, flagged; the rest is unknown. MPTA and HKA are clinical.
 *
 * @param stated values already checked by `checkStated`, one for each name
 */
export function legFromStated(side: Side, stated: readonly StatedValue[]): Leg {
  const findings: Finding[] = [];
  const sources: Record<string, Source> = {};
  const find = (name: string): StatedValue | undefined => stated.find((s) => s.name === name);
  // A span that was stated tells the tibia's length too, if nothing else does.
  const span = find('tibiaSpan');
  const length = find('tibiaLength');
  const base = baseNames.map((name) => {
    const typed = find(name) ?? (name === 'tibiaLength' && span ? { ...span, name } : undefined);
    if (typed) {
      sources[name] = statedSource(typed);
      return partOf(name, typed.value, typed.sd, typed.unit);
    }
    const usual = populationOf(name);
    sources[name] = populationSource(usual);
    findings.push(
      doubt(
        'population-value',
        `${name} (${quantityDefinition(name)!.label}) was not stated: ${usual.mean} +/- ${usual.sd} ${usual.unit} of people in general is used (${populationOrigin(usual)}).`,
      ),
    );
    return partOf(name, usual.mean, usual.sd, usual.unit);
  });
  if (span && !length) {
    findings.push(
      info('length-from-span', `The tibia's length was not stated; the span of ${span.value} mm is taken for it.`),
    );
  }
  const start = belief(base);
  const sites = propagate(start, baseNames, siteOutputs, sitesOf);
  sources.clinicalMPTA = sources.MPTA!;
  const leg: Leg = {
    side,
    belief: sites,
    sources,
    unknown: Object.fromEntries(notOnFilms.map((name) => [name, 'not stated'])),
    contactsOn: 'intactSurface',
    findings,
  };
  return withStated(
    leg,
    stated.filter((s) => !(baseNames as readonly string[]).includes(s.name)),
  );
}
