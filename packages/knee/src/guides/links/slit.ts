import { add, dot, scaled, unit, type Vec3 } from '@kerfline/geometry';
import { type CutPlane, cutDirection } from '../../cuts/cut-plane.ts';
import type { FemurSize } from '../../kits/kit.ts';
import { type CutName, type Face, type SlitLink, sizedPart, sizeSlide } from '../guide.ts';
import { type Placement, settingOf, type Walk } from '../placement.ts';

const degrees = Math.PI / 180;

/** A slit's plane before the saw: its normal, the way its blade goes in, and a point on it. */
interface SlitPlane {
  readonly normal: Vec3;
  readonly blade: Vec3;
  readonly through: Vec3;
}

/** The component whose faces a block makes, in the size that is set or taken. */
function component(link: SlitLink, walk: Walk): FemurSize {
  const from = sizedPart(walk.guide) ?? sizeSlide(walk.guide);
  if (!from) throw new Error(`${walk.guide.id}: ${link.id} makes a face of a component, but nothing sets its size`);
  const size = settingOf(walk, from.id).value;
  const found = walk.components.femur.find((f) => f.size === size);
  if (!found) throw new Error(`no femoral component of size ${size}`);
  return found;
}

function known(size: FemurSize, face: 'rearChamfer' | 'frontChamfer') {
  const chamfer = size[face];
  if (!chamfer) throw new Error(`femoral component ${size.size} has no ${face}`);
  return chamfer;
}

/**
 * A face of a component, on a block that stands with its P axis square to the distal cut, its origin level with the cut and
 * at the component's rear surface. A chamfer takes the corner off between the distal face and the rear or front one.
 */
function facePlane(face: Face, size: FemurSize, at: Placement): SlitPlane {
  const [, a, p] = at.axes;
  const point = (front: number): Vec3 => add(at.origin, scaled(a, front));
  switch (face) {
    case 'rear':
      return { normal: a, blade: p, through: point(size.rearMm) };
    case 'front':
      return { normal: a, blade: p, through: point(size.size) };
    case 'rearChamfer': {
      const { deg, cornerMm } = known(size, face);
      const [s, c] = [Math.sin(deg * degrees), Math.cos(deg * degrees)];
      return {
        normal: add(scaled(a, s), scaled(p, c)),
        blade: add(scaled(p, s), scaled(a, -c)),
        through: point(size.rearMm + cornerMm),
      };
    }
    case 'frontChamfer': {
      const { deg, cornerMm } = known(size, face);
      const [s, c] = [Math.sin(deg * degrees), Math.cos(deg * degrees)];
      return {
        normal: add(scaled(a, s), scaled(p, -c)),
        blade: add(scaled(p, s), scaled(a, c)),
        through: point(size.size - cornerMm),
      };
    }
  }
}

/** A slit that makes no face of a component lies square to the axis of its cut. */
function ownPlane(cut: CutName, at: Placement): SlitPlane {
  const { axis } = cutDirection(cut);
  return { normal: at.axes[axis], blade: at.axes[axis === 2 ? 1 : 2], through: at.origin };
}

/**
 * The plane that a slit's saw leaves on the bone. With the retained face as reference the slit is set on it and the kerf comes
 * off the piece; with the piece's face as reference the bone loses the kerf. A worn slit (`bias`) lies deeper than it should.
 */
export function cutThrough(link: SlitLink, cut: CutName, at: Placement, walk: Walk): CutPlane {
  const { into } = cutDirection(cut);
  const kerf = link.kerfMm + (walk.errors.kerf ?? 0);
  // Side to side (coronal) and along the blade (sagittal), whichever way the cut faces.
  const side = walk.errors[`${link.id}.coronal`] ?? 0;
  const along = walk.errors[`${link.id}.sagittal`] ?? 0;
  const { normal, blade, through } = link.face ? facePlane(link.face, component(link, walk), at) : ownPlane(cut, at);
  // The saw leaves the slit's plane by small angles in its two directions.
  const sawn: Vec3 =
    side === 0 && along === 0
      ? normal
      : unit(add(normal, add(scaled(at.axes[0], -side * degrees), scaled(blade, along * degrees))));
  const deeper = (link.bias ?? 0) + (walk.errors[link.id] ?? 0) + (link.referenceFace === 'piece' ? kerf : 0);
  return { cut, normal: sawn, offset: dot(sawn, through) + into * deeper, kerf };
}
