import assert from "node:assert/strict";
import test from "node:test";

import { held } from "../held";
import { bytesOf, samplesOf, type Take, TakeShelf, tooMuch } from "../takeshelf";
import { lengthText } from "../takesound";
import { floats, joined, rounded } from "../wave";

const take = (id: string, played: number, seconds: number, sound = true): Take => ({
  version: 1, id, lesson: "x", played, rig: "", title: "", tab: "", layout: "", tuned: "equal", bars: null, speed: 100, grade: "second", seconds, rate: 48000,
  figures: { label: "", wanted: 0, played: 0, cents: 0, late: 0, against: "tempo", tempo: 0, strings: [], regions: [] }, sounds: sound,
});

test("the oldest takes let their sound go first", () => {
  const all = [take("old", 1, 50), take("gone", 2, 500, false), take("older", 0, 50), take("new", 3, 60)];
  assert.deepEqual(tooMuch(all, 110).map((t) => t.id), ["older"]);
  assert.deepEqual(tooMuch(all, 59).map((t) => t.id), ["new", "old", "older"]);
  assert.deepEqual(tooMuch(all, 160), []);
});

test("what is heard, kept and played again are the same samples of 16 bits", () => {
  const heard = Float32Array.of(0, 0.5, -1, 1, 2, 1 / 32768, 0.4 / 32768, Math.fround(-0.3));
  const kept = joined([rounded(heard.slice(0, 3)), rounded(heard.slice(3))]);
  assert.deepEqual([...kept], [0, 16384, -32768, 32767, 32767, 1, 0, -9830]);
  assert.deepEqual([...rounded(floats(kept))], [...kept]);
});

test("what is kept as bytes is the same samples again, across the pieces that are copied at a time", async () => {
  for (const n of [0, 1, 131_072, 300_001]) {
    const samples = Int16Array.from({ length: n }, (_, i) => i * 31);
    const bytes = await bytesOf(samples);
    assert.equal(bytes.size, 2 * n);
    assert.deepEqual(await samplesOf(bytes), samples);
  }
});

test("lengths are told in minutes and seconds", () => {
  assert.deepEqual([0, 5.9, 65, 600].map(lengthText), ["0:00", "0:05", "1:05", "10:00"]);
});

test("a page whose device keeps nothing holds ten minutes of takes, counted, and lets the oldest go first", async () => {
  const gone = globalThis as { window?: unknown };
  gone.window = {}; // without a store
  const before = held.bytes;
  const shelf = new TakeShelf("x");
  const rate = 100;
  const add = (played: number, minutes: number): Promise<Take> => {
    const { version: _v, id: _i, lesson: _l, sounds: _s, ...t } = { ...take("", played, 60 * minutes), rate };
    return shelf.add(t, new Int16Array(60 * minutes * rate).fill(played));
  };
  const first = await add(1, 4);
  const second = await add(2, 5);
  assert.equal(held.bytes - before, 2 * 60 * 9 * rate);
  const third = await add(3, 3);
  assert.deepEqual((await shelf.all()).map((t) => t.sounds), [false, true, true]);
  assert.equal(held.bytes - before, 2 * 60 * 8 * rate);
  assert.equal(await shelf.soundOf(first), null);
  assert.equal((await shelf.soundOf(second))![0], 2);
  assert.deepEqual([shelf.keeps, shelf.minutes], [false, 10]);
  await shelf.remove(second.id);
  await shelf.remove(third.id);
  assert.equal(held.bytes, before);
  delete gone.window;
});
