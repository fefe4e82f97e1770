import type { Field } from '@kerfline/geometry';
import { fromDegrees } from './degrees.ts';
import type { BoneLoss, FemurParameters } from './knee-parameters.ts';
import { ellipsoid } from './primitives.ts';
import { sagittalProfile } from './sagittal-profile.ts';
import { smoothMax, smoothMin, smoothStep } from './smooth-blend.ts';
import { splineTable } from './spline-table.ts';

/** The drawing below is made for a femur of this width and depth, mm, and stretched to the wanted one. */
export const DRAWN_WIDTH_MM = 72;
export const DRAWN_DEPTH_MM = 64;

/** How far the distal contacts lie below the front edge of the notch, mm, before LDFA tips them. */
const NOTCH_ABOVE_CONTACTS_MM = 8;

/** A worn facet is not quite flat, so that it still has one lowest point. Working default, no source. */
const FACET_RADIUS_MM = 90;

/**
 * The lower end of the femur: condyles, groove and notch, joined to the shaft.
 *
 * One body turned about an axis along L: in every direction from that axis and at every place along it the surface lies at
 * a drawn radius, the larger of two crowned condyle treads and of the floor of the groove, melted together. Side walls bound
 * it, epicondyles stand on the walls, and the notch is taken out from below and behind.
 *
 * Frame: the femur's drawn frame, origin just above the front edge of the notch; mm.
 *
 * @param withShaft the union of the condyles' field, given at a place, with the shaft's
 */
export function distalFemur(
  femur: FemurParameters,
  loss: BoneLoss,
  withShaft: (x: number, y: number, z: number, condyles: number) => number,
): Field {
  const sl = femur.widthMm / DRAWN_WIDTH_MM;
  const sa = femur.lateralDepthMm / DRAWN_DEPTH_MM;
  const tip = (femur.distalSpacingMm * Math.tan(fromDegrees(90 - femur.ldfaDeg))) / 2;
  const distalMedial = -NOTCH_ABOVE_CONTACTS_MM * sa - tip;
  const distalLateral = -NOTCH_ABOVE_CONTACTS_MM * sa + tip;
  const back = -35 * sa;
  const middle: readonly [number, number] = [-4 * sa, 12 * sa];

  const medialTread = sagittalProfile(
    {
      posterior: [back, 14 * sa],
      distal: [-5 * sa, distalMedial],
      anterior: [back + femur.medialDepthMm, 12 * sa],
    },
    14 * sa,
    middle,
  );
  const lateralTread = sagittalProfile(
    {
      posterior: [back, 13 * sa],
      distal: [-6 * sa, distalLateral],
      anterior: [back + femur.lateralDepthMm, 15 * sa],
    },
    13 * sa,
    middle,
  );
  const floor = sagittalProfile(
    {
      posterior: [-16 * sa, 11 * sa],
      distal: [0, 0],
      anterior: [back + femur.medialDepthMm - femur.trochlearDepthMm - 1.5, 15 * sa],
    },
    8 * sa,
    middle,
  );

  // Where the crown of each tread runs along L, by direction: behind, below, in front.
  const track = (behind: number, below: number, before: number) => (angle: number) => {
    const forward = smoothStep(-0.5, 1, Math.cos(angle) + 0.25 * Math.sin(angle));
    const rear = smoothStep(0.2, 0.95, -Math.cos(angle));
    return below + (before - below) * forward + (behind - below) * rear;
  };
  const medialTrack = track(
    -femur.posteriorSpacingMm / 2 - 1.7 * sl,
    -femur.distalSpacingMm / 2 - 1.5 * sl,
    -14.5 * sl,
  );
  const lateralTrack = track(femur.posteriorSpacingMm / 2 - 0.7 * sl, femur.distalSpacingMm / 2 - 0.9 * sl, 16.5 * sl);
  // Radius of the crown from side to side: rounder toward the notch and the groove, flatter outward.
  const inner = (angle: number) =>
    (26 - 3 * Math.max(0, Math.cos(angle)) + 30 * smoothStep(0.2, 0.9, -Math.cos(angle))) * sl;
  const outer = (angle: number) => (44 - 20 * Math.max(0, Math.cos(angle))) * sl;
  const drop = (outward: number, angle: number) => outward ** 2 / (2 * (outward > 0 ? outer(angle) : inner(angle)));

  const tread = splineTable(
    { from: -Math.PI, to: Math.PI, steps: 108, periodic: true },
    { from: -50 * sl, to: 50 * sl, steps: 67 },
    (angle, l) => {
      const medial = medialTread(angle) - drop(medialTrack(angle) - l, angle);
      const lateral = lateralTread(angle) - drop(l - lateralTrack(angle), angle);
      return Math.max(2, smoothMax(smoothMax(medial, lateral, 6), floor(angle), 6));
    },
  );

  // Side walls: barrel-shaped seen from the front, turning in toward the front and a little toward the back.
  const wall = (reach: number, frontDeg: number, backDeg: number) => {
    const [cf, sf] = [Math.cos(fromDegrees(frontDeg)), Math.sin(fromDegrees(frontDeg))];
    const [cb, sb] = [Math.cos(fromDegrees(backDeg)), Math.sin(fromDegrees(backDeg))];
    const barrel = 1 / (240 * sa);
    return (out: number, a: number, p: number): number => {
      const o = out - reach + (p - 20 * sa) ** 2 * barrel;
      const front = cf * o + sf * (a - 2 * sa);
      const rear = cb * o - sb * (a + 12 * sa);
      const above = 0.8 * o + 0.6 * (p - 26 * sa);
      return smoothMax(smoothMax(front, rear, 12 * sa), above, 12 * sa);
    };
  };
  const medialWall = wall(0.535 * femur.widthMm + 1.1 * sa, 40, 9);
  const lateralWall = wall(0.465 * femur.widthMm + 1.1 * sa, 25, 10);

  // The walls that the epicondyles melt into do not turn with them, so they are set apart by a little more.
  const twistOffset = 0.6 * femur.epicondylarWidthMm * Math.tan(fromDegrees(femur.condylarTwistDeg));
  const medialReach = femur.epicondylarWidthMm / 2 + 3 * sl;
  const lateralReach = femur.epicondylarWidthMm / 2 - 3 * sl;
  const medialEpicondyle = ellipsoid(
    [13 * sl - medialReach, twistOffset - 8 * sa, 20 * sa],
    [13 * sl, 15 * sa, 13 * sa],
  );
  const lateralEpicondyle = ellipsoid(
    [lateralReach - 12 * sl, -twistOffset - 8 * sa, 18 * sa],
    [12 * sl, 13 * sa, 12 * sa],
  );

  const roof = fromDegrees(51);
  const [roofA, roofP] = [Math.sin(roof), Math.cos(roof)];
  const halfNotch = femur.notchWidthMm / 2;

  return (x, y, z) => {
    const dy = y - middle[0];
    const dz = z - middle[1];
    let body = Math.sqrt(dy * dy + dz * dz) - tread(Math.atan2(dz, dy), x);
    body = smoothMax(body, x < 0 ? medialWall(-x, y, z) : lateralWall(x, y, z), 11 * sl);
    body = smoothMin(body, x < 0 ? medialEpicondyle(x, y, z) : lateralEpicondyle(x, y, z), 16 * sl);
    body = withShaft(x, y, z, body);
    // An arch: round under the roof, and wider the farther below and behind it.
    const depth = -roofA * (y + 1.5 * sa) - roofP * z;
    const half = halfNotch * (0.8 + 0.2 * smoothStep(0, 16 * sa, depth));
    const under = Math.max(0, half - depth);
    const notch = Math.sqrt((x + 0.5 * sl) ** 2 + under * under) - half;
    body = smoothMax(body, -notch, 6 * sa);
    const medial = x < 0;
    const inward = 3 * Math.max(0, medial ? x + 8 : 8 - x);
    const distalLoss = medial ? loss.distalMedialMm : loss.distalLateralMm;
    if (distalLoss > 0) {
      const off = (Math.abs(x) - femur.distalSpacingMm / 2) ** 2 + (y + 5 * sa) ** 2;
      const facet = (medial ? distalMedial : distalLateral) + distalLoss + off / (2 * FACET_RADIUS_MM);
      body = smoothMax(body, facet - z - inward, 1.5);
    }
    const posteriorLoss = medial ? loss.posteriorMedialMm : loss.posteriorLateralMm;
    if (posteriorLoss > 0) {
      const off = (Math.abs(x) - femur.posteriorSpacingMm / 2) ** 2 + (z - 13 * sa) ** 2;
      body = smoothMax(body, back + posteriorLoss + off / (2 * FACET_RADIUS_MM) - y - inward, 1.5);
    }
    return body;
  };
}
