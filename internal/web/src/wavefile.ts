// A recording in a WAVE file (Multimedia Programming Interface and Data Specifications 1.0, 1991), read little by little.
// What a browser decodes it hands over whole, and the page does nothing else meanwhile.

import { Turns } from "./turns";
import { sixteen } from "./wave";

/** How many bytes are read at a time. */
const readAtOnce = 1 << 18;
/** The rates that a take can have. */
const [lowestRate, highestRate] = [8000, 384000];
/** The forms of samples: whole numbers, floating point, and told further on. */
const [pcm, float, extensible] = [1, 3, 0xfffe];

/** A recording that can be read. */
export interface ReadSound {
  rate: number;
  seconds: number;
  /** The first channel at 16 bits. */
  samples(): Promise<Int16Array<ArrayBuffer>>;
}

type Reader = (from: DataView, at: number) => number;

/** What reads a sample of a form and so many bits, at 16 bits. */
const readers: Record<string, Reader> = {
  [`${pcm} 16`]: (from, at) => from.getInt16(at, true),
  [`${pcm} 24`]: (from, at) => sixteen(((from.getInt16(at + 1, true) << 8) | from.getUint8(at)) / 2 ** 23),
  [`${pcm} 32`]: (from, at) => sixteen(from.getInt32(at, true) / 2 ** 31),
  [`${float} 32`]: (from, at) => sixteen(from.getFloat32(at, true)),
};

/** Opens a WAVE file; null when it is none, or of a kind that is left to the browser. */
export async function waveFile(file: Blob): Promise<ReadSound | null> {
  const view = async (at: number, bytes: number): Promise<DataView> => new DataView(await file.slice(at, at + bytes).arrayBuffer());
  const head = await view(0, 12);
  if (head.byteLength < 12 || name(head, 0) !== "RIFF" || name(head, 8) !== "WAVE") return null;
  let form: { read: Reader; frame: number; rate: number } | null = null;
  for (let at = 12; at + 8 <= file.size; ) {
    const chunk = await view(at, 48);
    const bytes = chunk.getUint32(4, true);
    if (name(chunk, 0) === "fmt ") form = formOf(chunk, Math.min(bytes, chunk.byteLength - 8));
    if (name(chunk, 0) === "data") {
      if (!form) return null;
      const { read, frame, rate } = form;
      // One that was written as it came doesn't say how long it is.
      const n = Math.floor((bytes === 0 || at + 8 + bytes > file.size ? file.size - at - 8 : bytes) / frame);
      return { rate, seconds: n / rate, samples: () => samplesOf(view, at + 8, n, frame, read) };
    }
    at += 8 + bytes + (bytes & 1);
  }
  return null;
}

function name(of: DataView, at: number): string {
  return String.fromCharCode(of.getUint8(at), of.getUint8(at + 1), of.getUint8(at + 2), of.getUint8(at + 3));
}

function formOf(chunk: DataView, bytes: number): { read: Reader; frame: number; rate: number } | null {
  if (bytes < 16) return null;
  const told = chunk.getUint16(8, true);
  const kind = told === extensible && bytes >= 26 ? chunk.getUint16(32, true) : told;
  const [channels, rate, frame, bits] = [chunk.getUint16(10, true), chunk.getUint32(12, true), chunk.getUint16(20, true), chunk.getUint16(22, true)];
  const read = readers[`${kind} ${bits}`];
  if (!read || channels === 0 || frame !== (channels * bits) / 8 || rate < lowestRate || rate > highestRate) return null;
  return { read, frame, rate };
}

async function samplesOf(view: (at: number, bytes: number) => Promise<DataView>, at: number, n: number, frame: number, read: Reader): Promise<Int16Array<ArrayBuffer>> {
  const out = new Int16Array(n);
  const turns = new Turns();
  const some = Math.max(1, Math.floor(readAtOnce / frame));
  for (let from = 0; from < n; from += some) {
    const here = Math.min(some, n - from);
    const bytes = await view(at + from * frame, here * frame);
    for (let i = 0; i < here; i++) out[from + i] = read(bytes, i * frame);
    await turns.step();
  }
  return out;
}
