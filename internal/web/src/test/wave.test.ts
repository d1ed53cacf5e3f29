import assert from "node:assert/strict";
import test from "node:test";

import { gathered, joined, rounded, wave } from "../wave";

test("a recording is a WAVE file of one channel", () => {
  const b = new DataView(wave([rounded(Float32Array.of(0, 0.5)), rounded(Float32Array.of(-1, 1))], 44100));
  const text = (at: number): string => String.fromCharCode(b.getUint8(at), b.getUint8(at + 1), b.getUint8(at + 2), b.getUint8(at + 3));
  assert.deepEqual([text(0), text(8), text(12), text(36)], ["RIFF", "WAVE", "fmt ", "data"]);
  assert.equal(b.byteLength, 44 + 8);
  assert.equal(b.getUint32(4, true), 36 + 8);
  assert.deepEqual([b.getUint16(22, true), b.getUint32(24, true), b.getUint32(28, true), b.getUint16(34, true), b.getUint32(40, true)], [1, 44100, 88200, 16, 8]);
  assert.deepEqual([44, 46, 48, 50].map((at) => b.getInt16(at, true)), [0, 16384, -32768, 32767]);
});

test("a take is laid into a row little by little as it was, whatever comes meanwhile", async () => {
  const blocks = Array.from({ length: 4000 }, (_, k) => new Int16Array(4096).fill(k));
  const want = joined(blocks);
  const row = gathered(blocks);
  for (let k = 0; k < 3; k++) blocks.push(new Int16Array(4096)); // a microphone's last words
  assert.deepEqual(await row, want);
});
