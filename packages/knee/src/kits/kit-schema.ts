import { z } from 'zod';
import { cutNames } from '../guides/guide.ts';
import { slideSenses, turnSenses } from '../guides/sense.ts';
import { femurSites, patellaSites, tibiaSites } from '../leg/sites.ts';

/**
 * The shape of a kit file. Unknown keys are refused, so that a slip in a name is a fault and not a silence. What no shape can
 * say (references between parts, ranges the right way round) is in `check-kit.ts`.
 */

const finite = z.number();
const positive = z.number().positive();
const notNegative = z.number().nonnegative();
const id = z
  .string()
  .regex(/^[a-z][A-Za-z0-9-]*$/, 'a name of letters, digits and hyphens, beginning with a small letter');
const site = z.enum([...femurSites, ...tibiaSites, ...patellaSites]);
const range = z.tuple([finite, finite]);
const values = z.array(finite).min(1);

const common = {
  id,
  on: id.optional(),
  says: z.string().min(1),
  reads: z.string().optional(),
  who: z.string().optional(),
  setBy: z.enum(['plan', 'sight', 'read']).optional(),
  rounds: z.enum(['nearest', 'shallower', 'thicker']).optional(),
  settable: positive.optional(),
  sd: notNegative,
  bias: finite.optional(),
  backlash: notNegative.optional(),
  lockJump: z.strictObject({ mm: notNegative, deg: notNegative }).optional(),
  hand: z.enum(['same', 'printedPair', 'flips', 'separatePart']).optional(),
  fixedIn: z.enum(['bone', 'metal']).optional(),
};
const detents = { range, zero: finite, step: positive.nullable() };
const num = z.union([finite, z.strictObject({ leg: z.string(), times: finite.optional() })]);

const slit = {
  ...common,
  gapMm: positive,
  bladeMm: positive,
  kerfMm: notNegative,
  kerfSdMm: notNegative,
  referenceFace: z.enum(['retained', 'piece']),
  saw: z.strictObject({ coronalDeg: notNegative, sagittalDeg: notNegative }),
  face: z.enum(['rear', 'front']).optional(),
};

export const linkSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('frame'), ...common, at: site }),
  z.strictObject({ kind: z.literal('mast'), ...common, from: id, to: site, spanMm: num }),
  z.strictObject({
    kind: z.literal('core'),
    ...common,
    canal: z.enum(['femoralCanal', 'tibialCanal']),
    rodMm: positive,
    engagedMm: positive,
  }),
  z.strictObject({
    kind: z.literal('rest'),
    ...common,
    mode: z.enum(['first', 'both']),
    sites: z.array(site).min(1),
    shimsMm: z.array(notNegative).optional(),
  }),
  z.strictObject({
    kind: z.literal('feeler'),
    ...common,
    touches: z.array(site).min(1),
    values,
    reach: num.optional(),
  }),
  z.strictObject({
    kind: z.literal('slide'),
    ...common,
    ...detents,
    toward: z.enum(slideSenses),
    marks: z
      .strictObject({ everyMm: positive, says: z.string(), trueFor: z.strictObject({ spanMm: positive }).optional() })
      .optional(),
    sizes: z
      .strictObject({
        component: z.literal('femur'),
        keeps: z.array(z.enum(['rear', 'front'])).min(1),
        front: id,
      })
      .optional(),
    zeroSeen: z.boolean().optional(),
  }),
  z.strictObject({ kind: z.literal('thread'), ...common, toward: z.enum(slideSenses), pitchMm: positive, range }),
  z.strictObject({
    kind: z.literal('swing'),
    ...common,
    ...detents,
    turn: z.enum(turnSenses),
    pivots: z
      .array(z.enum(['middle', 'medial', 'lateral']))
      .min(1)
      .optional(),
  }),
  z.strictObject({
    kind: z.literal('ring'),
    ...common,
    turn: z.enum(turnSenses),
    values,
    faces: z.strictObject({ left: z.string(), right: z.string() }).optional(),
  }),
  z.strictObject({ kind: z.literal('dial'), ...common, sets: id, values }),
  z.strictObject({ kind: z.literal('peg'), ...common, toward: z.enum(slideSenses), values }),
  z.strictObject({
    kind: z.literal('pin'),
    ...common,
    rows: z.array(z.strictObject({ id, offsetMm: finite, forSeat: z.string().optional() })).min(1),
  }),
  z.strictObject({ kind: z.literal('sight'), ...common, shows: z.string().min(1), spanMm: num.optional() }),
  z.strictObject({ kind: z.literal('slit'), ...slit }),
  z.strictObject({ kind: z.literal('openFace'), ...slit }),
]);

export const guideSchema = z.strictObject({
  id,
  says: z.string().min(1),
  bone: z.enum(['tibia', 'femur', 'patella']),
  mountsOn: z.union([z.literal('bone'), z.strictObject({ cut: z.enum(cutNames) }), z.strictObject({ pinsOf: id })]),
  links: z.array(linkSchema).min(1),
  outputs: z.array(z.strictObject({ cut: z.enum(cutNames), link: id })).min(1),
  prepare: z.strictObject({
    parts: z.array(z.string()),
    order: z.array(z.string()),
    openAtHandOver: z.array(z.string()),
    closedAtHandOver: z.array(z.string()),
    pins: z.string().optional(),
    blade: z.string().optional(),
    next: z.string().optional(),
  }),
});

/** Sizes are named by millimetres, so that no label needs a table. */
export const componentsSchema = z.strictObject({
  femur: z
    .array(
      z.strictObject({
        /** Front to back, mm: the name of the size. */
        size: positive,
        widthMm: positive,
        distalMm: positive,
        rearMm: positive,
        /** Height of the flange tip above the distal cut, mm. */
        flangeHeightMm: positive,
      }),
    )
    .min(1),
  tray: z
    .array(
      z.strictObject({
        /** Side to side, mm: the name of the size. */
        size: positive,
        depthMm: positive,
        thicknessMm: positive,
        keelMm: positive,
        drillMm: positive,
      }),
    )
    .min(1),
  insert: z.array(z.strictObject({ /** Thickness, mm: the name of the size. */ size: positive })).min(1),
  button: z
    .array(z.strictObject({ /** Diameter, mm: the name of the size. */ size: positive, thicknessMm: positive }))
    .min(1),
  allowedPairs: z.array(z.strictObject({ femur: positive, tray: positive })).min(1),
});

export const kitSchema = z.strictObject({
  kit: z.literal(1),
  name: id,
  says: z.string().min(1),
  version: z.string().min(1),
  guides: z.array(guideSchema).min(1),
  components: componentsSchema,
});
