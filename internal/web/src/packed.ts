// What a lesson's page holds packed: gzip (RFC 1952) as base64. It is unpacked at
// once, without waiting and without what a browser brings for it, so that the
// page reads alike everywhere.

/** The bytes that text says in base64. */
export function decode(text: string): Uint8Array<ArrayBuffer> {
  const raw = atob(text.trim());
  const bytes = new Uint8Array(raw.length);
  for (let k = 0; k < raw.length; k++) bytes[k] = raw.charCodeAt(k);
  return bytes;
}

/** What an element of the page says; what stands packed in it stands there plain from now on. */
export function plainText(e: HTMLElement): string {
  if (e.dataset["packed"] !== undefined) {
    e.textContent = text(e);
    delete e.dataset["packed"];
  }
  return e.textContent ?? "";
}

/** The drawings that stand packed in a part of the page, with what each belongs in; they stand there no more. */
export function* unpackIn(part: HTMLElement): Generator<[HTMLElement, string[]], void> {
  for (const e of part.querySelectorAll<HTMLElement>("script[data-packed]")) {
    const place = e.parentElement!;
    e.remove();
    yield [place, text(e).match(/<svg [^]*?<\/svg>/g) ?? []];
  }
}

function text(e: HTMLElement): string {
  return new TextDecoder().decode(gunzip(decode(e.textContent ?? "")));
}

/** The bytes before the packed ones, without a name or a note, and behind them: RFC 1952, 2.3. */
const [headBytes, tailBytes] = [10, 8];

/** Unpacks one member of gzip without a name or a note in it, as the page's maker packs. */
export function gunzip(packed: Uint8Array): Uint8Array {
  if (packed.length < headBytes + tailBytes || packed[0] !== 0x1f || packed[1] !== 0x8b || packed[2] !== 8 || packed[3] !== 0) throw broken();
  const end = packed.length - tailBytes;
  const length = new DataView(packed.buffer, packed.byteOffset).getUint32(end + 4, true);
  // Nothing packs to less than a 1032nd: a broken length asks for no memory.
  if (length > 1032 * packed.length) throw broken();
  const out = new Uint8Array(length);
  if (inflate(packed.subarray(headBytes, end), out) !== length) throw broken();
  return out;
}

function broken(): Error {
  return new Error("What the page holds packed is broken: it has not come whole.");
}

/** A code's symbols by its next bits, first bit lowest: the symbol times 16 plus its bits; 0 where no code is. */
interface Code {
  bits: number;
  symbols: Uint16Array;
}

/** The code whose symbols have these numbers of bits: RFC 1951, 3.2.2. */
function codeOf(lengths: Uint8Array): Code {
  const bits = Math.max(1, ...lengths);
  const symbols = new Uint16Array(1 << bits);
  let next = 0;
  for (let n = 1; n <= bits; n++) {
    for (let symbol = 0; symbol < lengths.length; symbol++) {
      if (lengths[symbol] !== n) continue;
      let turned = 0;
      for (let k = 0; k < n; k++) turned |= ((next >> k) & 1) << (n - 1 - k);
      for (let at = turned; at < symbols.length; at += 1 << n) symbols[at] = symbol * 16 + n;
      next++;
    }
    next <<= 1;
  }
  return { bits, symbols };
}

/** Extra bits and least values of lengths from symbol 257 and of distances: RFC 1951, 3.2.5. */
const lengthExtra = [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 0];
const distanceExtra = Array.from({ length: 30 }, (_, k) => Math.max(0, (k >> 1) - 1));
const lengthFrom = [...from(lengthExtra.slice(0, -1), 3), 258];
const distanceFrom = from(distanceExtra, 1);

function from(extra: number[], first: number): number[] {
  let next = first;
  return extra.map((bits) => {
    const least = next;
    next += 1 << bits;
    return least;
  });
}

/** The order in which the lengths of the code of lengths come: RFC 1951, 3.2.7. */
const lengthsOrder = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];

/** The bits of packed bytes, lowest first. */
class Bits {
  private at = 0;
  private held = 0;
  private count = 0;

  constructor(private readonly packed: Uint8Array) {}

  /** The next n bits, at most 16. */
  take(n: number): number {
    this.fill(n);
    if (this.count < n) throw broken();
    const value = this.held & ((1 << n) - 1);
    this.held >>>= n;
    this.count -= n;
    return value;
  }

  symbol(code: Code): number {
    this.fill(code.bits);
    const found = code.symbols[this.held & (code.symbols.length - 1)]!;
    const n = found & 15;
    if (n === 0 || n > this.count) throw broken();
    this.held >>>= n;
    this.count -= n;
    return found >> 4;
  }

  /** Leaves the rest of a byte out. */
  toByte(): void {
    this.take(this.count & 7);
  }

  private fill(n: number): void {
    while (this.count < n && this.at < this.packed.length) {
      this.held |= this.packed[this.at++]! << this.count;
      this.count += 8;
    }
  }
}

/** Unpacks what is deflated (RFC 1951) and returns its length; never more than fits. */
function inflate(packed: Uint8Array, out: Uint8Array): number {
  const bits = new Bits(packed);
  let length = 0;
  for (let last = false; !last;) {
    last = bits.take(1) === 1;
    const kind = bits.take(2);
    if (kind === 0) length = stored(bits, out, length);
    else if (kind === 3) throw broken();
    else length = coded(bits, ...(kind === 1 ? fixed() : dynamic(bits)), out, length);
  }
  return length;
}

/** A block that is not packed: RFC 1951, 3.2.4. */
function stored(bits: Bits, out: Uint8Array, length: number): number {
  bits.toByte();
  const n = bits.take(16);
  if ((bits.take(16) ^ n) !== 0xffff || length + n > out.length) throw broken();
  for (let k = 0; k < n; k++) out[length++] = bits.take(8);
  return length;
}

/** The codes of a block that brings none: RFC 1951, 3.2.6. */
function fixed(): [Code, Code] {
  return [codeOf(Uint8Array.from({ length: 288 }, (_, k) => (k < 144 ? 8 : k < 256 ? 9 : k < 280 ? 7 : 8))), codeOf(new Uint8Array(30).fill(5))];
}

/** The codes that a block brings: RFC 1951, 3.2.7. */
function dynamic(bits: Bits): [Code, Code] {
  const literals = bits.take(5) + 257;
  const distances = bits.take(5) + 1;
  const count = bits.take(4) + 4;
  const ofLengths = new Uint8Array(19);
  for (let k = 0; k < count; k++) ofLengths[lengthsOrder[k]!] = bits.take(3);
  const code = codeOf(ofLengths);
  const lengths = new Uint8Array(literals + distances);
  for (let k = 0; k < lengths.length;) {
    const symbol = bits.symbol(code);
    if (symbol < 16) {
      lengths[k++] = symbol;
      continue;
    }
    if (symbol === 16 && k === 0) throw broken();
    const again = symbol === 16 ? 3 + bits.take(2) : symbol === 17 ? 3 + bits.take(3) : 11 + bits.take(7);
    if (k + again > lengths.length) throw broken();
    lengths.fill(symbol === 16 ? lengths[k - 1]! : 0, k, k + again);
    k += again;
  }
  return [codeOf(lengths.subarray(0, literals)), codeOf(lengths.subarray(literals))];
}

/** A block of bytes and of stretches that have been before: RFC 1951, 3.2.3. */
function coded(bits: Bits, literals: Code, distances: Code, out: Uint8Array, length: number): number {
  for (;;) {
    const symbol = bits.symbol(literals);
    if (symbol === 256) return length;
    if (symbol < 256) {
      if (length === out.length) throw broken();
      out[length++] = symbol;
      continue;
    }
    const nth = symbol - 257;
    if (nth >= lengthFrom.length) throw broken();
    const again = lengthFrom[nth]! + bits.take(lengthExtra[nth]!);
    const far = bits.symbol(distances);
    if (far >= distanceFrom.length) throw broken();
    const back = distanceFrom[far]! + bits.take(distanceExtra[far]!);
    if (back > length || length + again > out.length) throw broken();
    for (let k = 0; k < again; k++, length++) out[length] = out[length - back]!;
  }
}
