// A recording as a FLAC file (RFC 9639): one channel of 16 bits, each block by that of the five fixed predictors
// that leaves least, its rest as Rice codes.

/** Samples a block. */
const blockSize = 4096;
/** The most parts that a block's rest is coded in, as a power of two, and the largest parameter of a part. */
const mostOrder = 4;
const mostRice = 14;
const bits = 16;

/** Bits put one behind another, the highest first. */
class Bits {
  private bytes: Uint8Array<ArrayBuffer>;
  length = 0;
  private held = 0;
  private count = 0;

  constructor(room: number) {
    this.bytes = new Uint8Array(room);
  }

  /** Puts the lowest bits of a value, at most 24 of them. */
  put(value: number, n: number): void {
    this.held = (this.held << n) | (value & ((1 << n) - 1));
    this.count += n;
    while (this.count >= 8) {
      this.count -= 8;
      this.byte((this.held >>> this.count) & 0xff);
    }
    this.held &= (1 << this.count) - 1;
  }

  /** Puts so many zeros and a one. */
  unary(zeros: number): void {
    for (; zeros >= 16; zeros -= 16) this.put(0, 16);
    this.put(1, zeros + 1);
  }

  /** Fills the last byte with zeros. */
  fill(): void {
    if (this.count > 0) this.put(0, 8 - this.count);
  }

  done(): Uint8Array<ArrayBuffer> {
    return this.bytes.subarray(0, this.length);
  }

  private byte(v: number): void {
    if (this.length === this.bytes.length) {
      const more = new Uint8Array(2 * this.bytes.length);
      more.set(this.bytes);
      this.bytes = more;
    }
    this.bytes[this.length++] = v;
  }
}

/** Samples as the bytes of a FLAC file. rest is awaited now and then, that the page can do other things. */
export async function flac(samples: Int16Array, rate: number, rest: () => Promise<void> = async () => {}): Promise<Uint8Array<ArrayBuffer>> {
  const frames: Uint8Array<ArrayBuffer>[] = [head(samples.length, rate)];
  for (let at = 0, n = 0; at < samples.length; at += blockSize, n++) {
    frames.push(frame(samples.subarray(at, at + blockSize), n));
    if (n % 64 === 63) await rest();
  }
  const out = new Uint8Array(frames.reduce((sum, f) => sum + f.length, 0));
  let at = 0;
  for (const f of frames) {
    out.set(f, at);
    at += f.length;
  }
  return out;
}

/** "fLaC" and the block that says what comes (section 8.2). Its sum of all samples is left out, as may be. */
function head(samples: number, rate: number): Uint8Array<ArrayBuffer> {
  const b = new Bits(42);
  for (const c of "fLaC") b.put(c.charCodeAt(0), 8);
  b.put(0x80, 8); // the last block of its kind, STREAMINFO
  b.put(34, 24);
  b.put(blockSize, 16);
  b.put(blockSize, 16);
  b.put(0, 24); // sizes of frames: unknown
  b.put(0, 24);
  b.put(rate, 20);
  b.put(0, 3); // one channel
  b.put(bits - 1, 5);
  b.put(Math.floor(samples / 2 ** 24), 12);
  b.put(samples % 2 ** 24, 24);
  for (let i = 0; i < 16; i++) b.put(0, 8);
  return b.done();
}

function frame(x: Int16Array, n: number): Uint8Array<ArrayBuffer> {
  const b = new Bits(2 * x.length + 64);
  b.put(0xfff8, 16); // blocks of one size
  b.put(0x70, 8); // the size follows in 16 bits, the rate is the file's
  b.put(0x08, 8); // one channel of 16 bits
  number(b, n);
  b.put(x.length - 1, 16);
  b.put(crc(b.done(), 0x07, 8), 8);
  subframe(b, x);
  b.fill();
  b.put(crc(b.done(), 0x8005, 16), 16);
  return b.done();
}

/** The number of a frame, coded as UTF-8 codes letters (section 9.1.5). */
function number(b: Bits, n: number): void {
  if (n < 0x80) b.put(n, 8);
  else if (n < 0x800) {
    b.put(0xc0 | (n >> 6), 8);
    b.put(0x80 | (n & 0x3f), 8);
  } else {
    b.put(0xe0 | (n >> 12), 8);
    b.put(0x80 | ((n >> 6) & 0x3f), 8);
    b.put(0x80 | (n & 0x3f), 8);
  }
}

/** One block by the fixed predictor that leaves least (section 9.2.5). */
function subframe(b: Bits, x: Int16Array): void {
  if (x.every((v) => v === x[0])) {
    b.put(0, 8);
    b.put(x[0]!, bits);
    return;
  }
  let left = Int32Array.from(x);
  let best = left;
  let order = 0;
  let least = sumOf(left, 0);
  for (let k = 1; k <= 4 && k < x.length; k++) {
    const next = new Int32Array(left.length);
    for (let i = k; i < left.length; i++) next[i] = left[i]! - left[i - 1]!;
    left = next;
    const sum = sumOf(left, k);
    if (sum < least) [best, order, least] = [left, k, sum];
  }
  b.put((8 + order) << 1, 8);
  for (let i = 0; i < order; i++) b.put(x[i]!, bits);
  rice(b, best, order);
}

function sumOf(v: Int32Array, from: number): number {
  let sum = 0;
  for (let i = from; i < v.length; i++) sum += Math.abs(v[i]!);
  return sum;
}

/** What a predictor left, in parts that each have a Rice parameter of their own (section 9.2.7). */
function rice(b: Bits, left: Int32Array, order: number): void {
  let parts = mostOrder;
  while (parts > 0 && (left.length % (1 << parts) !== 0 || left.length >> parts <= order)) parts--;
  b.put(0, 2); // parameters of 4 bits
  b.put(parts, 4);
  const size = left.length >> parts;
  for (let p = 0; p < 1 << parts; p++) {
    const from = p === 0 ? order : p * size;
    const to = (p + 1) * size;
    let mean = 0;
    for (let i = from; i < to; i++) mean += Math.abs(left[i]!);
    mean /= Math.max(1, to - from);
    const k = Math.min(mostRice, Math.max(0, Math.ceil(Math.log2(mean + 1))));
    b.put(k, 4);
    for (let i = from; i < to; i++) {
      const v = left[i]!;
      const folded = v < 0 ? -2 * v - 1 : 2 * v;
      b.unary(Math.floor(folded / 2 ** k));
      b.put(folded, k);
    }
  }
}

/** The check sum of bytes by a polynomial of so many bits (sections 9.1.8 and 9.3). */
export function crc(bytes: Uint8Array, polynomial: number, n: number): number {
  const high = 1 << (n - 1);
  const all = 2 ** n - 1;
  let c = 0;
  for (const v of bytes) {
    c ^= v << (n - 8);
    for (let i = 0; i < 8; i++) c = (c & high ? (c << 1) ^ polynomial : c << 1) & all;
  }
  return c;
}
