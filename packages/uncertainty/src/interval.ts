export interface Interval {
  readonly low: number;
  readonly high: number;
}

export const about = (centre: number, half: number): Interval => ({ low: centre - half, high: centre + half });
