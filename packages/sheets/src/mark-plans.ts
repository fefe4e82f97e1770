import type { FilmView } from '@kerfline/knee';
import type { Point } from './drawing.ts';

/** Schematic outlines of our own making, mm; no bone of anybody. */
export interface PlanLine {
  readonly points: readonly Point[];
  /** Closed unless said otherwise. */
  readonly closed?: boolean;
  /** A line inside a bone: a canal, a notch. */
  readonly fine?: boolean;
}

export type PlanName = 'limbFront' | 'limbSide' | 'skyline' | 'implantFront' | 'implantSide';

const ring = ([x, y]: Point, radius: number): readonly Point[] =>
  Array.from({ length: 12 }, (_, k): Point => {
    const turn = (2 * Math.PI * k) / 12;
    return [x + radius * Math.cos(turn), y + radius * Math.sin(turn)];
  });

/** Lateral and up, with the middle of the knee at zero. */
const femurFront: readonly Point[] = [
  [22, 410],
  [44, 402],
  [52, 424],
  [68, 426],
  [71, 398],
  [58, 360],
  [44, 250],
  [31, 140],
  [28, 70],
  [44, 40],
  [46, 18],
  [36, 2],
  [24, 0],
  [12, 6],
  [3, 22],
  [-5, 22],
  [-13, 5],
  [-25, -1],
  [-37, 2],
  [-46, 20],
  [-42, 42],
  [-18, 72],
  [-4, 140],
  [14, 250],
  [26, 340],
  [18, 384],
];

const tibiaFront: readonly Point[] = [
  [-38, -6],
  [-22, -7],
  [-8, -4],
  [-4, 4],
  [0, -1],
  [4, 4],
  [9, -5],
  [24, -7],
  [38, -8],
  [39, -22],
  [24, -56],
  [14, -110],
  [11, -220],
  [12, -320],
  [20, -356],
  [16, -362],
  [-14, -361],
  [-17, -378],
  [-27, -374],
  [-26, -350],
  [-13, -312],
  [-14, -220],
  [-15, -110],
  [-24, -56],
  [-39, -24],
];

const fibulaFront: readonly Point[] = [
  [32, -18],
  [42, -16],
  [46, -28],
  [38, -60],
  [33, -200],
  [30, -340],
  [34, -372],
  [29, -388],
  [23, -372],
  [25, -340],
  [28, -200],
  [32, -60],
];

const kneecapFront: readonly Point[] = [
  [-16, 46],
  [0, 52],
  [17, 46],
  [20, 32],
  [10, 18],
  [0, 12],
  [-9, 18],
  [-19, 32],
];

const canals: readonly PlanLine[] = [
  {
    points: [
      [48, 340],
      [35, 250],
      [20, 130],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [38, 344],
      [24, 250],
      [8, 130],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [-8, -90],
      [-7, -220],
      [-6, -310],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [8, -90],
      [5, -220],
      [5, -310],
    ],
    closed: false,
    fine: true,
  },
];

/** Rearward and up: the front of the knee is at the left. */
const femurSide: readonly Point[] = [
  [-14, 200],
  [-15, 90],
  [-20, 52],
  [-31, 34],
  [-34, 16],
  [-24, 2],
  [-6, -1],
  [14, 2],
  [28, 14],
  [31, 30],
  [22, 42],
  [12, 54],
  [13, 90],
  [14, 200],
];

const tibiaSide: readonly Point[] = [
  [-24, -8],
  [-6, -7],
  [2, -1],
  [8, -6],
  [26, -13],
  [25, -30],
  [12, -70],
  [8, -200],
  [6, -330],
  [-16, -330],
  [-19, -200],
  [-23, -90],
  [-33, -46],
  [-28, -30],
];

const kneecapSide: readonly Point[] = [
  [-54, 44],
  [-45, 50],
  [-38, 40],
  [-37, 26],
  [-45, 12],
  [-53, 22],
];

const canalsSide: readonly PlanLine[] = [
  {
    points: [
      [-7, 200],
      [-7, 90],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [7, 200],
      [7, 90],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [-12, -90],
      [-12, -300],
    ],
    closed: false,
    fine: true,
  },
  {
    points: [
      [2, -90],
      [0, -300],
    ],
    closed: false,
    fine: true,
  },
];

const kneecapSkyline: readonly Point[] = [
  [-24, 14],
  [-12, 24],
  [4, 26],
  [18, 20],
  [25, 10],
  [8, 3],
  [-4, 0],
  [-14, 5],
];

const grooveSkyline: readonly Point[] = [
  [-44, -30],
  [-38, -12],
  [-24, -6],
  [-6, -14],
  [6, -12],
  [24, -1],
  [38, -8],
  [44, -30],
];

const femoralPartFront: readonly Point[] = [
  [-34, 22],
  [-35, 4],
  [-24, -2],
  [-12, 2],
  [-6, 16],
  [6, 16],
  [12, 2],
  [24, -2],
  [35, 4],
  [34, 22],
];

const trayFront: readonly Point[] = [
  [-37, -12],
  [37, -12],
  [37, -17],
  [6, -19],
  [3, -50],
  [-3, -50],
  [-6, -19],
  [-37, -17],
];

const femoralPartSide: readonly Point[] = [
  [-22, 46],
  [-29, 30],
  [-27, 10],
  [-14, -2],
  [6, -2],
  [24, 8],
  [28, 26],
  [21, 26],
  [18, 14],
  [8, 7],
  [-12, 7],
  [-20, 16],
];

const traySide: readonly Point[] = [
  [-24, -12],
  [25, -14],
  [25, -19],
  [3, -20],
  [0, -50],
  [-5, -50],
  [-5, -20],
  [-24, -17],
];

export const plans: Readonly<Record<PlanName, readonly PlanLine[]>> = {
  limbFront: [
    { points: fibulaFront },
    { points: femurFront },
    { points: tibiaFront },
    { points: ring([0, 430], 24) },
    { points: kneecapFront, fine: true },
    ...canals,
  ],
  limbSide: [{ points: femurSide }, { points: tibiaSide }, { points: kneecapSide }, ...canalsSide],
  skyline: [{ points: grooveSkyline, closed: false }, { points: kneecapSkyline }],
  implantFront: [{ points: femurFront }, { points: tibiaFront }, { points: femoralPartFront }, { points: trayFront }],
  implantSide: [{ points: femurSide }, { points: tibiaSide }, { points: femoralPartSide }, { points: traySide }],
};

/** Where a mark lies on a plan, and the part of the plan that is drawn: its middle and how wide it is, mm. */
export interface PlannedMark {
  readonly plan: PlanName;
  readonly at: Point;
  readonly middle: Point;
  readonly spanMm: number;
}

type Place = readonly [x: number, y: number];

const knee = { middle: [0, 14] as Point, spanMm: 118 };
const shinTop = { middle: [0, -22] as Point, spanMm: 118 };
const ankle = { middle: [4, -360] as Point, spanMm: 92 };
const hip = { middle: [24, 412] as Point, spanMm: 128 };
const shaft = (at: Place): { readonly middle: Point; readonly spanMm: number } => ({ middle: at, spanMm: 90 });

const front: Readonly<Record<string, readonly [Place, { readonly middle: Point; readonly spanMm: number }]>> = {
  hipCentre: [[0, 430], hip],
  femoralCanalHigh: [[37, 300], shaft([37, 300])],
  femoralCanalLow: [[16, 150], shaft([16, 150])],
  epicondyleMedial: [[-46, 28], knee],
  epicondyleLateral: [[46, 28], knee],
  femurEdgeMedial: [[-43, 9], knee],
  femurEdgeLateral: [[43, 9], knee],
  femoralKneeCentre: [[-1, 23], knee],
  distalMedial: [[-25, -1], knee],
  distalLateral: [[24, 0], knee],
  patellaCentre: [[0, 32], knee],
  tibialKneeCentre: [[0, -1], shinTop],
  plateauMedial: [[-22, -7], shinTop],
  plateauLateral: [[24, -7], shinTop],
  tibiaEdgeMedial: [[-38, -17], shinTop],
  tibiaEdgeLateral: [[39, -17], shinTop],
  fibulaHead: [[38, -15], shinTop],
  tibialCanalHigh: [[0, -130], shaft([0, -130])],
  tibialCanalLow: [[-1, -270], shaft([-1, -270])],
  malleolusMedial: [[-27, -368], ankle],
  malleolusLateral: [[34, -374], ankle],
  plafondCentre: [[1, -362], ankle],
};

const kneeSide = { middle: [-8, 22] as Point, spanMm: 122 };
const shinSide = { middle: [-4, -32] as Point, spanMm: 118 };

const side: typeof front = {
  femoralCanalHigh: [[0, 180], shaft([0, 170])],
  femoralCanalLow: [[0, 110], shaft([0, 110])],
  anteriorCortex: [[-24, 45], kneeSide],
  distalMedial: [[-6, -1], kneeSide],
  distalLateral: [[8, 1], kneeSide],
  posteriorMedial: [[31, 28], kneeSide],
  posteriorLateral: [[29, 20], kneeSide],
  patellaFront: [[-55, 34], kneeSide],
  patellaRear: [[-37, 32], kneeSide],
  medialRimFront: [[-24, -8], shinSide],
  medialRimRear: [[26, -13], shinSide],
  tibiaEdgeFront: [[-27, -18], shinSide],
  tibiaEdgeRear: [[26, -23], shinSide],
  tubercle: [[-33, -46], shinSide],
  crestUpper: [[-22, -100], shaft([-8, -100])],
  crestLower: [[-19, -210], shaft([-8, -210])],
  tibialCanalHigh: [[-5, -130], shaft([-5, -130])],
  tibialCanalLow: [[-6, -250], shaft([-6, -250])],
};

const skylineMiddle = { middle: [0, 2] as Point, spanMm: 84 };

const skyline: typeof front = {
  patellaFront: [[2, 26], skylineMiddle],
  patellaRear: [[-4, 0], skylineMiddle],
  patellaEdgeMedial: [[-24, 14], skylineMiddle],
  patellaEdgeLateral: [[25, 10], skylineMiddle],
};

const implantKnee = { middle: [0, -6] as Point, spanMm: 112 };

const implantFront: typeof front = {
  componentDistalMedial: [[-24, -2], implantKnee],
  componentDistalLateral: [[24, -2], implantKnee],
  trayMedial: [[-37, -17], implantKnee],
  trayLateral: [[37, -17], implantKnee],
};

const implantSide: typeof front = {
  componentDistalFront: [[-12, 7], implantKnee],
  componentDistalRear: [[8, 7], implantKnee],
  trayFront: [[-24, -17], implantKnee],
  trayRear: [[25, -19], implantKnee],
};

const tables: Readonly<Record<FilmView, readonly (readonly [PlanName, typeof front])[]>> = {
  'long-leg': [['limbFront', front]],
  'knee-front': [['limbFront', front]],
  'knee-lateral': [['limbSide', side]],
  skyline: [['skyline', skyline]],
  'after-front': [
    ['implantFront', implantFront],
    ['implantFront', front],
  ],
  'after-lateral': [
    ['implantSide', implantSide],
    ['implantSide', side],
  ],
};

/** Where a mark lies on the plan of a view; `undefined` for a mark that is drawn on none. */
export function markPlan(name: string, view: FilmView): PlannedMark | undefined {
  for (const [plan, table] of tables[view]) {
    const found = table[name];
    if (found) return { plan, at: found[0], ...found[1] };
  }
  return undefined;
}
