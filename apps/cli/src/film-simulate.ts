import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import process from 'node:process';
import { readBoneFiles, sha256Of } from '@kerfline/cases';
import { writtenFilm } from '@kerfline/imaging';
import { inside, legFromBones, outside, type Side } from '@kerfline/knee';
import {
  boneMagnification,
  type FilmScene,
  filmBits,
  filmLimb,
  filmPicture,
  filmPlan,
  filmScene,
  filmWindow,
  type SideLetter,
  type SimulatedView,
  usualLook,
  usualSetup,
} from '@kerfline/phantom';
import { BadInput, must } from './bad-input.ts';
import { boneFile, cannotWrite } from './files.ts';
import { findingsText } from './findings-text.ts';

export interface FilmSimulateOptions {
  readonly femur: string;
  readonly tibia: string;
  readonly fibula?: string;
  readonly patella?: string;
  readonly side: Side;
  readonly view: SimulatedView;
  readonly rotate: number;
  readonly flex?: number;
  readonly seed: number;
  readonly sourceDistance?: number;
  readonly boneDistance?: number;
  readonly pixel?: number;
  readonly ball?: number;
  readonly ballDepth?: number;
  readonly stitch?: number;
  readonly letter?: SideLetter | 'none';
  readonly mirror?: boolean;
  readonly exposure: number;
  readonly noise: number;
  readonly out: string;
  readonly json?: boolean;
}

/** Makes a film of bones and writes it with its truth: `film.dcm`, `truth.json`, `marks.json`. */
export async function filmSimulateCommand(options: FilmSimulateOptions): Promise<string> {
  checkNumbers(options);
  const files = {
    femur: await boneFile(options.femur, 'femur'),
    tibia: await boneFile(options.tibia, 'tibia'),
    ...(options.fibula ? { fibula: await boneFile(options.fibula, 'fibula') } : {}),
    ...(options.patella ? { patella: await boneFile(options.patella, 'patella') } : {}),
  };
  const { meshes } = must(readBoneFiles(files));
  const limb = must(filmLimb(must(legFromBones(meshes, { side: options.side })), meshes));
  const flexDeg = options.flex ?? (options.view === 'skyline' ? usualSetup.skylineFlexDeg : 0);
  const pose = { rotate: inside(options.rotate, 'deg'), flex: inside(flexDeg, 'deg') };
  const scene = must(
    filmScene(limb, pose, {
      view: options.view,
      sourceDistanceMm: options.sourceDistance,
      boneDistanceMm: options.boneDistance,
      pixelMm: options.pixel,
      exposures: options.stitch,
      ballMm: options.ball,
      ballDepthMm: options.ballDepth,
      mirrored: options.mirror,
    }),
  );
  const truth = truthOf(scene, options, flexDeg);
  // What goes into the film names it: the same film has the same identifiers, another has others.
  const { out, json, ...shaping } = options;
  const inputs = [JSON.stringify(shaping), ...Object.values(files).map(({ bytes }) => sha256Of(bytes))].join('\n');
  const bytes = filmFile(scene, options, painted(scene, options), (what) => uid(`${what}\n${inputs}`));
  await save(options.out, [
    ['film.dcm', bytes],
    ['truth.json', `${JSON.stringify(truth, null, 2)}\n`],
    ['marks.json', `${JSON.stringify(marksOf(scene), null, 2)}\n`],
  ]);
  return options.json ? JSON.stringify(truth, null, 2) : said(scene, options, flexDeg);
}

function checkNumbers({ seed, exposure, noise, ball, ballDepth }: FilmSimulateOptions): void {
  const reasons = [
    ...(Number.isSafeInteger(seed) ? [] : [`--seed ${seed} is not a whole number.`]),
    ...(exposure >= 0.001 && exposure <= 1000 ? [] : [`--exposure ${exposure}; 0.001 to 1000 is needed.`]),
    ...(noise >= 0 && noise <= 100 ? [] : [`--noise ${noise}; 0 to 100 is needed.`]),
    ...(ball === 0 && ballDepth !== undefined ? ['--ball 0 leaves no ball for --ball-depth to move.'] : []),
  ];
  if (reasons.length > 0) throw new BadInput(reasons);
}

/** The picture, with progress on a terminal. */
function painted(scene: FilmScene, options: FilmSimulateOptions): Uint16Array {
  const letter = options.letter ?? (options.side === 'right' ? 'R' : 'L');
  const { seed, exposure, noise } = options;
  const plan = filmPlan(scene, { ...usualLook, seed, exposure, noise, letter: letter === 'none' ? undefined : letter });
  const painting = filmPicture(plan);
  const terminal = process.stderr.isTTY === true;
  for (;;) {
    const step = painting.next();
    if (terminal) {
      const share = step.done ? 1 : step.value / scene.cone.rows;
      process.stderr.write(step.done ? '\r\u001b[K' : `\rfilm ${Math.round(100 * share)} %`);
    }
    if (step.done) return step.value;
  }
}

const uid = (text: string): string => `2.25.${BigInt(`0x${sha256Of(new TextEncoder().encode(text)).slice(0, 32)}`)}`;

/** Rows of the picture run to, and columns run to; the patient faces you. */
const orientations = {
  'long-leg': ['L', 'F'],
  'knee-front': ['L', 'F'],
  'knee-lateral': ['P', 'F'],
  skyline: ['L', 'P'],
} as const satisfies Readonly<Record<SimulatedView, readonly [string, string]>>;

const viewPositions = { 'long-leg': 'AP', 'knee-front': 'AP', 'knee-lateral': 'ML', skyline: '' } as const;
const knee = { bodyPart: 'KNEE', value: '72696002', scheme: 'SCT', meaning: 'Knee' };
const wholeLimb = { bodyPart: 'LEG', value: '61685007', scheme: 'SCT', meaning: 'Lower extremity' };

/** The film as DICOM; lengths are those of the detector, and nothing is said of the bone. */
function filmFile(
  { view, side, cone }: FilmScene,
  { rotate, stitch }: FilmSimulateOptions,
  data: Uint16Array,
  uidOf: (what: string) => string,
): Uint8Array {
  return writtenFilm({
    rows: cone.rows,
    columns: cone.columns,
    data,
    bitsStored: filmBits,
    monochrome: 2,
    imagerSpacing: { rowMm: cone.pixelMm, columnMm: cone.pixelMm },
    sourceToDetectorMm: cone.sourceDistanceMm,
    side,
    modality: 'DX',
    viewPosition: viewPositions[view],
    patientOrientation: orientations[view],
    region: view === 'long-leg' ? wholeLimb : knee,
    stitched: (stitch ?? 1) > 1,
    studyUid: uidOf('study'),
    seriesUid: uidOf('series'),
    instanceUid: uidOf('film'),
    patientName: 'SIMULATED^LIMB',
    patientId: 'SIMULATED',
    date: '20200101',
    time: '120000',
    description: `Simulated ${view}, turned ${rotate} deg`,
    window: filmWindow,
  });
}

const degrees = (angle: number): number => outside(angle, 'deg');

/** All that is known of the film. */
function truthOf(scene: FilmScene, options: FilmSimulateOptions, flexDeg: number) {
  const { cone, inPose, ball } = scene;
  return {
    side: scene.side,
    view: scene.view,
    rotate: options.rotate,
    flex: flexDeg,
    quantities: scene.truthQuantities,
    geometry: {
      rows: cone.rows,
      columns: cone.columns,
      pixelMm: cone.pixelMm,
      sourceDistanceMm: cone.sourceDistanceMm,
      boneDistanceMm: cone.boneDistanceMm,
      boneMagnification: boneMagnification(cone),
      exposures: cone.exposures.length,
      mirrored: cone.mirrored,
      seed: options.seed,
      ball: ball ? { diameterMm: ball.diameterMm, depthMm: ball.depthMm } : null,
      pose: {
        limbVarusDeg: degrees(inPose.limbVarus),
        flexionDeg: degrees(inPose.flexion),
        jointConvergenceDeg: inPose.jointConvergence === undefined ? null : degrees(inPose.jointConvergence),
      },
      beyondFilm: scene.beyond,
    },
    findings: [...scene.limb.findings, ...scene.findings],
  };
}

/** True marks, in pixels of the file. */
function marksOf({ view, side, marks, ball }: FilmScene) {
  return {
    view,
    side,
    landmarks: Object.fromEntries(marks.map(({ name, ...mark }) => [name, mark])),
    ...(view === 'long-leg' || view === 'knee-front' ? { posture: 'standing' } : {}),
    ...(ball ? { calibration: { diameterMm: ball.diameterMm, rim: ball.rim, depthMm: ball.depthMm } } : {}),
  };
}

async function save(folder: string, files: readonly (readonly [string, Uint8Array | string])[]): Promise<void> {
  try {
    await mkdir(folder, { recursive: true });
  } catch (e) {
    cannotWrite(e, `The folder ${folder}`);
  }
  for (const [name, content] of files) {
    try {
      await writeFile(join(folder, name), content, { flag: 'wx' });
    } catch (e) {
      cannotWrite(e, join(folder, name));
    }
  }
}

function said(scene: FilmScene, options: FilmSimulateOptions, flexDeg: number): string {
  const { cone } = scene;
  return [
    `${scene.side.toUpperCase()} limb, ${scene.view} film: turned ${options.rotate} deg, bent ${flexDeg} deg`,
    '',
    `${cone.columns} x ${cone.rows} pixels of ${cone.pixelMm} mm; source ${cone.sourceDistanceMm} mm from the detector, bone ` +
      `${cone.boneDistanceMm.toFixed(0)} mm: ${boneMagnification(cone).toFixed(4)} times as large`,
    `${scene.marks.length} true marks${scene.beyond.length > 0 ? `; beyond the film: ${scene.beyond.join(', ')}` : ''}`,
    '',
    `written: ${['film.dcm', 'truth.json', 'marks.json'].map((name) => join(options.out, name)).join(', ')}`,
    ...(scene.findings.length > 0 ? ['', findingsText(scene.findings)] : []),
  ].join('\n');
}
