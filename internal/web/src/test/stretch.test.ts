import assert from "node:assert/strict";
import test from "node:test";

import { stretched } from "../stretch";
import { channel } from "./channels";

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

/** All that comes, asked for in pieces of a size; a loop is cut after so many samples. */
function all(channels: Float32Array[], rate: number, size = 1 << 20, from = 0, loop: [number, number] | null = null, most = Infinity): Float32Array[] {
  const from1 = stretched(channels.map(channel), rateHz, rate, from, loop);
  const out: number[][] = channels.map(() => []);
  while ((out[0]?.length ?? 0) < most) {
    const got = from1.next(Math.min(size, most - out[0]!.length));
    if (!got[0]?.length) break;
    got.forEach((g, c) => { for (const v of g) out[c]!.push(v); });
  }
  return out.map((o) => Float32Array.from(o));
}

/** A sound with neither a period nor an end: every place in it is told from every other. */
function rough(samples: number): Float32Array {
  let state = 1;
  return Float32Array.from({ length: samples }, () => (state = (state * 48271) % 2147483647) / 2147483647 - 0.5);
}

test("a slowed tone lasts longer and keeps its pitch", () => {
  for (const rate of [0.4, 0.5, 0.7, 0.9, 1.25]) {
    const out = all([tone(196, 1.5)], rate)[0]!;
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
  const [a, b] = all([left, left.map((v) => -v)], 0.6);
  a!.forEach((v, i) => assert(Math.abs(v + b![i]!) < 1e-6, `sample ${i}`));
});

test("however it is asked for, what comes is the same", () => {
  const x = [rough(30_000), tone(220, 1.25)];
  const loop: [number, number] = [5_000, 17_777];
  for (const [from, round, most] of [[0, null, Infinity], [12_345, null, Infinity], [6_000, loop, 70_000]] as const) {
    const want = all(x, 0.7, 1 << 20, from, round as [number, number] | null, most);
    assert(want[0]!.length > 20_000);
    for (const size of [1, 64, 479, 4096]) assert.deepEqual(all(x, 0.7, size, from, round as [number, number] | null, most), want, `in pieces of ${size}`);
  }
});

test("rounds of a loop are as long as the speed says, alike, and join without a click", () => {
  const x = tone(196, 2);
  const loop: [number, number] = [6_000, 29_960]; // no whole number of the tone's periods
  const rate = 0.8;
  const round = 23_960 / rate;
  const out = all([x], rate, 4096, 12_000, loop, 4 * round)[0]!;
  const first = 17_960 / rate; // until the loop's end is reached for the first time
  const [second, third] = [out.subarray(first, first + round), out.subarray(first + round, first + 2 * round)];
  assert.deepEqual(second, third);
  // A round begins with what the recording has there: compared behind the fade.
  for (let i = 60; i < 300; i++) assert(Math.abs(second[i]! - x[6_000 + i]!) < 1e-6, `sample ${i} of the round`);
  // A tone's own steepest step is 2πf·a, with the overtone's; nothing is twice as steep.
  const steepest = (2 * Math.PI * 196 * (0.5 + 2 * 0.2)) / rateHz;
  for (let i = 100; i < out.length; i++) assert(Math.abs(out[i]! - out[i - 1]!) < 2 * steepest, `a step of ${Math.abs(out[i]! - out[i - 1]!).toFixed(3)} at ${i}`);
});

test("it begins where it is told", () => {
  const x = rough(24_000);
  const out = stretched([channel(x)], rateHz, 0.5, 7_000, null).next(600)[0]!;
  for (let i = 60; i < 600; i++) assert(Math.abs(out[i]! - x[7_000 + i]!) < 1e-6, `sample ${i}`);
});

test("what can't be stretched", () => {
  const x = tone(220, 0.1);
  assert.equal(stretched([channel(x)], rateHz, 0.5, x.length, null).next(100)[0]!.length, 0);
  assert.deepEqual(stretched([], rateHz, 0.5, 0, null).next(100), []);
  assert.equal(all([new Float32Array(10)], 0.5)[0]!.length, 20);
  for (const rate of [0.2, 2, NaN]) assert.throws(() => stretched([channel(x)], rateHz, rate, 0, null), RangeError);
});
