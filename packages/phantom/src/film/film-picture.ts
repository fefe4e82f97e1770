import { add, cross, dot, rotated, type Surface, type Vec3 } from '@kerfline/geometry';
import { randomStream } from '@kerfline/uncertainty';
import { blurred, halfKernel } from './blur.ts';
import { boneMagnification, type FilmCone, seenThrough, sourceOf } from './film-cone.ts';
import type { FilmScene } from './film-scene.ts';
import { insideBone } from './inside-bone.ts';
import { addPathLength, type ProjectedSurface } from './path-length.ts';
import { onLetter, type SideLetter } from './side-letter.ts';
import { softTissue } from './soft-tissue.ts';

/** What the picture is made with. */
export interface FilmLook {
  readonly seed: number;
  /** Share of the usual number of photons: fewer make more noise. */
  readonly exposure: number;
  /** Share of the noise that so many photons make; 0 for none. */
  readonly noise: number;
  /** Gaussian sd of detector and focal spot, at the detector, mm. */
  readonly blurMm: number;
  readonly letter: SideLetter | undefined;
}

export const usualLook: FilmLook = { seed: 1, exposure: 1, noise: 1, blurMm: 0.15, letter: undefined };

/**
 * Share of a beam lost in a millimetre, as tabulated for 60 keV photons (from memory): dense bone, bone inside its shell with
 * marrow, soft tissue, steel.
 */
const perMm = { shell: 0.06, inside: 0.027, soft: 0.0217, steel: 0.95 } as const;
/** @numerical Photons in a pixel of 0.2 mm that nothing stands before: common practice, no source. */
const photonsOf02 = 60_000;
/** @numerical Stored values for each factor e of darkness, and the largest there is: twelve bits. */
const valuesPerFold = 630;
const largest = 4095;
export const filmBits = 12;
/** Values between which a picture is shown at first: bone and the soft tissue around it. */
export const filmWindow = { centre: 3.2 * valuesPerFold, width: 4.2 * valuesPerFold } as const;
/** @numerical Of a skyline film: how much of the limb before the kneecap the beam meets; the shin is held out of it, mm. */
const skylineBeforeMm = 45;
/** @numerical Side letter: height, half its stroke (share of the height), and its distance from the edges, mm. */
const letterMm = { height: 20, halfStroke: 0.08, margin: 15 } as const;

/** What rows of one exposure are made of. */
interface ExposureBodies {
  readonly fromRow: number;
  readonly toRow: number;
  readonly bones: readonly { readonly outer: ProjectedSurface; readonly inner: ProjectedSurface }[];
  readonly tissue: ProjectedSurface;
}

/** A film ready to be painted, band by band: plain data, so that other threads may share the work. */
export interface FilmPlan {
  readonly cone: FilmCone;
  readonly look: FilmLook;
  readonly sign: 1 | -1;
  readonly reach: readonly [number, number];
  readonly exposures: readonly ExposureBodies[];
  readonly ball: { readonly centre: Vec3; readonly radiusMm: number } | undefined;
  readonly letterAtRight: boolean;
}

function projected(cone: FilmCone, exposure: number, { positions, triangles }: Surface): ProjectedSurface {
  const corners = new Float64Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const { pixel, magnification } = seenThrough(cone, [positions[i]!, positions[i + 1]!, positions[i + 2]!], exposure);
    corners[i] = pixel[0];
    corners[i + 1] = pixel[1];
    corners[i + 2] = magnification / cone.sourceDistanceMm;
  }
  return { corners, triangles };
}

/** Bodies of a scene as its exposures see them: everything that the painting of any band needs. */
export function filmPlan(scene: FilmScene, look: FilmLook): FilmPlan {
  const { cone, bent, limb } = scene;
  const moved = (on: 'femur' | 'tibia' | 'patella', { positions, triangles }: Surface): Surface => {
    const { rotation, shift } = bent.motion(on);
    const out = new Float64Array(positions.length);
    for (let i = 0; i < positions.length; i += 3) {
      out.set(add(rotated(rotation, [positions[i]!, positions[i + 1]!, positions[i + 2]!]), shift), i);
    }
    return { positions: out, triangles };
  };
  const bones = limb.surfaces.map(({ name, on, mesh }) => ({
    outer: moved(on, mesh),
    inner: moved(on, insideBone(name, mesh)),
  }));
  const tissue = softTissue(limb, bent);
  const m = boneMagnification(cone);
  const rowOf = (down: number): number => Math.round((down * m - cone.topMm) / cone.pixelMm);
  const handed = dot(cross(cone.right, cone.down), cone.away) > 0 !== cone.mirrored;
  const { sourceDistanceMm: far, boneDistanceMm } = cone;
  return {
    cone,
    look,
    sign: handed ? 1 : -1,
    reach: scene.view === 'skyline' ? [far - boneDistanceMm - skylineBeforeMm, far] : [1, far],
    exposures: cone.exposures.map(({ from, to }, i) => ({
      fromRow: i === 0 ? 0 : rowOf(from),
      toRow: i === cone.exposures.length - 1 ? cone.rows : rowOf(to),
      bones: bones.map(({ outer, inner }) => ({
        outer: projected(cone, i, outer),
        inner: projected(cone, i, inner),
      })),
      tissue: projected(cone, i, tissue),
    })),
    ball: scene.ball && { centre: scene.ball.centre, radiusMm: scene.ball.diameterMm / 2 },
    letterAtRight: (scene.view !== 'knee-lateral' && scene.side === 'left') !== cone.mirrored,
  };
}

/** Path of a ray through a ball, mm: 2 sqrt(r^2 - d^2), d the distance of its middle from the ray. */
export const chord = (radius: number, distance: number): number =>
  distance >= radius ? 0 : 2 * Math.sqrt(radius ** 2 - distance ** 2);

/** How much of the beam is lost (as a power of e) at every pixel of some rows, before any blur. */
function darkness(plan: FilmPlan, fromRow: number, toRow: number): Float32Array {
  const { cone, sign, reach } = plan;
  const { columns, pixelMm, sourceDistanceMm: far } = cone;
  const sum = new Float32Array((toRow - fromRow) * columns);
  plan.exposures.forEach((exposure, index) => {
    const from = Math.max(fromRow, exposure.fromRow);
    const to = Math.min(toRow, exposure.toRow);
    if (from >= to) return;
    const band = { columns, fromRow: from, toRow: to };
    const size = (to - from) * columns;
    const tissue = new Float32Array(size);
    const bone = new Float32Array(size);
    const inside = new Float32Array(size);
    addPathLength(tissue, band, exposure.tissue, sign, reach);
    for (const { outer, inner } of exposure.bones) {
      addPathLength(bone, band, outer, sign, reach);
      addPathLength(inside, band, inner, sign, reach);
    }
    const middleRow = (cone.exposures[index]!.sourceDown * boneMagnification(cone) - cone.topMm) / pixelMm;
    for (let row = from; row < to; row += 1) {
      const y = ((row + 0.5 - middleRow) * pixelMm) / far;
      for (let column = 0, at = (row - from) * columns; column < columns; column += 1, at += 1) {
        const soft = tissue[at]!;
        const all = Math.max(0, bone[at]!);
        if (soft <= 0 && all === 0) continue;
        const x = ((column + 0.5 - columns / 2) * pixelMm) / far;
        const within = Math.min(all, Math.max(0, inside[at]!));
        sum[(row - fromRow) * columns + column] =
          Math.sqrt(1 + x * x + y * y) *
          (perMm.shell * (all - within) + perMm.inside * within + perMm.soft * Math.max(0, soft - all));
      }
    }
    if (plan.ball) addBall(plan, plan.ball, index, sum, fromRow, from, to);
  });
  return sum;
}

function addBall(
  { cone }: FilmPlan,
  { centre, radiusMm }: NonNullable<FilmPlan['ball']>,
  exposure: number,
  sum: Float32Array,
  firstRow: number,
  from: number,
  to: number,
): void {
  const { pixel, magnification } = seenThrough(cone, centre, exposure);
  const reach = (1.2 * radiusMm * magnification) / cone.pixelMm + 2;
  const source = sourceOf(cone, exposure);
  const middle = [0, 1, 2].map((k) => centre[k]! - source[k]!) as unknown as Vec3;
  const middleRow = (cone.exposures[exposure]!.sourceDown * boneMagnification(cone) - cone.topMm) / cone.pixelMm;
  for (let row = Math.max(from, Math.floor(pixel[1] - reach)); row < Math.min(to, pixel[1] + reach); row += 1) {
    const start = Math.max(0, Math.floor(pixel[0] - reach));
    for (let column = start; column < Math.min(cone.columns, pixel[0] + reach); column += 1) {
      const across = (column + 0.5 - cone.columns / 2) * cone.pixelMm * (cone.mirrored ? -1 : 1);
      const downward = (row + 0.5 - middleRow) * cone.pixelMm;
      const ray = [0, 1, 2].map(
        (k) => across * cone.right[k]! + downward * cone.down[k]! + cone.sourceDistanceMm * cone.away[k]!,
      ) as unknown as Vec3;
      const off = cross(middle, ray);
      const distance = Math.sqrt(dot(off, off) / dot(ray, ray));
      sum[(row - firstRow) * cone.columns + column]! += perMm.steel * chord(radiusMm, distance);
    }
  }
}

/** Rows of a film, 12 bits, brighter where less comes through. The same rows come out whatever bands they are painted in. */
export function filmBand(plan: FilmPlan, fromRow: number, toRow: number): Uint16Array {
  const { cone, look } = plan;
  const { columns, rows, pixelMm } = cone;
  const kernel = halfKernel(look.blurMm / pixelMm);
  const halo = kernel.length - 1;
  const first = Math.max(0, fromRow - halo);
  const last = Math.min(rows, toRow + halo);
  const light = darkness(plan, first, last);
  for (let i = 0; i < light.length; i += 1) light[i] = light[i]! === 0 ? 1 : Math.exp(-light[i]!);
  const seen = blurred(light, columns, last - first, fromRow - first, toRow - first, kernel);
  const photons = photonsOf02 * look.exposure * (pixelMm / 0.2) ** 2;
  const out = new Uint16Array(seen.length);
  for (let row = fromRow; row < toRow; row += 1) {
    const random = randomStream(look.seed, 'film', row);
    for (let c = 0, at = (row - fromRow) * columns; c < columns; c += 1, at += 1) {
      const count = photons * seen[at]!;
      const counted = look.noise > 0 ? Math.max(1, count + look.noise * Math.sqrt(count) * random.normal()) : count;
      const value = Math.round(100 - valuesPerFold * Math.log(counted / photons));
      out[at] = Math.min(largest, Math.max(0, value));
    }
  }
  if (look.letter) burnIn(plan, look.letter, out, fromRow, toRow);
  return out;
}

function burnIn(plan: FilmPlan, letter: SideLetter, out: Uint16Array, fromRow: number, toRow: number): void {
  const { columns, pixelMm, mirrored } = plan.cone;
  const height = letterMm.height / pixelMm;
  const margin = letterMm.margin / pixelMm;
  const half = letterMm.halfStroke;
  const left = plan.letterAtRight ? columns - margin - 0.6 * height : margin;
  for (let row = Math.max(fromRow, Math.floor(margin)); row < Math.min(toRow, margin + 1.3 * height); row += 1) {
    for (let column = Math.floor(left - half * height); column < left + 0.8 * height; column += 1) {
      const across = (column + 0.5 - left) / height;
      const x = mirrored ? 0.6 - across : across;
      if (column >= 0 && column < columns && onLetter(letter, x, (row + 0.5 - margin) / height - 0.1, half)) {
        out[(row - fromRow) * columns + column] = largest;
      }
    }
  }
}

/** @numerical Rows painted at once: memory stays small, and a picture can be stopped soon. */
const bandRows = 256;

/** Paints a whole film band by band; after each it tells the rows done. Stop by asking for no more. */
export function* filmPicture(plan: FilmPlan): Generator<number, Uint16Array> {
  const { columns, rows } = plan.cone;
  const picture = new Uint16Array(columns * rows);
  for (let from = 0; from < rows; from += bandRows) {
    const to = Math.min(rows, from + bandRows);
    picture.set(filmBand(plan, from, to), from * columns);
    yield to;
  }
  return picture;
}
