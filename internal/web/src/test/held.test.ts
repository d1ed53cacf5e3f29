import assert from "node:assert/strict";
import test from "node:test";

import { Held, held, mostHeld } from "../held";
import { Recorded, TooLong } from "../recorded";
import { decoded } from "./channels";

test("what has not been used for longest goes first, and what is needed stays", () => {
  const h = new Held(100);
  const gone: string[] = [];
  const goes = (name: string): (() => boolean) => () => (gone.push(name), true);
  const a = h.hold(30, goes("a"));
  h.hold(30, goes("b"));
  h.hold(20, () => false);
  a.used();
  h.hold(30, goes("c")); // 110: b goes
  assert.deepEqual(gone, ["b"]);
  assert.equal(h.bytes, 80);
  assert(h.fits(50)); // a goes
  assert.deepEqual(gone, ["b", "a"]);
  assert(!h.fits(81)); // and c, but what is needed stays
  assert.deepEqual(gone, ["b", "a", "c"]);
  assert.equal(h.bytes, 20);
});

test("what grows makes room for itself, and never goes itself", () => {
  const h = new Held(100);
  let gone = 0;
  h.hold(60, () => (gone++, true));
  const growing = h.hold(10, () => { throw new Error("it goes itself"); });
  growing.set(50);
  assert.equal(gone, 1);
  growing.set(120);
  assert.equal(h.bytes, 120);
  growing.end();
  growing.set(10);
  assert.equal(h.bytes, 0);
});

test("a lesson of five minutes, its recording and its band, leaves room to play in", async () => {
  const rate = 48000;
  const minutes = 5;
  const before = held.bytes;
  const silence = new Float32Array(minutes * 60 * rate);
  Recorded.refuse(minutes * 60, 2, rate);
  const lead = await Recorded.of(decoded([silence, silence], rate));
  Recorded.refuse(minutes * 60, 1, rate);
  const band = await Recorded.of(decoded([silence], rate));
  assert.equal(held.bytes - before, minutes * 60 * rate * 2 * 3);
  assert(held.bytes < mostHeld - 10e6, `${held.bytes} bytes are held`);
  // What has no room is refused before it is decoded, in words.
  assert.throws(() => Recorded.refuse(minutes * 60, 2, rate), TooLong);
  lead.end();
  band.end();
  assert.equal(held.bytes, before);
});

test("a recording goes on as it is over pieces and rounds, to the sample", async () => {
  const rate = 1000;
  const x = Float32Array.from({ length: 5 * rate }, (_, i) => (i - 2500) / 4096);
  const r = await Recorded.of(decoded([x, x.map((v) => -v)], rate));
  const take = async (from: number, loop: [number, number] | null, samples: number): Promise<number[]> => {
    const pieces = r.plain(from, loop);
    const out: number[] = [];
    for (let p = pieces.first; p && out.length < samples; p = await pieces.next()) {
      assert.deepEqual([...p.channels[1]!], [...p.channels[0]!].map((v) => 0 - v));
      for (const v of p.channels[0]!) out.push(Math.round(v * 4096) + 2500);
    }
    return out.slice(0, samples);
  };
  const whole = await take(1.25, null, Infinity);
  assert.deepEqual(whole, Array.from({ length: 3750 }, (_, i) => 1250 + i));
  // A loop of 700.4 samples: after five rounds two samples more than five times 700.
  const round = await take(2, [1.8, 2.5004], 500 + 5 * 702);
  const begins = round.flatMap((v, i) => (v === 1800 ? [i] : []));
  assert.deepEqual(begins, [500, 1201, 1901, 2602, 3302, 4002]);
});
