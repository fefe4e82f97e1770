/** A Gaussian kernel from its middle out, summing to 1 over both sides; 3 sd long. */
export function halfKernel(sdPx: number): Float64Array {
  const reach = Math.ceil(3 * sdPx);
  const weights = Float64Array.from({ length: reach + 1 }, (_, i) => Math.exp(-((i / Math.max(sdPx, 1e-9)) ** 2) / 2));
  const sum = weights[0]! + 2 * weights.subarray(1).reduce((a, b) => a + b, 0);
  return weights.map((w) => w / sum);
}

/**
 * Blurs rows `from` to `to` of a picture down and across. The picture holds the rows around them too, as far as the kernel
 * reaches; at its own edges the last pixel goes on.
 */
export function blurred(
  picture: Float32Array,
  columns: number,
  rows: number,
  from: number,
  to: number,
  kernel: Float64Array,
): Float32Array {
  const out = new Float32Array((to - from) * columns);
  const line = new Float64Array(columns);
  for (let row = from; row < to; row += 1) {
    const middle = kernel[0]!;
    for (let c = 0, at = row * columns; c < columns; c += 1, at += 1) line[c] = middle * picture[at]!;
    for (let k = 1; k < kernel.length; k += 1) {
      const w = kernel[k]!;
      let above = Math.max(0, row - k) * columns;
      let below = Math.min(rows - 1, row + k) * columns;
      for (let c = 0; c < columns; c += 1) {
        line[c]! += w * (picture[above]! + picture[below]!);
        above += 1;
        below += 1;
      }
    }
    const start = (row - from) * columns;
    for (let c = 0; c < columns; c += 1) {
      let sum = middle * line[c]!;
      for (let k = 1; k < kernel.length; k += 1) {
        sum += kernel[k]! * (line[c < k ? 0 : c - k]! + line[c + k < columns ? c + k : columns - 1]!);
      }
      out[start + c] = sum;
    }
  }
  return out;
}
