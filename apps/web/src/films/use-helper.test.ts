import { describe, expect, it } from 'vitest';
import { directionOf, foundAt } from './use-helper.ts';

describe('the way a surface faces', () => {
  it('is down for femurs and up for plateaus, whatever is marked', () => {
    expect(directionOf('distalMedial', [])).toEqual([0, 1]);
    expect(directionOf('plateauLateral', [])).toEqual([0, -1]);
  });

  it('is to the rear for rear condyles, which marks of front and canal tell; before that it is not guessed', () => {
    const canal = { name: 'femoralCanalLow', pixel: [500, 100] } as const;
    expect(directionOf('posteriorMedial', [canal])).toBeUndefined();
    expect(directionOf('posteriorMedial', [canal, { name: 'patellaFront', pixel: [300, 200] }])).toEqual([1, 0]);
    expect(directionOf('posteriorMedial', [canal, { name: 'patellaFront', pixel: [800, 200] }])).toEqual([-1, 0]);
  });

  it('is none for what is no surface', () => {
    expect(directionOf('medialRimFront', [])).toBeUndefined();
  });
});

describe('what a helper found', () => {
  it('puts the mark where it measured, and nowhere when it found nothing', () => {
    expect(foundAt({ measure: 'tangent', at: [3, 4], residualPx: 0.1 })).toEqual([3, 4]);
    expect(foundAt({ measure: 'none', message: 'no edge' })).toBeUndefined();
  });
});
