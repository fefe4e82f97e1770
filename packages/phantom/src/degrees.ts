import { deg, toRadians } from '@kerfline/geometry';

/** A parameter stated in degrees, as the radians that formulas want. */
export const fromDegrees = (degrees: number): number => toRadians(deg(degrees));
