import { add, dot, scaled, unit, type Vec3 } from '@kerfline/geometry';
import { type CutPlane, cutDirection } from '../../cuts/cut-plane.ts';
import type { CutName, SlitLink } from '../guide.ts';
import { type Placement, settingOf, type Walk } from '../placement.ts';

/** Offset of a slit on a sizing frame: the face of the component it makes, along A from the component's rear surface. */
function faceOffset(link: SlitLink, walk: Walk): number {
  if (!link.face) return 0;
  const sizeLink = walk.guide.links.find((l) => l.kind === 'slide' && l.sizes);
  if (!sizeLink)
    throw new Error(`${walk.guide.id}: ${link.id} makes a face of a component, but no slide sets its size`);
  const size = settingOf(walk, sizeLink.id).value;
  const component = walk.components.femur.find((f) => f.size === size);
  if (!component) throw new Error(`no femoral component of size ${size}`);
  return link.face === 'rear' ? component.rearMm : component.size;
}

/**
 * The plane that a slit's saw leaves on the bone. With the retained face as reference the slit is set on it and the kerf comes
 * off the piece; with the piece's face as reference the bone loses the kerf.
 */
export function cutThrough(link: SlitLink, cut: CutName, at: Placement, walk: Walk): CutPlane {
  const { axis, into } = cutDirection(cut);
  const kerf = link.kerfMm + (walk.errors.kerf ?? 0);
  // Side to side (coronal) and along the blade (sagittal), whichever way the cut faces.
  const side = walk.errors[`${link.id}.coronal`] ?? 0;
  const along = walk.errors[`${link.id}.sagittal`] ?? 0;
  const normal = at.axes[axis];
  // The saw leaves the slit's plane by small angles in its two directions.
  const sawn: Vec3 =
    side === 0 && along === 0
      ? normal
      : unit(
          add(
            normal,
            add(
              scaled(at.axes[0], -(side * Math.PI) / 180),
              scaled(at.axes[axis === 2 ? 1 : 2], (along * Math.PI) / 180),
            ),
          ),
        );
  const through = add(at.origin, scaled(normal, faceOffset(link, walk)));
  const offset = dot(sawn, through);
  return {
    cut,
    normal: sawn,
    offset: link.referenceFace === 'retained' ? offset : offset + into * kerf,
    kerf,
  };
}
