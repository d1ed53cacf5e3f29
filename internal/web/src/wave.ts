// Samples of 16 bits, and a recording as a WAVE file: one channel of them.

import { Turns } from "./turns";

/** The samples that are rounded at a time. */
const stretch = 1 << 15;

/** Blocks of samples as the bytes of a WAVE file. */
export function wave(blocks: Int16Array[], rate: number): ArrayBuffer {
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
      out.setInt16(at, v, true);
      at += 2;
    }
  }
  return out.buffer as ArrayBuffer;
}

/** A sample between −1 and 1 as one of 16 bits. */
export function sixteen(v: number): number {
  return Math.max(-32768, Math.min(32767, Math.round(32768 * v)));
}

/** Samples between −1 and 1 at 16 bits. */
export function rounded(block: Float32Array): Int16Array<ArrayBuffer> {
  const out = new Int16Array(block.length);
  for (let i = 0; i < block.length; i++) out[i] = sixteen(block[i]!);
  return out;
}

/** A channel of what a browser has decoded at 16 bits, rounded a little at a time: the page goes on meanwhile. */
export async function channelOf(sound: AudioBuffer, channel: number): Promise<Int16Array<ArrayBuffer>> {
  const { length } = sound;
  const out = new Int16Array(length);
  const some = new Float32Array(stretch);
  const turns = new Turns();
  for (let at = 0; at < length; at += stretch) {
    sound.copyFromChannel(some, channel, at);
    out.set(rounded(length - at < stretch ? some.subarray(0, length - at) : some), at);
    await turns.step();
  }
  return out;
}

/** Samples of 16 bits between −1 and 1, as a file of them is read. */
export function floats(samples: Int16Array): Float32Array<ArrayBuffer> {
  const out = new Float32Array(samples.length);
  for (let i = 0; i < samples.length; i++) out[i] = samples[i]! / 32768;
  return out;
}

/** Blocks laid one after the other into a row as long as all of them. */
function laid<T extends Int16Array | Float32Array>(blocks: T[], row: (length: number) => T): T {
  const out = row(blocks.reduce((sum, b) => sum + b.length, 0));
  let at = 0;
  for (const b of blocks) {
    out.set(b, at);
    at += b.length;
  }
  return out;
}

/** Blocks of a take's samples as one row. */
export const joined = (blocks: Int16Array[]): Int16Array<ArrayBuffer> => laid(blocks as Int16Array<ArrayBuffer>[], (n) => new Int16Array(n));

/** The same of a long take, laid little by little: the page goes on meanwhile. What comes later is no part of it. */
export async function gathered(blocks: readonly Int16Array[]): Promise<Int16Array<ArrayBuffer>> {
  const all = [...blocks];
  const out = new Int16Array(all.reduce((sum, b) => sum + b.length, 0));
  const turns = new Turns();
  let at = 0;
  for (const b of all) {
    out.set(b, at);
    at += b.length;
    await turns.step();
  }
  return out;
}

/** Blocks of what is sounded as one row. */
export const row = (blocks: Float32Array[]): Float32Array<ArrayBuffer> => laid(blocks as Float32Array<ArrayBuffer>[], (n) => new Float32Array(n));
