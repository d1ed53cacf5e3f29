import assert from "node:assert/strict";
import test from "node:test";

import { Slower } from "../slower";
import { stretched } from "../stretch";

const sampleRate = 8000;

/** A recording as the page has it. */
function recording(seconds: number): AudioBuffer {
  const x = Float32Array.from({ length: seconds * sampleRate }, (_, i) => Math.sin(i * 0.15) * Math.cos(i * 0.0007));
  return {
    length: x.length, numberOfChannels: 1, sampleRate,
    copyFromChannel: (into: Float32Array, _: number, at: number) => into.set(x.subarray(at, at + into.length)),
    getChannelData: () => x,
  } as unknown as AudioBuffer;
}

test("pieces from a recording that is brought as it is needed join to what the whole gives", async () => {
  const whole = recording(20);
  const slower = new Slower();
  slower.of(whole);
  for (const [from, loop] of [[3.42, null], [0, null], [16, [2, 17.5]], [5, [5, 5.6]]] as const) {
    const pieces = slower.pieces(0.75, from, loop && [loop[0], loop[1]]);
    const got: number[] = [];
    for (let i = 0; i < 12; i++) {
      const piece = await pieces.next();
      if (!piece) break;
      assert.equal(piece.sampleRate, sampleRate);
      for (const v of piece.channels[0]!) got.push(v);
    }
    pieces.end();
    const want = stretched([whole.getChannelData(0)], sampleRate, 0.75, from * sampleRate, loop && [loop[0] * sampleRate, loop[1] * sampleRate]).next(got.length)[0]!;
    assert(got.length > 5 * sampleRate, `${got.length} samples`);
    assert.deepEqual(Float32Array.from(got), want, `from ${from}`);
  }
});

test("pieces end with the music, and with the recording", async () => {
  const slower = new Slower();
  slower.of(recording(1));
  const pieces = slower.pieces(0.5, 0, null);
  let samples = 0;
  for (let p = await pieces.next(); p; p = await pieces.next()) samples += p.channels[0]!.length;
  assert.equal(samples, 2 * sampleRate);
  const gone = slower.pieces(0.5, 0, null);
  slower.of(recording(2));
  assert.equal(await gone.next(), null);
});
