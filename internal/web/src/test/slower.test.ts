import assert from "node:assert/strict";
import test from "node:test";

import { held } from "../held";
import { Recorded } from "../recorded";
import { Slower } from "../slower";
import { stretched } from "../stretch";
import { channel, decoded } from "./channels";

const sampleRate = 8000;

/** A recording as the page has it. */
function recording(seconds: number): Promise<Recorded> {
  return Recorded.of(decoded([Float32Array.from({ length: seconds * sampleRate }, (_, i) => Math.sin(i * 0.15) * Math.cos(i * 0.0007))], sampleRate));
}

/** All of a recording's samples. */
function samplesOf(r: Recorded): Float32Array {
  const out = new Float32Array(r.length);
  r.read(0, 0, out);
  return out;
}

test("pieces from a recording that is brought as it is needed join to what the whole gives", async () => {
  const whole = await recording(20);
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
    const want = stretched([channel(samplesOf(whole))], sampleRate, 0.75, from * sampleRate, loop && [loop[0] * sampleRate, loop[1] * sampleRate]).next(got.length)[0]!;
    assert(got.length > 5 * sampleRate, `${got.length} samples`);
    assert.deepEqual(Float32Array.from(got), want, `from ${from}`);
  }
});

test("pieces end with the music, and with the recording", async () => {
  const slower = new Slower();
  slower.of(await recording(1));
  const pieces = slower.pieces(0.5, 0, null);
  let samples = 0;
  for (let p = await pieces.next(); p; p = await pieces.next()) samples += p.channels[0]!.length;
  assert.equal(samples, 2 * sampleRate);
  const gone = slower.pieces(0.5, 0, null);
  slower.of(await recording(2));
  assert.equal(await gone.next(), null);
});

test("of a recording that plays to its end and round it no more than twenty seconds are there twice", async () => {
  const whole = await recording(60);
  const slower = new Slower();
  const before = held.bytes;
  slower.of(whole);
  const pieces = slower.pieces(1.5, 0, [0, 60]);
  const got: number[] = [];
  while (got.length < 50 * sampleRate) {
    for (const v of (await pieces.next())!.channels[0]!) got.push(v);
    assert(held.bytes - before <= 4 * 20 * sampleRate, `${held.bytes - before} bytes are held`);
  }
  const want = stretched([channel(samplesOf(whole))], sampleRate, 1.5, 0, [0, 60 * sampleRate]).next(got.length)[0]!;
  assert.deepEqual(Float32Array.from(got), want);
  slower.of(null);
  whole.end();
  assert.equal(held.bytes, before - 2 * 60 * sampleRate);
});
