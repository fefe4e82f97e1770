/** Weights of the transform: C(u) / 2 cos((2x + 1) u pi / 16), by u and x (T.81 A.3.3). */
const weights = Float64Array.from({ length: 64 }, (_, i) => {
  const [u, x] = [i >> 3, i & 7];
  return (u === 0 ? Math.SQRT1_2 : 1) * 0.5 * Math.cos(((2 * x + 1) * u * Math.PI) / 16);
});

/** The 8 x 8 inverse cosine transform in place, rows then columns, as the formula stands. */
export function inverseCosine(block: Float64Array): void {
  const line = new Float64Array(8);
  for (let pass = 0; pass < 2; pass++) {
    const [step, along] = pass === 0 ? [8, 1] : [1, 8];
    for (let k = 0; k < 8; k++) {
      const from = k * step;
      line.fill(0);
      for (let u = 0; u < 8; u++) {
        const value = block[from + u * along]!;
        if (value === 0) continue;
        for (let x = 0; x < 8; x++) line[x] = line[x]! + value * weights[8 * u + x]!;
      }
      for (let x = 0; x < 8; x++) block[from + x * along] = line[x]!;
    }
  }
}
