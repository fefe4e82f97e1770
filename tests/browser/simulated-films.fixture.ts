import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type WritableFilm, writtenFilm } from '@kerfline/imaging';
import { inside, legFromBones, type Side } from '@kerfline/knee';
import {
  filmBits,
  filmLimb,
  filmPicture,
  filmPlan,
  filmScene,
  filmWindow,
  phantomBones,
  type SimulatedView,
  typicalKnee,
  usualLook,
} from '@kerfline/phantom';

/** A simulated film as a file, with where its marks truly are. */
export interface SimulatedFilm {
  readonly view: SimulatedView;
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly marks: readonly { readonly name: string; readonly pixel: readonly [number, number] }[];
  readonly ball: readonly (readonly [number, number])[];
}

const common = {
  bitsStored: filmBits,
  monochrome: 2,
  modality: 'DX',
  viewPosition: 'AP',
  patientOrientation: ['L', 'F'],
  patientName: 'SIMULATED^LIMB',
  patientId: 'SIMULATED',
  date: '20200101',
  time: '120000',
  description: 'simulated',
  window: filmWindow,
} as const satisfies Partial<WritableFilm>;

/** Films of one virtual limb, with a ball of 25 mm at the depth of the bone; coarse pixels, to save time. */
export function simulatedFilms(side: Side, views: readonly SimulatedView[], pixelMm = 0.5): readonly SimulatedFilm[] {
  const meshes = phantomBones({ ...typicalKnee, side }, { cellMm: 3 });
  const measured = legFromBones(meshes, { side });
  if (!measured.ok) throw new Error(measured.error.map((r) => r.message).join(' '));
  const limb = filmLimb(measured.value, meshes);
  if (!limb.ok) throw new Error('no limb');
  return views.map((view, k) => {
    const flex = inside(view === 'skyline' ? 40 : 0, 'deg');
    const scene = filmScene(limb.value, { rotate: 0, flex }, { view, pixelMm, ballMm: 25, ballDepthMm: 0 });
    if (!scene.ok) throw new Error('no scene');
    const { cone, marks, ball } = scene.value;
    const letter = side === 'right' ? 'R' : 'L';
    const painting = filmPicture(filmPlan(scene.value, { ...usualLook, seed: k, exposure: 1, noise: 1, letter }));
    let step = painting.next();
    while (!step.done) step = painting.next();
    const bytes = writtenFilm({
      ...common,
      rows: cone.rows,
      columns: cone.columns,
      data: step.value,
      imagerSpacing: { rowMm: cone.pixelMm, columnMm: cone.pixelMm },
      sourceToDetectorMm: cone.sourceDistanceMm,
      side,
      studyUid: '2.25.1',
      seriesUid: '2.25.2',
      instanceUid: `2.25.${3 + k}`,
    });
    return {
      view,
      name: `${view}.dcm`,
      bytes,
      marks: marks.map(({ name, pixel }) => ({ name, pixel: [pixel[0], pixel[1]] as const })),
      ball: (ball?.rim ?? []).map(([c, r]) => [c, r] as const),
    };
  });
}

/** The same as a file on the disk: the browser is not sent a hundred megabytes. */
export async function largeFilmFile(side: Side): Promise<string> {
  const path = join(await mkdtemp(join(tmpdir(), 'kerfline-film-')), 'large.dcm');
  await writeFile(path, largeFilm(side));
  return path;
}

/** A film as large as a whole leg at a tenth of a millimetre, uncompressed, of stripes and noise. */
function largeFilm(side: Side, columns = 4000, rows = 12000): Uint8Array {
  const data = new Uint16Array(columns * rows);
  for (let row = 0; row < rows; row += 1) {
    for (let column = 0; column < columns; column += 1) {
      const shaft = Math.abs(column - columns / 2 - 60 * Math.sin(row / 2000)) < 300;
      data[row * columns + column] = (shaft ? 2600 : 900) + ((column * 7919 + row * 104729) % 97);
    }
  }
  return writtenFilm({
    ...common,
    rows,
    columns,
    data,
    bitsStored: 12,
    window: { centre: 1900, width: 3000 },
    imagerSpacing: { rowMm: 0.1, columnMm: 0.1 },
    side,
    studyUid: '2.25.1',
    seriesUid: '2.25.2',
    instanceUid: '2.25.99',
  });
}
