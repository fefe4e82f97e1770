import { type ClinicalDefault, commonPractice, fromMemory, workingDefault } from '../defaults/clinical-default.ts';

/** What a philosophy asks for, as data. Angles in degrees, as published. */

/** A limit with its citation. */
export interface Fence {
  readonly on: 'LDFA' | 'MPTA' | 'limb' | 'slope';
  /** Degrees; limb as deviation, negative varus. */
  readonly low: number;
  readonly high: number;
  /** What it is for, where the numbers alone do not say. */
  readonly says?: string;
  readonly citation: string;
}

/** How one target is made. */
export type Rule =
  | { readonly kind: 'fixed'; readonly deg: number }
  | { readonly kind: 'native' }
  /** Decided by gaps that have not been measured; the fences bound it. */
  | { readonly kind: 'gaps' };

/** Which bone gives way when the limb's fence binds. */
export type Yields = 'tibia' | 'femur' | 'none';

export const moveKinds = ['ligamentRelease', 'femurRecut', 'tibiaRecut', 'boneDefectFill'] as const;
export type MoveKind = (typeof moveKinds)[number];

export interface Philosophy {
  readonly name: PhilosophyName;
  readonly says: string;
  readonly LDFA: Rule;
  readonly MPTA: Rule;
  readonly slope: Rule;
  /** Femoral turn against the rear condyle line, external. */
  readonly rotation: Rule;
  readonly yields: Yields;
  readonly fences: readonly Fence[];
  /** Moves that are never offered under it. */
  readonly forbids: readonly MoveKind[];
  readonly releases: string;
}

export const philosophyNames = [
  'mechanical',
  'adjusted-mechanical',
  'anatomic',
  'kinematic',
  'restricted-kinematic',
  'inverse-kinematic',
  'functional',
  'gap-balanced',
] as const;
export type PhilosophyName = (typeof philosophyNames)[number];

const restricted = 'restricted rules, Front Surg 2021 (abstract)';
const recalled = fromMemory('the literature, not re-read');

const slopeFence: Fence = {
  on: 'slope',
  low: 0,
  high: 10,
  says: 'cruciate kept: native slope, at most 10',
  citation: workingDefault,
};

export const philosophies: readonly Philosophy[] = [
  {
    name: 'mechanical',
    says: 'Mechanical',
    LDFA: { kind: 'fixed', deg: 90 },
    MPTA: { kind: 'fixed', deg: 90 },
    slope: { kind: 'fixed', deg: 3 },
    rotation: { kind: 'fixed', deg: 3 },
    yields: 'none',
    fences: [],
    forbids: [],
    releases: 'as needed',
  },
  {
    name: 'adjusted-mechanical',
    says: 'Adjusted mechanical',
    LDFA: { kind: 'native' },
    MPTA: { kind: 'fixed', deg: 90 },
    slope: { kind: 'fixed', deg: 3 },
    rotation: { kind: 'fixed', deg: 3 },
    yields: 'femur',
    fences: [{ on: 'limb', low: -3, high: 3, says: 'limb within 3 of straight', citation: recalled }],
    forbids: [],
    releases: 'few',
  },
  {
    name: 'anatomic',
    says: 'Anatomic',
    LDFA: { kind: 'fixed', deg: 87 },
    MPTA: { kind: 'fixed', deg: 87 },
    slope: { kind: 'native' },
    rotation: { kind: 'fixed', deg: 0 },
    yields: 'none',
    fences: [slopeFence],
    forbids: [],
    releases: 'as needed',
  },
  {
    name: 'kinematic',
    says: 'Kinematic',
    LDFA: { kind: 'native' },
    MPTA: { kind: 'native' },
    slope: { kind: 'native' },
    rotation: { kind: 'fixed', deg: 0 },
    yields: 'none',
    fences: [],
    forbids: ['ligamentRelease'],
    releases: 'none; the tibia is recut instead',
  },
  {
    name: 'restricted-kinematic',
    says: 'Restricted kinematic',
    LDFA: { kind: 'native' },
    MPTA: { kind: 'native' },
    slope: { kind: 'native' },
    rotation: { kind: 'fixed', deg: 0 },
    yields: 'tibia',
    fences: [
      { on: 'LDFA', low: 85, high: 95, citation: restricted },
      { on: 'MPTA', low: 85, high: 95, citation: restricted },
      { on: 'limb', low: -3, high: 3, citation: restricted },
      slopeFence,
    ],
    forbids: [],
    releases: 'minor',
  },
  {
    name: 'inverse-kinematic',
    says: 'Inverse kinematic',
    LDFA: { kind: 'gaps' },
    MPTA: { kind: 'native' },
    slope: { kind: 'native' },
    rotation: { kind: 'gaps' },
    yields: 'femur',
    fences: [
      { on: 'MPTA', low: 84, high: 92, citation: recalled },
      { on: 'limb', low: -6, high: 3, citation: recalled },
      slopeFence,
    ],
    forbids: ['ligamentRelease'],
    releases: 'none intended',
  },
  {
    name: 'functional',
    says: 'Functional',
    LDFA: { kind: 'gaps' },
    MPTA: { kind: 'native' },
    slope: { kind: 'native' },
    rotation: { kind: 'gaps' },
    yields: 'femur',
    fences: [
      { on: 'MPTA', low: 84, high: 93, says: '6 varus to 3 valgus; limits differ by paper', citation: recalled },
      { on: 'limb', low: -6, high: 3, says: 'limits differ by paper', citation: recalled },
      slopeFence,
    ],
    forbids: [],
    releases: 'minimal',
  },
  {
    name: 'gap-balanced',
    says: 'Gap balanced',
    LDFA: { kind: 'fixed', deg: 90 },
    MPTA: { kind: 'fixed', deg: 90 },
    slope: { kind: 'fixed', deg: 3 },
    rotation: { kind: 'gaps' },
    yields: 'none',
    fences: [],
    forbids: [],
    releases: 'in extension first',
  },
];

export const philosophy = (name: PhilosophyName): Philosophy => philosophies.find((p) => p.name === name)!;

export const isPhilosophyName = (name: string): name is PhilosophyName =>
  (philosophyNames as readonly string[]).includes(name);

/** Fixed targets and fences of every philosophy. */
export const philosophyDefaults: readonly ClinicalDefault[] = philosophies.flatMap((p) => [
  ...(['LDFA', 'MPTA', 'slope', 'rotation'] as const).flatMap((on): readonly ClinicalDefault[] => {
    const rule = p[on];
    return rule.kind === 'fixed'
      ? [
          {
            name: `Philosophies: ${p.name}, ${on}`,
            value: rule.deg,
            unit: 'deg',
            usedFor: on === 'rotation' ? 'wanted, external to the rear condyle line' : 'wanted',
            source: commonPractice,
          },
        ]
      : [];
  }),
  ...p.fences.map(
    (fence): ClinicalDefault => ({
      name: `Philosophies: ${p.name}, fence on ${fence.on}`,
      range: [fence.low, fence.high],
      unit: 'deg',
      usedFor: `limit${fence.on === 'limb' ? ', negative varus' : ''}${fence.says ? `: ${fence.says}` : ''}`,
      source: fence.citation,
    }),
  ),
]);
