/**
 * Apparent coronal angle on a film of a limb that is turned and bent: tan(apparent) = tan v cos t + tan f sin t, with the femur
 * upright and a parallel beam (plane geometry). All radians: `varus` true limb varus, `flexion` of the knee, `external` turn of
 * the limb; positive as named.
 */
export const apparentVarus = (varus: number, flexion: number, external: number): number =>
  Math.atan(Math.tan(varus) * Math.cos(external) + Math.tan(flexion) * Math.sin(external));
