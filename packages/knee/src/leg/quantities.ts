import { length, subtract, type Vec3 } from '@kerfline/geometry';
import { has, type Model, propagate, sdOf } from '@kerfline/uncertainty';
import { type ClinicalDefault, workingDefault } from '../defaults/clinical-default.ts';
import { outside, type Positive, type Q, type Unit } from '../quantity.ts';
import { clinicalAnkle, femurAxes, seenAlong, tibiaAxes } from './axes.ts';
import type { Leg } from './leg.ts';

/** A quantity of the leg as a function of sites and single numbers of the belief; see docs/methods.md for each. */
export interface QuantityDefinition {
  readonly name: string;
  /** In words for people. */
  readonly label: string;
  readonly unit: Unit;
  readonly positive?: Positive;
  readonly inputs: readonly string[];
  readonly model: Model;
  /** Spread between sound ways of defining it (docs/methods.md, "Spread between definitions"); mm or degrees. */
  readonly definitionSd: number;
  readonly method: string;
}

const vec = (x: readonly number[], at: number): Vec3 => [x[at]!, x[at + 1]!, x[at + 2]!];

const femurFrame = ['hipCentre', 'femoralKneeCentre', 'posteriorMedial', 'posteriorLateral'] as const;
const tibiaFrame = ['tibialKneeCentre', 'malleolarMidpoint', 'tibialLineTurn'] as const;

const femurAxesOf = (x: readonly number[]) => femurAxes(vec(x, 0), vec(x, 3), vec(x, 6), vec(x, 9));
const tibiaAxesOf = (x: readonly number[]) => tibiaAxes(vec(x, 0), vec(x, 3), x[6]!);

/** A quantity that looks at two femoral sites (first and second) along the femur's own axes. */
const onFemur =
  (of: (d: Vec3) => number): Model =>
  (x) => [of(seenAlong(femurAxesOf(x), subtract(vec(x, 15), vec(x, 12))))];

const onTibia =
  (of: (d: Vec3) => number): Model =>
  (x) => [of(seenAlong(tibiaAxesOf(x), subtract(vec(x, 10), vec(x, 7))))];

const asIs: Model = ([x]) => [x!];

const rightAngle = Math.PI / 2;
/** Tilt of a side-to-side line: positive when its lateral end is more proximal. */
const lateralEndUp = (d: Vec3): number => Math.atan2(d[2], d[0]);

/** MPTA against the clinical axis, radians: inputs of `tibiaFrame`, ankleOffset, plateau medial and lateral. */
const clinicalMpta: Model = (x) => {
  const ankle = clinicalAnkle(vec(x, 0), vec(x, 3), x[6]!, x[7]!);
  const axes = tibiaAxes(vec(x, 0), ankle, x[6]!);
  return [rightAngle - lateralEndUp(seenAlong(axes, subtract(vec(x, 11), vec(x, 8))))];
};

/** Two tibial sites along the clinical axes: inputs of `tibiaFrame`, ankleOffset, the first site and the second. */
const onClinicalTibia =
  (of: (d: Vec3) => number): Model =>
  (x) => {
    const ankle = clinicalAnkle(vec(x, 0), vec(x, 3), x[6]!, x[7]!);
    return [of(seenAlong(tibiaAxes(vec(x, 0), ankle, x[6]!), subtract(vec(x, 11), vec(x, 8))))];
  };

export const quantityDefinitions: readonly QuantityDefinition[] = [
  {
    name: 'LDFA',
    label: 'femur joint line, lateral angle to the mechanical axis',
    unit: 'deg',
    inputs: [...femurFrame, 'distalMedial', 'distalLateral'],
    model: onFemur((d) => rightAngle - lateralEndUp(d)),
    definitionSd: 0.6,
    method: 'line of the two distal contacts against the axis from knee to hip centre, seen from the front',
  },
  {
    name: 'MPTA',
    label: 'tibia joint line, medial angle to the axis through the middle of the malleoli',
    unit: 'deg',
    inputs: [...tibiaFrame, 'plateauMedial', 'plateauLateral'],
    model: onTibia((d) => rightAngle - lateralEndUp(d)),
    definitionSd: 1,
    method:
      'line of the two plateau points against the axis from knee to the middle of the malleoli, seen from the front',
  },
  {
    name: 'clinicalMPTA',
    label: 'tibia joint line, medial angle to the axis through the ankle centre',
    unit: 'deg',
    inputs: [...tibiaFrame, 'ankleOffset', 'plateauMedial', 'plateauLateral'],
    model: clinicalMpta,
    definitionSd: 1,
    method: 'as MPTA, with the ankle centre medial of the middle of the malleoli by the ankle offset',
  },
  {
    name: 'HKA',
    label: 'limb, hip to knee to ankle: 180 straight, less is varus',
    unit: 'deg',
    positive: 'valgus',
    inputs: ['limbVarus'],
    model: ([varus]) => [Math.PI - varus!],
    definitionSd: 0.6,
    method: 'angle of the two mechanical axes in the frontal plane of the femur, in the pose given',
  },
  {
    name: 'clinicalHKA',
    label: 'limb to the ankle centre: 180 straight, less is varus',
    unit: 'deg',
    positive: 'valgus',
    inputs: ['limbVarus', ...tibiaFrame, 'ankleOffset'],
    model: (x) => [Math.PI - x[0]! - Math.atan2(x[8]!, length(subtract(vec(x, 1), vec(x, 4))))],
    definitionSd: 0.6,
    method: 'as HKA, with the ankle centre medial of the middle of the malleoli by the ankle offset',
  },
  {
    name: 'JLCA',
    label: 'opening between the joint lines',
    unit: 'deg',
    positive: 'opensLaterally',
    inputs: ['jointConvergence'],
    model: asIs,
    definitionSd: 1.2,
    method: 'angle between distal condyle line and plateau line, seen from the front of the femur, in the pose given',
  },
  {
    name: 'shaftMechanical',
    label: 'canal to mechanical axis, front view',
    unit: 'deg',
    positive: 'valgus',
    inputs: [...femurFrame, 'femoralCanalLow', 'femoralCanalHigh'],
    model: onFemur((d) => Math.atan2(d[0], d[2])),
    definitionSd: 0.6,
    method: 'line through centres of outer sections of the stretch named, against the mechanical axis',
  },
  {
    name: 'canalFlexion',
    label: 'canal to mechanical axis, side view',
    unit: 'deg',
    positive: 'anterior',
    inputs: [...femurFrame, 'femoralCanalLow', 'femoralCanalHigh'],
    model: onFemur((d) => Math.atan2(d[1], d[2])),
    definitionSd: 1,
    method: 'as shaftMechanical, seen from the side; positive when the canal leans forward going up',
  },
  {
    name: 'slope',
    label: 'medial plateau slope: back edge lower',
    unit: 'deg',
    positive: 'posteriorSlope',
    inputs: [...tibiaFrame, 'medialRimRear', 'medialRimFront'],
    model: onTibia((d) => Math.atan2(d[2], d[1])),
    definitionSd: 2,
    method: 'front to rear rim of the medial plateau against square to the axis, seen from the side',
  },
  {
    name: 'condylarTwist',
    label: 'side points to rear condyles',
    unit: 'deg',
    positive: 'external',
    inputs: [...femurFrame, 'epicondyleMedial', 'epicondyleLateral'],
    model: onFemur((d) => Math.atan2(-d[1], d[0])),
    definitionSd: 3,
    method: 'line of the extreme side points against the rear condyle line, seen along the axis',
  },
  {
    name: 'trochlearTwist',
    label: 'square to the groove, to rear condyles',
    unit: 'deg',
    positive: 'external',
    inputs: [...femurFrame, 'femoralKneeCentre', 'trochlearGroove'],
    model: onFemur((d) => Math.atan2(d[0], d[1])),
    definitionSd: 3,
    method: 'line from the notch to the deepest groove, against square to the rear condyle line, seen along the axis',
  },
  {
    name: 'headRadius',
    label: 'radius of the femoral head',
    unit: 'mm',
    inputs: ['headRadius'],
    model: asIs,
    definitionSd: 0.3,
    method: 'least-squares sphere on the round part',
  },
  {
    name: 'femurLength',
    label: 'hip centre to knee centre',
    unit: 'mm',
    inputs: ['hipCentre', 'femoralKneeCentre'],
    model: (x) => [length(subtract(vec(x, 0), vec(x, 3)))],
    definitionSd: 1,
    method: 'distance of the two centres',
  },
  {
    name: 'tibiaLength',
    label: 'tibial knee centre to middle of the malleoli',
    unit: 'mm',
    inputs: ['tibialKneeCentre', 'malleolarMidpoint'],
    model: (x) => [length(subtract(vec(x, 0), vec(x, 3)))],
    definitionSd: 2,
    method: 'distance of the two centres',
  },
  {
    name: 'tibialCanalVarus',
    label: 'tibial canal: varus of a cut square to it',
    unit: 'deg',
    positive: 'varus',
    inputs: [...tibiaFrame, 'ankleOffset', 'tibialCanalLow', 'tibialCanalHigh'],
    model: onClinicalTibia((d) => Math.atan2(-d[0], d[2])),
    definitionSd: 1,
    method: 'line through centres of outer sections of the shaft, against the axis through the ankle centre',
  },
  {
    name: 'tibialCanalSlope',
    label: 'tibial canal: slope of a cut square to it',
    unit: 'deg',
    positive: 'posteriorSlope',
    inputs: [...tibiaFrame, 'ankleOffset', 'tibialCanalLow', 'tibialCanalHigh'],
    model: onClinicalTibia((d) => Math.atan2(-d[1], d[2])),
    definitionSd: 1,
    method: 'as tibialCanalVarus, seen from the side',
  },
  {
    name: 'crestLean',
    label: 'crest of the shin to the axis, side view',
    unit: 'deg',
    positive: 'anterior',
    inputs: [...tibiaFrame, 'ankleOffset', 'crestLower', 'crestUpper'],
    model: onClinicalTibia((d) => Math.atan2(d[1], d[2])),
    definitionSd: 1,
    method:
      'line of the foremost points of the shaft at a quarter and three fifths of the way down; leans forward going up',
  },
  {
    name: 'femurWidth',
    label: 'femur side to side, 9 mm above the lowest point',
    unit: 'mm',
    inputs: ['femurWidth'],
    model: asIs,
    definitionSd: 1,
    method: 'section square to the axis',
  },
  {
    name: 'femurDepth',
    label: 'femur front to back, 9 mm above the lowest point',
    unit: 'mm',
    inputs: ['femurDepth'],
    model: asIs,
    definitionSd: 1,
    method: 'section square to the axis',
  },
  {
    name: 'cortexDepth',
    label: 'rear condyle line to front cortex',
    unit: 'mm',
    inputs: [...femurFrame, 'posteriorMedial', 'anteriorCortex'],
    model: onFemur((d) => d[1]),
    definitionSd: 1,
    method: 'along A, front cortex over the canal 45 mm above the lowest point: what a front feeler reads',
  },
  {
    name: 'tibiaWidth',
    label: 'tibia side to side, 10 mm below the plateau',
    unit: 'mm',
    inputs: ['tibiaWidth'],
    model: asIs,
    definitionSd: 1,
    method: 'section square to the axis',
  },
  {
    name: 'tibiaDepth',
    label: 'tibia front to back, 10 mm below the plateau',
    unit: 'mm',
    inputs: ['tibiaDepth'],
    model: asIs,
    definitionSd: 1,
    method: 'section square to the axis',
  },
  {
    name: 'distalSpacing',
    label: 'distal contacts, side to side',
    unit: 'mm',
    inputs: [...femurFrame, 'distalMedial', 'distalLateral'],
    model: onFemur((d) => d[0]),
    definitionSd: 3,
    method: 'distance along L',
  },
  {
    name: 'posteriorSpacing',
    label: 'rear contacts, side to side',
    unit: 'mm',
    inputs: [...femurFrame, 'posteriorMedial', 'posteriorLateral'],
    model: onFemur((d) => d[0]),
    definitionSd: 1.5,
    method: 'distance along L',
  },
  {
    name: 'plateauSpacing',
    label: 'plateau points, side to side',
    unit: 'mm',
    inputs: [...tibiaFrame, 'plateauMedial', 'plateauLateral'],
    model: onTibia((d) => d[0]),
    definitionSd: 2,
    method: 'distance along L',
  },
  {
    name: 'ankleOffset',
    label: 'middle of the malleoli from the ankle centre',
    unit: 'mm',
    positive: 'lateral',
    inputs: ['ankleOffset'],
    model: asIs,
    definitionSd: 1.5,
    method: 'along L, from the middle of the joint surface',
  },
  {
    name: 'tibiaSpan',
    label: 'ankle to the top of the outside rod',
    unit: 'mm',
    inputs: ['tibiaSpan'],
    model: asIs,
    definitionSd: 0,
    method: 'length that turns millimetres at the ankle into degrees',
  },
  {
    name: 'patellaThickness',
    label: 'patella front to back',
    unit: 'mm',
    inputs: ['patellaThickness'],
    model: asIs,
    definitionSd: 0.5,
    method: 'between two plates square to its thinnest axis',
  },
  {
    name: 'patellaWidth',
    label: 'patella side to side',
    unit: 'mm',
    inputs: ['patellaWidth'],
    model: asIs,
    definitionSd: 1,
    method: 'extent along L',
  },
];

/** How far apart sound definitions of each quantity lie: a judgement. */
export const definitionDefaults: readonly ClinicalDefault[] = quantityDefinitions.map(
  ({ name, unit, definitionSd, method }) => ({
    name: `Between definitions: ${name}`,
    value: definitionSd,
    unit,
    usedFor: `what is shown beside the sd of: ${method}`,
    source: workingDefault,
  }),
);

const byName = new Map(quantityDefinitions.map((definition) => [definition.name, definition]));

/** The definition of a quantity; `undefined` for a name that is none. */
export const quantityDefinition = (name: string): QuantityDefinition | undefined => byName.get(name);

/** Why a quantity cannot be had from this leg, or `undefined` if it can. */
export function whyUnknown(leg: Leg, definition: QuantityDefinition): string | undefined {
  const own = leg.unknown[definition.name];
  if (own) return own;
  const lacking = definition.inputs.find((name) => !has(leg.belief, name));
  return lacking === undefined ? undefined : (leg.unknown[lacking] ?? `${lacking} is not known`);
}

/** One quantity of a leg with its spread. */
export function quantity(leg: Leg, definition: QuantityDefinition): Q {
  const shown = {
    unit: definition.unit,
    ...(definition.positive ? { positive: definition.positive } : {}),
  };
  const unknown = whyUnknown(leg, definition);
  const source = leg.sources[definition.name];
  const measured = source === undefined || source.from === 'bones' || source.from === 'read';
  const method = source === undefined || source.from === 'bones' ? definition.method : source.method;
  if (unknown !== undefined) return { value: null, ...shown, sd: null, method, unknown };
  const found = propagate(leg.belief, definition.inputs, ['q'], definition.model);
  return {
    value: outside(found.mean[0]!, definition.unit),
    ...shown,
    sd: outside(sdOf(found, 'q'), definition.unit),
    ...(measured ? { definitionSd: definition.definitionSd } : {}),
    method,
  };
}

/** Every quantity of a leg by name. */
export const quantities = (leg: Leg): Readonly<Record<string, Q>> =>
  Object.fromEntries(quantityDefinitions.map((definition) => [definition.name, quantity(leg, definition)]));
