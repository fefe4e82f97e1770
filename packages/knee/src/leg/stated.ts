import { doubt, info, type Vec3 } from '@kerfline/geometry';
import {
  belief,
  condition,
  extended,
  has,
  joined,
  type Model,
  marginal,
  meanOf,
  meanVectorOf,
  type Output,
  sdOf,
  slotOf,
} from '@kerfline/uncertainty';
import { type ScalarDefault, workingDefault } from '../defaults/clinical-default.ts';
import { inside, outside } from '../quantity.ts';
import type { Leg, Source } from './leg.ts';
import {
  cartilage,
  type PopulationValue,
  populationOrigin,
  populationSource,
  typicalLeg,
  unstatedWear,
} from './population.ts';
import { type QuantityDefinition, quantity, quantityDefinition, whyUnknown } from './quantities.ts';
import { type ContactSite, cartilageName, contactSites, wearName } from './sites.ts';
import type { StatedValue } from './stated-value.ts';

export const statedSource = (s: StatedValue): Source => ({
  from: 'typed',
  method: `stated: ${s.value} +/- ${s.sd} ${s.unit}${s.sdFrom === 'default' ? ' (spread not stated, working default)' : ''}`,
});

const without = (unknown: Leg['unknown'], ...names: readonly string[]): Leg['unknown'] =>
  Object.fromEntries(Object.entries(unknown).filter(([name]) => !names.includes(name)));

/** The leg with one more single quantity, independent of all else. */
const withNumber = (leg: Leg, name: string, value: number, sd: number, source: Source): Leg => ({
  ...leg,
  belief: joined(leg.belief, belief([{ name, value, sd }])),
  sources: { ...leg.sources, [name]: source },
  unknown: without(leg.unknown, name),
});

/** The leg with several numbers of people in general, independent of each other and of all else. */
const withNumbers = (leg: Leg, numbers: readonly { readonly name: string; readonly of: PopulationValue }[]): Leg => ({
  ...leg,
  belief: joined(leg.belief, belief(numbers.map(({ name, of }) => ({ name, value: of.mean, sd: of.sd })))),
  sources: { ...leg.sources, ...Object.fromEntries(numbers.map(({ name, of }) => [name, populationSource(of)])) },
  unknown: without(leg.unknown, ...numbers.map(({ name }) => name)),
});

/** Several quantities at once, over all their inputs in turn. */
function together(
  leg: Leg,
  definitions: readonly QuantityDefinition[],
): { readonly inputs: readonly string[]; readonly model: Model } {
  const sizes = definitions.map((d) => d.inputs.reduce((sum, name) => sum + slotOf(leg.belief, name).size, 0));
  return {
    inputs: definitions.flatMap((d) => d.inputs),
    model: (x) => {
      let at = 0;
      return definitions.flatMap((d, k) => {
        const own = x.slice(at, at + sizes[k]!);
        at += sizes[k]!;
        return [...d.model(own)];
      });
    },
  };
}

const definition = (name: string): QuantityDefinition => {
  const found = quantityDefinition(name);
  if (!found) throw new Error(`${name} is not a quantity`);
  return found;
};

/** A new output of the belief made from a helper quantity that is then forgotten. */
function through(
  leg: Leg,
  helper: { readonly name: string; readonly value: number; readonly sd: number },
  inputs: readonly string[],
  outputs: readonly Output[],
  model: Model,
): Leg['belief'] {
  const more = extended(joined(leg.belief, belief([helper])), [helper.name, ...inputs], outputs, model);
  return marginal(
    more,
    more.slots.map((slot) => slot.name).filter((name) => name !== helper.name),
  );
}

/** Limb and joint opening from one of them: limb varus = LDFA - MPTA + opening. */
function withLimb(leg: Leg, stated: StatedValue): Leg {
  const bones = together(leg, [definition('LDFA'), definition('MPTA')]);
  const helper = { name: 'statedLimb', value: inside(stated.value, 'deg'), sd: inside(stated.sd, 'deg') };
  const isOpening = stated.name === 'JLCA';
  const axis = ['tibialKneeCentre', 'malleolarMidpoint', 'ankleOffset'];
  const b = through(leg, helper, [...axis, ...bones.inputs], ['limbVarus', 'jointConvergence'], (x) => {
    const [ldfa, mpta] = bones.model(x.slice(8));
    const bonesVarus = ldfa! - mpta!;
    if (isOpening) return [bonesVarus + x[0]!, x[0]!];
    // A stated HKA is clinical; the axis through the middle of the malleoli is less varus by the ankle offset.
    const length = Math.hypot(x[4]! - x[1]!, x[5]! - x[2]!, x[6]! - x[3]!);
    const varus = Math.PI - x[0]! - Math.atan2(x[7]!, length);
    return [varus, varus - bonesVarus];
  });
  const derived: Source = { from: 'typed', method: 'limb varus = LDFA - MPTA + joint opening' };
  const own = statedSource(stated);
  return {
    ...leg,
    belief: b,
    sources: {
      ...leg.sources,
      JLCA: isOpening ? own : derived,
      HKA: derived,
      clinicalHKA: isOpening ? derived : own,
    },
    unknown: without(leg.unknown, 'HKA', 'clinicalHKA', 'JLCA'),
  };
}

/** @numerical Where the tibial canal and the crest of a typed leg are laid, mm below the knee; only their lean matters. */
const shinPlace = { high: -60, low: -220, crestFront: 12 } as const;

/**
 * Two points of a line that leans by `lateral` and `anterior` mm for each mm up the axis through the ankle centre, told in the
 * frame through the middle of the malleoli, from which that axis leans lateral by `tilt`.
 *
 * @param front how far before the axis the line is at the knee, mm
 */
const leaning = (lateral: number, anterior: number, tilt: number, front: number): readonly number[] =>
  [shinPlace.low, shinPlace.high].flatMap((at) => [
    at * (lateral * Math.cos(tilt) + Math.sin(tilt)),
    front + at * anterior,
    at * (Math.cos(tilt) - lateral * Math.sin(tilt)),
  ]);

/**
 * The canal line of a typed tibia from its stated lean in the front view; in the side view from its stated lean too, or else
 * from people in general, flagged.
 */
function withTibialCanal(leg: Leg, varus: StatedValue, slope: StatedValue | undefined): Leg {
  const usual = typicalLeg.tibialCanalSlope;
  const side = slope ?? { value: usual.mean, sd: usual.sd, unit: usual.unit };
  const parts = [
    { name: 'statedCanalVarus', value: inside(varus.value, 'deg'), sd: inside(varus.sd, 'deg') },
    { name: 'statedCanalSlope', value: inside(side.value, 'deg'), sd: inside(side.sd, 'deg') },
  ];
  const sites = ['tibialCanalLow', 'tibialCanalHigh'];
  const more = extended(
    joined(leg.belief, belief(parts)),
    [...parts.map((p) => p.name), 'tibialKneeCentre', 'malleolarMidpoint', 'ankleOffset'],
    sites.map((name) => ({ name, size: 3 as const })),
    ([v, p, , , kneeP, , , ankleP, offset]) =>
      leaning(-Math.tan(v!), -Math.tan(p!), Math.atan2(offset!, kneeP! - ankleP!), 0),
  );
  return {
    ...leg,
    belief: marginal(
      more,
      more.slots.map((slot) => slot.name).filter((name) => !parts.some((p) => p.name === name)),
    ),
    sources: {
      ...leg.sources,
      tibialCanalVarus: statedSource(varus),
      tibialCanalSlope: slope ? statedSource(slope) : populationSource(usual),
    },
    unknown: without(leg.unknown, 'tibialCanalVarus', 'tibialCanalSlope', ...sites),
    findings: slope
      ? leg.findings
      : [
          ...leg.findings,
          doubt(
            'population-value',
            `tibialCanalSlope was not stated beside tibialCanalVarus: ${usual.mean} +/- ${usual.sd} ${usual.unit} is used (${populationOrigin(usual)}).`,
          ),
        ],
  };
}

/** The crest of a typed shin from its stated lean in the side view. */
function withCrest(leg: Leg, stated: StatedValue): Leg {
  const helper = { name: 'statedLean', value: inside(stated.value, 'deg'), sd: inside(stated.sd, 'deg') };
  const sites = ['crestLower', 'crestUpper'];
  return {
    ...leg,
    belief: through(
      leg,
      helper,
      ['tibialKneeCentre', 'malleolarMidpoint', 'ankleOffset'],
      sites.map((name) => ({ name, size: 3 as const })),
      ([lean, , , kneeP, , , ankleP, offset]) =>
        leaning(0, Math.tan(lean!), Math.atan2(offset!, kneeP! - ankleP!), shinPlace.crestFront),
    ),
    sources: { ...leg.sources, crestLean: statedSource(stated) },
    unknown: without(leg.unknown, 'crestLean', ...sites),
  };
}

/** A site that only one stated length or angle places. */
function withSite(leg: Leg, stated: StatedValue, site: string, place: (value: number) => Vec3): Leg {
  const helper = { name: 'statedSite', value: inside(stated.value, stated.unit), sd: inside(stated.sd, stated.unit) };
  return {
    ...leg,
    belief: through(leg, helper, [], [{ name: site, size: 3 }], (x) => place(x[0]!)),
    sources: { ...leg.sources, [stated.name]: statedSource(stated) },
    unknown: without(leg.unknown, stated.name, site),
  };
}

/** A reading of something that the leg knows already: both count by their precision, and disagreement is a finding. */
function withReading(leg: Leg, stated: StatedValue, of: QuantityDefinition): Leg {
  const before = quantity(leg, of);
  const value = inside(stated.value, stated.unit);
  const sd = Math.max(inside(stated.sd, stated.unit), 1e-9);
  const read = condition(leg.belief, { inputs: of.inputs, model: of.model, value: [value], covariance: [sd * sd] });
  const agrees = read.nis <= disagreement.value ** 2;
  return {
    ...leg,
    belief: read.belief,
    sources: {
      ...leg.sources,
      [of.name]: {
        from: 'read',
        method: `${before.method}; then read as ${stated.value} +/- ${stated.sd} ${stated.unit}`,
      },
    },
    findings: agrees
      ? leg.findings
      : [
          ...leg.findings,
          doubt(
            'stated-disagrees',
            `${of.name} is stated as ${stated.value} ${stated.unit} and was found as ${before.value?.toFixed(1)} +/- ` +
              `${before.sd?.toFixed(1)} ${before.unit}: more apart than their spreads allow.`,
          ),
        ],
  };
}

/** Beyond this a stated value disagrees with what was known. */
export const disagreement: ScalarDefault = {
  name: 'What a leg says: disagreement',
  value: 3,
  unit: 'sd',
  usedFor: 'how far apart a stated value and what was known must be for a doubt',
  source: workingDefault,
};

/** @numerical Height and side at which a stated front cortex or groove is placed, mm; no result depends on them. */
const frontPlace = { l: 3, p: 37, groove: 18 } as const;

/**
 * A leg with what people stated of it: wear, span, examination, and readings of what it knows or does not know yet.
 * Layers that nobody spoke of are filled from people in general and flagged.
 */
export function withStated(leg: Leg, stated: readonly StatedValue[]): Leg {
  const pair = (['HKA', 'JLCA'] as const).map((name) => stated.find((s) => s.name === name));
  // JLCA first: a HKA beside it is then a second reading of the same thing.
  // A typed canal is laid from both its leans at once.
  const laysCanal = !has(leg.belief, 'tibialCanalLow');
  const last = stated.filter((s) => s.name !== 'HKA' && !(laysCanal && s.name === 'tibialCanalSlope'));
  const ordered = [...last, ...(pair[0] ? [pair[0]] : [])];
  const told = ordered.reduce<Leg>((so, s) => {
    const known = quantityDefinition(s.name === 'HKA' ? 'clinicalHKA' : s.name === 'MPTA' ? 'clinicalMPTA' : s.name);
    if (known && whyUnknown(so, known) === undefined) return withReading(so, s, known);
    if (s.name === 'HKA' || s.name === 'JLCA') return withLimb(so, s);
    if (s.name === 'tibialCanalVarus') {
      return withTibialCanal(
        so,
        s,
        stated.find((other) => other.name === 'tibialCanalSlope'),
      );
    }
    if (s.name === 'crestLean') return withCrest(so, s);
    if (s.name === 'cortexDepth') {
      const rear = meanVectorOf(so.belief, 'posteriorMedial')[1];
      return withSite(so, s, 'anteriorCortex', (depth) => [frontPlace.l, rear + depth, frontPlace.p]);
    }
    if (s.name === 'trochlearTwist') {
      return withSite(so, s, 'trochlearGroove', (turn) => [
        frontPlace.groove * Math.tan(turn),
        frontPlace.groove,
        frontPlace.p / 2,
      ]);
    }
    return withNumber(so, s.name, inside(s.value, s.unit), inside(s.sd, s.unit), statedSource(s));
  }, leg);
  const sideOnly =
    laysCanal && stated.some((s) => s.name === 'tibialCanalSlope') && !has(told.belief, 'tibialCanalLow');
  return withSpan(withLayers(sideOnly ? { ...told, findings: [...told.findings, canalHalfStated] } : told));
}

const canalHalfStated = doubt(
  'canal-half-stated',
  'tibialCanalSlope is stated without tibialCanalVarus: the line of the canal needs both, so it is left unknown.',
);

/** Thickness and loss of cartilage at every contact; what was not stated is taken as none lost, flagged once. */
function withLayers(leg: Leg): Leg {
  const silent = contactSites.filter((site) => !has(leg.belief, wearName(site)));
  const layered = withNumbers(
    leg,
    contactSites.flatMap((site) => [
      ...(silent.includes(site) ? [{ name: wearName(site), of: unstatedWear }] : []),
      ...(leg.contactsOn === 'bone' ? [{ name: cartilageName(site), of: cartilage[site] }] : []),
    ]),
  );
  const findings = [...leg.findings];
  if (silent.length > 0) {
    findings.push(
      doubt(
        'wear-not-stated',
        `Cartilage lost was not stated for ${silent.map(plain).join(', ')}: taken as none, give or take ${unstatedWear.sd} mm.`,
      ),
    );
  }
  if (leg.contactsOn === 'bone') {
    findings.push(
      doubt(
        'cartilage-assumed',
        `Scans and films show bone. Whole cartilage is taken as ${contactSites
          .map((site) => `${plain(site)} ${cartilage[site].mean.toFixed(1)} +/- ${cartilage[site].sd}`)
          .join(', ')} mm.`,
      ),
    );
  }
  return { ...layered, findings };
}

/** A contact in plain words: `distalMedial` is "distal medial". */
const plain = (site: ContactSite): string => site.replace(/[A-Z]/, (letter) => ` ${letter.toLowerCase()}`);

/** The length that turns millimetres at the ankle into degrees: stated, or the tibia's own, flagged. */
function withSpan(leg: Leg): Leg {
  if (has(leg.belief, 'tibiaSpan')) return leg;
  const length = definition('tibiaLength');
  const belief = extended(leg.belief, length.inputs, ['tibiaSpan'], length.model);
  return {
    ...leg,
    belief,
    sources: { ...leg.sources, tibiaSpan: { from: 'population', method: 'taken as the length of the tibia' } },
    findings: [
      ...leg.findings,
      info(
        'span-from-length',
        `The span of the outside rod was not stated; the length of the tibia, ${outside(meanOf(belief, 'tibiaSpan'), 'mm').toFixed(0)} +/- ` +
          `${sdOf(belief, 'tibiaSpan').toFixed(0)} mm, is taken for it.`,
      ),
    ],
  };
}
