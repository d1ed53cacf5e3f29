import assert from "node:assert/strict";
import test from "node:test";

import { type Take, tooMuch } from "../takeshelf";
import { floats, lengthText } from "../takesound";
import { joined } from "../wave";

const take = (id: string, played: number, seconds: number, sound = true): Take => ({
  version: 1, id, lesson: "x", played, rig: "", title: "", tab: "", layout: "", tuned: "equal", bars: null, speed: 100, grade: "second", seconds, rate: 48000,
  figures: { label: "", wanted: 0, played: 0, cents: 0, late: 0, against: "tempo", tempo: 0, strings: [], regions: [] }, samples: sound ? new Int16Array(1) : null,
});

test("the oldest takes let their sound go first", () => {
  const all = [take("old", 1, 50), take("gone", 2, 500, false), take("older", 0, 50), take("new", 3, 60)];
  assert.deepEqual(tooMuch(all, 110).map((t) => t.id), ["older"]);
  assert.deepEqual(tooMuch(all, 59).map((t) => t.id), ["new", "old", "older"]);
  assert.deepEqual(tooMuch(all, 160), []);
});

test("what is heard, kept and played again are the same samples of 16 bits", () => {
  const heard = Float32Array.of(0, 0.5, -1, 1, 2, 1 / 32768, 0.4 / 32768, Math.fround(-0.3));
  const kept = joined([heard.slice(0, 3), heard.slice(3)]);
  assert.deepEqual([...kept], [0, 16384, -32768, 32767, 32767, 1, 0, -9830]);
  assert.deepEqual([...joined([floats(kept)])], [...kept]);
});

test("lengths are told in minutes and seconds", () => {
  assert.deepEqual([0, 5.9, 65, 600].map(lengthText), ["0:00", "0:05", "1:05", "10:00"]);
});
