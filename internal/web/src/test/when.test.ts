import assert from "node:assert/strict";
import test from "node:test";

import type { SteelTime } from "../forms";
import { between, lastBefore } from "../when";

test("the last thing before a time", () => {
  const things = [0, 1, 1, 2.5].map((at, i) => ({ at, i }));
  for (const [at, want] of [[-1, undefined], [0, 0], [0.99, 0], [1, 2], [2.4999999, 3], [9, 3]] as const) {
    assert.equal(lastBefore(things, at)?.i, want, `at ${at}`);
  }
  assert.equal(lastBefore([], 1), undefined);
});

function key(at: number, fret: number, first = 1): SteelTime {
  return { at, kind: "straight", first, last: first && 3, firstFret: fret, lastFret: fret, angle: 0 };
}

test("the steel between two keys", () => {
  const keys = [key(0, 5), key(1, 7), key(2, 7)];
  assert.equal(between([], 0), null);
  assert.equal(between(keys, -1)!.firstFret, 5);
  assert.equal(between(keys, 0)!.firstFret, 5);
  assert.equal(between(keys, 0.5)!.firstFret, 6);
  assert.equal(between(keys, 1)!.firstFret, 7);
  assert.equal(between(keys, 8)!.firstFret, 7);
  for (let at = 0, before = 5; at <= 1; at += 0.05) {
    const now = between(keys, at)!.firstFret;
    assert(now >= before, `it goes back at ${at}`);
    before = now;
  }
});

test("a lifted steel does not glide", () => {
  assert.equal(between([key(0, 5), key(1, 0, 0)], 0.9)!.firstFret, 5);
  assert.equal(between([key(0, 0, 0), key(1, 5)], 0.9)!.first, 0);
});
