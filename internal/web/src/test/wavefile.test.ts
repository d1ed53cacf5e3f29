import assert from "node:assert/strict";
import test from "node:test";

import { rounded, wave } from "../wave";
import { waveFile } from "../wavefile";

/** A file of two chunks before its samples, as recorders write them: one of odd length, and the form. */
function file(kind: number, bits: number, channels: number, rate: number, samples: number[], told = samples.length, wider = false): Blob {
  const head = new DataView(new ArrayBuffer(12 + 8 + 4 + 8 + (wider ? 40 : 16) + 8));
  const text = (at: number, s: string): void => [...s].forEach((c, i) => head.setUint8(at + i, c.charCodeAt(0)));
  text(0, "RIFF");
  text(8, "WAVELIST");
  head.setUint32(16, 3, true);
  text(24, "fmt ");
  head.setUint32(28, wider ? 40 : 16, true);
  head.setUint16(32, wider ? 0xfffe : kind, true);
  head.setUint16(34, channels, true);
  head.setUint32(36, rate, true);
  head.setUint32(40, (rate * channels * bits) / 8, true);
  head.setUint16(44, (channels * bits) / 8, true);
  head.setUint16(46, bits, true);
  if (wider) head.setUint16(56, kind, true);
  const at = head.byteLength - 8;
  text(at, "data");
  head.setUint32(at + 4, (told * bits) / 8, true);
  const body = new DataView(new ArrayBuffer((samples.length * bits) / 8));
  samples.forEach((v, i) => {
    if (kind === 3) body.setFloat32(4 * i, v, true);
    else if (bits === 32) body.setInt32(4 * i, v, true);
    else if (bits === 16) body.setInt16(2 * i, v, true);
    else for (let b = 0; b < bits / 8; b++) body.setUint8((i * bits) / 8 + b, (v >> (8 * b)) & 255);
  });
  return new Blob([head, body]);
}

async function read(of: Blob): Promise<{ rate: number; seconds: number; samples: number[] } | null> {
  const f = await waveFile(of);
  return f && { rate: f.rate, seconds: f.seconds, samples: [...(await f.samples())] };
}

// Full scale of each form and what lies between, from the form's definition.
test("a recording is read at 16 bits whichever form its samples have", async () => {
  const want = { rate: 44100, seconds: 5 / 44100, samples: [0, 16384, -32768, 32767, 1] };
  assert.deepEqual(await read(file(1, 16, 1, 44100, [0, 16384, -32768, 32767, 1])), want);
  assert.deepEqual(await read(file(1, 24, 1, 44100, [0, 16384 << 8, -(2 ** 23), 2 ** 23 - 1, 257])), want);
  assert.deepEqual(await read(file(1, 32, 1, 44100, [0, 2 ** 30, -(2 ** 31), 2 ** 31 - 1, 65537])), want);
  assert.deepEqual(await read(file(3, 32, 1, 44100, [0, 0.5, -1, 1.5, 1 / 32768])), want);
  assert.deepEqual(await read(file(1, 24, 1, 44100, [0, 16384 << 8, -(2 ** 23), 2 ** 23 - 1, 257], 5, true)), want);
});

test("of several channels the first is read, and a length that is not told is the file's", async () => {
  assert.deepEqual((await read(file(1, 16, 2, 48000, [1, -1, 2, -2, 3, -3])))!.samples, [1, 2, 3]);
  for (const told of [0, 2 ** 30]) assert.deepEqual((await read(file(1, 16, 2, 48000, [1, -1, 2, -2, 3], told)))!.samples, [1, 2]);
});

test("what the page writes it reads, across the pieces that are read at a time", async () => {
  const samples = rounded(Float32Array.from({ length: 300_001 }, (_, i) => Math.sin(i / 7)));
  assert.deepEqual(Int16Array.from((await read(new Blob([wave([samples], 48000)])))!.samples), samples);
});

test("what is no such file, or of another form, is left to the browser", async () => {
  for (const other of [new Blob([]), new Blob(["RIFF"]), new Blob(["fLaC and what follows it"]), file(1, 8, 1, 44100, [1]), file(6, 16, 1, 44100, [1]), file(1, 16, 0, 44100, [1]), file(1, 16, 1, 4000, [1])]) {
    assert.equal(await waveFile(other), null);
  }
});
