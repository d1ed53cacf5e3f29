import assert from "node:assert/strict";
import test from "node:test";

import { stretch } from "../stretch";

const rateHz = 24_000;

/** A tone with one overtone, as a plucked string has. */
function tone(freqHz: number, seconds: number): Float32Array {
  return Float32Array.from({ length: Math.round(seconds * rateHz) }, (_, i) => {
    const a = (2 * Math.PI * freqHz * i) / rateHz;
    return 0.5 * Math.sin(a) + 0.2 * Math.sin(2 * a);
  });
}

/** The strength of one frequency (Goertzel, American Mathematical Monthly 65 (1958)). */
function strength(x: Float32Array, freqHz: number): number {
  const w = (2 * Math.PI * freqHz) / rateHz;
  let [a, b] = [0, 0];
  for (const v of x) [a, b] = [v + 2 * Math.cos(w) * a - b, a];
  return Math.sqrt(a * a + b * b - 2 * Math.cos(w) * a * b) / x.length;
}

test("a slowed tone lasts longer and keeps its pitch", () => {
  for (const rate of [0.4, 0.5, 0.7, 0.9, 1.25]) {
    const out = stretch([tone(196, 1.5)], rateHz, rate)[0]!;
    assert.equal(out.length, Math.floor((1.5 * rateHz) / rate), `length at ${rate}`);
    const middle = out.subarray(Math.floor(out.length / 4), Math.floor((3 * out.length) / 4));
    // 25 cents either way, a third of what makes two keys sound out of tune.
    const here = strength(middle, 196);
    for (const off of [196 * 2 ** (-25 / 1200), 196 * 2 ** (25 / 1200), 196 * rate, 196 / rate]) {
      assert(here > strength(middle, off), `at ${rate} ${off.toFixed(1)} Hz is stronger than 196 Hz`);
    }
    assert(here > 0.15, `at ${rate} the tone is left with ${here.toFixed(3)}`);
  }
});

test("channels stay together", () => {
  const left = tone(220, 1);
  const [a, b] = stretch([left, left.map((v) => -v)], rateHz, 0.6);
  a!.forEach((v, i) => assert(Math.abs(v + b![i]!) < 1e-6, `sample ${i}`));
});

test("what can't be stretched", () => {
  const x = tone(220, 0.1);
  assert.equal(stretch([x], rateHz, 1)[0], x);
  assert.deepEqual(stretch([], rateHz, 0.5), []);
  assert.equal(stretch([new Float32Array(10)], rateHz, 0.5)[0]!.length, 20);
  for (const rate of [0.2, 2, NaN]) assert.throws(() => stretch([x], rateHz, rate), RangeError);
});
