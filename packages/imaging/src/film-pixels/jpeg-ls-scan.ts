/** Parameters of one scan. */
export interface Coding {
  /** Greatest sample: MAXVAL. */
  readonly greatest: number;
  readonly near: number;
  readonly thresholds: readonly [number, number, number];
  readonly reset: number;
  /** The components of a pixel follow each other, instead of lines. */
  readonly together: boolean;
}

/** Lengths of runs, as powers of two (T.87 A.2.1, J). */
const runBits = [0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 9, 10, 11, 12, 13, 14, 15];
/** First of the two contexts for the sample that ends a run. */
const runContext = 365;
/** Says that a code does not exist. */
const broken = -1;

/**
 * The lines of one scan (T.87 Annex A). Letters are those of the standard: A, B, C, N of a context; a left, b above,
 * c above left, d above right of a sample.
 */
export class JpegLsScanner {
  private readonly bytes: Uint8Array;
  private readonly coding: Coding;
  private readonly columns: number;
  /** Lines of each component, the one above first; one place more at either end. */
  private readonly lines: [above: Uint16Array, now: Uint16Array][];
  private readonly runIndex: Int32Array;
  private readonly a = new Int32Array(367);
  private readonly b = new Int32Array(367);
  private readonly c = new Int32Array(367);
  private readonly n = new Int32Array(367).fill(1);
  /** Negative errors in each of the two run contexts. */
  private readonly negative = new Int32Array(2);
  private readonly quantised: Int8Array;
  private readonly scale: number;
  private readonly range: number;
  private readonly rangeBits: number;
  private readonly limit: number;

  at: number;
  private held = 0;
  private count = 0;
  private made = 0;
  private afterFull = false;

  constructor(bytes: Uint8Array, from: number, coding: Coding, columns: number, components: number) {
    this.bytes = bytes;
    this.at = from;
    this.coding = coding;
    this.columns = columns;
    const { greatest, near } = coding;
    this.scale = 2 * near + 1;
    this.range = Math.floor((greatest + 2 * near) / this.scale) + 1;
    this.rangeBits = Math.ceil(Math.log2(this.range));
    const bits = Math.max(2, Math.ceil(Math.log2(greatest + 1)));
    this.limit = 2 * (bits + Math.max(8, bits));
    this.a.fill(Math.max(2, (this.range + 32) >> 6));
    this.lines = Array.from({ length: components }, () => [new Uint16Array(columns + 2), new Uint16Array(columns + 2)]);
    this.runIndex = new Int32Array(components);
    const [t1, t2, t3] = coding.thresholds;
    this.quantised = new Int8Array(2 * greatest + 1);
    for (let size = near + 1; size <= greatest; size++) {
      const q = size < t1 ? 1 : size < t2 ? 2 : size < t3 ? 3 : 4;
      this.quantised[greatest + size] = q;
      this.quantised[greatest - size] = -q;
    }
  }

  /** The line decoded last; sample x stands at x + 1. */
  line(component: number): Uint16Array {
    return this.lines[component]![0];
  }

  /** Whether more bits were used than there were. */
  get spent(): boolean {
    return this.made > 0 && this.count < this.made;
  }

  /** The byte behind the data of the scan: where the next marker begins. */
  end(): number {
    let at = this.at;
    const { bytes } = this;
    while (at + 1 < bytes.length && !(bytes[at] === 0xff && bytes[at + 1]! >= 0x80)) at += 1;
    return at;
  }

  /** Decodes the next line of every component; false when a code does not exist. */
  nextRow(): boolean {
    const { columns } = this;
    for (const pair of this.lines) {
      const [above, now] = pair;
      now[0] = above[1]!;
      above[columns + 1] = above[columns]!;
    }
    if (this.coding.together) {
      if (!this.pixelsTogether()) return false;
    } else {
      for (let k = 0; k < this.lines.length; k++) if (!this.samplesOf(k)) return false;
    }
    for (const pair of this.lines) pair.reverse();
    return true;
  }

  /** One line of one component. */
  private samplesOf(component: number): boolean {
    const { columns, quantised } = this;
    const { greatest } = this.coding;
    const [above, now] = this.lines[component]!;
    let x = 1;
    while (x <= columns) {
      const a = now[x - 1]!;
      const b = above[x]!;
      const c = above[x - 1]!;
      const d = above[x + 1]!;
      const q = 81 * quantised[d - b + greatest]! + 9 * quantised[b - c + greatest]! + quantised[c - a + greatest]!;
      if (q !== 0) {
        const value = this.regular(q, a, b, c);
        if (value === broken) return false;
        now[x] = value;
        x += 1;
        continue;
      }
      const run = this.run(component, columns + 1 - x);
      now.fill(a, x, x + run);
      x += run;
      if (x > columns) return true;
      const above2 = above[x]!;
      const value = this.ending(component, a, above2, Math.abs(a - above2) <= this.coding.near ? 1 : 0);
      if (value === broken) return false;
      if (this.runIndex[component]! > 0) this.runIndex[component]! -= 1;
      now[x] = value;
      x += 1;
    }
    return true;
  }

  /** One line of all components, pixel by pixel: a run is one of all of them. */
  private pixelsTogether(): boolean {
    const { columns, quantised, lines } = this;
    const { greatest } = this.coding;
    const contexts = new Int32Array(lines.length);
    let x = 1;
    while (x <= columns) {
      let even = true;
      lines.forEach(([above, now], k) => {
        const [b, c] = [above[x]!, above[x - 1]!];
        contexts[k] =
          81 * quantised[above[x + 1]! - b + greatest]! +
          9 * quantised[b - c + greatest]! +
          quantised[c - now[x - 1]! + greatest]!;
        if (contexts[k] !== 0) even = false;
      });
      const run = even ? this.run(0, columns + 1 - x) : 0;
      for (const [, now] of lines) now.fill(now[x - 1]!, x, x + run);
      x += run;
      if (x > columns) return true;
      for (let k = 0; k < lines.length; k++) {
        const [above, now] = lines[k]!;
        const [a, b, c] = [now[x - 1]!, above[x]!, above[x - 1]!];
        const value = even ? this.ending(0, a, b, 0) : this.regular(contexts[k]!, a, b, c);
        if (value === broken) return false;
        now[x] = value;
      }
      if (even && this.runIndex[0]! > 0) this.runIndex[0]! -= 1;
      x += 1;
    }
    return true;
  }

  /** A sample in regular mode (A.4 to A.6). */
  private regular(context: number, ra: number, rb: number, rc: number): number {
    const { near, greatest, reset } = this.coding;
    const sign = context < 0 ? -1 : 1;
    const q = sign * context;
    const most = Math.max(ra, rb);
    const least = Math.min(ra, rb);
    let px = rc >= most ? least : rc <= least ? most : ra + rb - rc;
    px += sign * this.c[q]!;
    px = Math.max(0, Math.min(greatest, px));
    let n = this.n[q]!;
    let k = 0;
    while (n << k < this.a[q]! && k < 24) k += 1;
    const mapped = this.golomb(k, this.limit);
    if (mapped < 0) return broken;
    let error = (mapped & 1) === 0 ? mapped >> 1 : -((mapped + 1) >> 1);
    if (near === 0 && k === 0 && 2 * this.b[q]! <= -n) error = -1 - error;
    let b = this.b[q]! + error * this.scale;
    let a = this.a[q]! + (error < 0 ? -error : error);
    if (n === reset) {
      a >>= 1;
      b = b >= 0 ? b >> 1 : -((1 - b) >> 1);
      n >>= 1;
    }
    n += 1;
    if (b <= -n) {
      b += n;
      if (this.c[q]! > -128) this.c[q]! -= 1;
      if (b <= -n) b = 1 - n;
    } else if (b > 0) {
      b -= n;
      if (this.c[q]! < 127) this.c[q]! += 1;
      if (b > 0) b = 0;
    }
    this.a[q] = a;
    this.b[q] = b;
    this.n[q] = n;
    return this.corrected(px, sign * error);
  }

  /** How many samples repeat the one before (A.7.1); no more than `room`. */
  private run(component: number, room: number): number {
    let run = 0;
    while (this.bits(1) === 1) {
      const size = 1 << runBits[this.runIndex[component]!]!;
      const taken = Math.min(size, room - run);
      run += taken;
      if (taken === size && this.runIndex[component]! < 31) this.runIndex[component]! += 1;
      if (run === room) return run;
    }
    return Math.min(run + this.bits(runBits[this.runIndex[component]!]!), room);
  }

  /** The sample that ends a run (A.7.2). `kind` is 1 where the sample above is like the run. */
  private ending(component: number, ra: number, rb: number, kind: 0 | 1): number {
    const q = runContext + kind;
    let n = this.n[q]!;
    const about = kind === 0 ? this.a[q]! : this.a[q]! + (n >> 1);
    let k = 0;
    while (n << k < about && k < 24) k += 1;
    const mapped = this.golomb(k, this.limit - runBits[this.runIndex[component]!]! - 1);
    if (mapped < 0) return broken;
    const odd = (mapped + kind) & 1;
    const size = (mapped + kind + odd) >> 1;
    const error = (k !== 0 || 2 * this.negative[kind]! >= n ? 1 : 0) === odd ? -size : size;
    if (error < 0) this.negative[kind]! += 1;
    this.a[q]! += (mapped + 1 - kind) >> 1;
    if (n === this.coding.reset) {
      this.a[q]! >>= 1;
      n >>= 1;
      this.negative[kind]! >>= 1;
    }
    this.n[q] = n + 1;
    return this.corrected(kind === 1 ? ra : rb, kind === 0 && ra > rb ? -error : error);
  }

  /** Prediction and error, brought back into the range (A.4.4, A.5). */
  private corrected(prediction: number, error: number): number {
    const { near, greatest } = this.coding;
    let value = prediction + error * this.scale;
    if (value < -near) value += this.range * this.scale;
    else if (value > greatest + near) value -= this.range * this.scale;
    return Math.max(0, Math.min(greatest, value));
  }

  /** A number in Golomb code of limited length (A.5.3), or `broken`. */
  private golomb(k: number, limit: number): number {
    const most = limit - this.rangeBits - 1;
    let zeros = 0;
    for (;;) {
      this.fill();
      const lead = Math.clz32(this.held << (32 - this.count));
      if (lead < this.count) {
        zeros += lead;
        this.count -= lead + 1;
        break;
      }
      zeros += this.count;
      this.count = 0;
      if (zeros > most) return broken;
    }
    if (zeros > most) return broken;
    return zeros < most ? (zeros << k) | this.bits(k) : this.bits(this.rangeBits) + 1;
  }

  private bits(size: number): number {
    if (this.count < size) this.fill();
    this.count -= size;
    return (this.held >>> this.count) & ((1 << size) - 1);
  }

  /** Holds at least 25 bits afterwards; behind a byte FF stands one of 7 bits (A.1). Behind the data zeros follow. */
  private fill(): void {
    const { bytes } = this;
    while (this.count <= 24) {
      const byte = this.at < bytes.length ? bytes[this.at]! : -1;
      const width = this.afterFull ? 7 : 8;
      if (byte < 0 || (this.afterFull && byte > 127) || (byte === 0xff && (bytes[this.at + 1] ?? 255) > 127)) {
        this.held <<= 8;
        this.count += 8;
        this.made += 8;
        continue;
      }
      this.held = (this.held << width) | byte;
      this.count += width;
      this.afterFull = byte === 0xff;
      this.at += 1;
    }
  }
}
