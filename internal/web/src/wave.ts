// A recording as a WAVE file: one channel of 16 bits.

/** Blocks of samples between −1 and 1 as the bytes of a WAVE file. */
export function wave(blocks: Float32Array[], rate: number): ArrayBuffer {
  const n = blocks.reduce((sum, b) => sum + b.length, 0);
  const out = new DataView(new ArrayBuffer(44 + 2 * n));
  const text = (at: number, s: string): void => {
    for (let i = 0; i < s.length; i++) out.setUint8(at + i, s.charCodeAt(i));
  };
  text(0, "RIFF");
  out.setUint32(4, 36 + 2 * n, true);
  text(8, "WAVEfmt ");
  out.setUint32(16, 16, true);
  out.setUint16(20, 1, true); // PCM
  out.setUint16(22, 1, true); // channels
  out.setUint32(24, rate, true);
  out.setUint32(28, 2 * rate, true);
  out.setUint16(32, 2, true);
  out.setUint16(34, 16, true);
  text(36, "data");
  out.setUint32(40, 2 * n, true);
  let at = 44;
  for (const b of blocks) {
    for (const v of b) {
      out.setInt16(at, sixteen(v), true);
      at += 2;
    }
  }
  return out.buffer as ArrayBuffer;
}

/** A sample between −1 and 1 as one of 16 bits. */
export function sixteen(v: number): number {
  return Math.max(-32768, Math.min(32767, Math.round(32768 * v)));
}

/** Blocks of samples as one row. */
export function row(blocks: Float32Array[]): Float32Array<ArrayBuffer> {
  const out = new Float32Array(blocks.reduce((sum, b) => sum + b.length, 0));
  let at = 0;
  for (const b of blocks) {
    out.set(b, at);
    at += b.length;
  }
  return out;
}

/** Blocks of samples as one row of 16 bits. */
export function joined(blocks: Float32Array[]): Int16Array<ArrayBuffer> {
  const out = new Int16Array(blocks.reduce((sum, b) => sum + b.length, 0));
  let at = 0;
  for (const b of blocks) for (const v of b) out[at++] = sixteen(v);
  return out;
}
