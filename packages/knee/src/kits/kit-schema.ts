import { z } from 'zod';
import { cutNames } from '../guides/guide.ts';
import { slideSenses, turnSenses } from '../guides/sense.ts';
import { femurSites, patellaSites, tibiaSites } from '../leg/sites.ts';
import { componentsSchema } from './component-schema.ts';

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
const side = z.enum(['left', 'right']);
const off = z.strictObject({ lateral: finite, anterior: finite });

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
  control: z.strictObject({ viewedFrom: z.literal('foot'), right: z.enum(['clockwise', 'anticlockwise']) }).optional(),
};
const detents = { range, zero: finite, step: positive.nullable() };
const num = z.union([finite, z.strictObject({ leg: z.string(), times: finite.optional() })]);

const slit = {
  ...common,
  gapMm: positive,
  bladeMm: positive,
  bladeLengthMm: positive.optional(),
  standOffMm: notNegative.optional(),
  kerfMm: notNegative,
  kerfSdMm: notNegative,
  referenceFace: z.enum(['retained', 'piece']),
  saw: z.strictObject({ coronalDeg: notNegative, sagittalDeg: notNegative }),
  face: z.enum(['rear', 'front', 'rearChamfer', 'frontChamfer']).optional(),
};

export const linkSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('frame'), ...common, at: site, offMm: off.optional() }),
  z.strictObject({ kind: z.literal('mast'), ...common, from: id, to: site, spanMm: num, topOffMm: off.optional() }),
  z.strictObject({
    kind: z.literal('core'),
    ...common,
    canal: z.enum(['femoralCanal', 'tibialCanal']),
    rodMm: positive,
    engagedMm: positive,
    entrySdMm: notNegative.optional(),
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
    gauge: z.strictObject({ lowerMm: positive, upperMm: positive }).optional(),
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
    rows: z
      .array(z.strictObject({ id, says: z.string().min(1).optional(), offsetMm: finite, forSeat: id.optional() }))
      .min(1),
    holes: id.optional(),
  }),
  z.strictObject({
    kind: z.literal('seat'),
    ...common,
    seats: z
      .array(z.strictObject({ id, says: z.string().min(1), toPatientRightMm: finite, forSide: side.optional() }))
      .min(1),
  }),
  z.strictObject({
    kind: z.literal('sized'),
    ...common,
    component: z.enum(['femur', 'tray', 'button']),
    follows: z.strictObject({ guide: id, link: id }).optional(),
  }),
  z.strictObject({ kind: z.literal('drill'), ...common, makes: z.enum(['keelHole', 'keel', 'pegs']) }),
  z.strictObject({ kind: z.literal('sight'), ...common, shows: z.string().min(1), spanMm: num.optional() }),
  z.strictObject({ kind: z.literal('slit'), ...slit }),
  z.strictObject({ kind: z.literal('openFace'), ...slit }),
]);

export const guideSchema = z.strictObject({
  id,
  says: z.string().min(1),
  bone: z.enum(['tibia', 'femur', 'patella']),
  mountsOn: z.union([
    z.literal('bone'),
    z.strictObject({ cut: z.enum(cutNames) }),
    z.strictObject({ pinsOf: id, flushOn: z.enum(cutNames).optional() }),
  ]),
  side: side.optional(),
  insteadOf: id.optional(),
  links: z.array(linkSchema).min(1),
  outputs: z.array(z.strictObject({ cut: z.enum(cutNames), link: id })),
  aligns: z
    .array(z.strictObject({ cut: z.enum(cutNames), link: id }))
    .min(1)
    .optional(),
  prepare: z.strictObject({
    who: z.string().min(1).optional(),
    parts: z.array(z.string()),
    order: z.array(z.string()),
    openAtHandOver: z.array(z.string()),
    closedAtHandOver: z.array(z.string()),
    pins: z.string().optional(),
    blade: z.string().optional(),
    next: z.string().optional(),
  }),
});

/** Version of the form of a kit file that this program reads and writes. */
export const kitForm = 1;

export const kitSchema = z.strictObject({
  kit: z.literal(kitForm),
  name: id,
  says: z.string().min(1),
  version: z.string().min(1),
  guides: z.array(guideSchema).min(1),
  components: componentsSchema,
});
