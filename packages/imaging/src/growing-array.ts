/** The same numbers in an array with room for `needed`: itself, or a copy of twice the length. */
export function withRoom<Numbers extends Float32Array | Uint32Array>(numbers: Numbers, needed: number): Numbers;
export function withRoom(numbers: Float32Array | Uint32Array, needed: number): Float32Array | Uint32Array {
  if (needed <= numbers.length) return numbers;
  const size = Math.max(needed, 2 * numbers.length);
  const larger = numbers instanceof Float32Array ? new Float32Array(size) : new Uint32Array(size);
  larger.set(numbers);
  return larger;
}
