import assert from "node:assert/strict";
import test from "node:test";

import type { SteelTime } from "../forms";
import { above, ahead, beatsPerMinute, between, lastBefore } from "../when";

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

test("where the steel lies next is another place than now", () => {
  const keys = [key(0, 5), key(1, 5), key(2, 0, 0), key(3, 5), key(4, 7)];
  assert.equal(ahead(keys, 0)!.firstFret, 7); // lifted and put back where it was is no other place
  assert.equal(ahead(keys, 3.5)!.firstFret, 7);
  assert.equal(ahead(keys, 4), null);
  assert.equal(ahead([], 0), null);
  assert.equal(ahead([key(0, 0, 0), key(1, 3)], 0)!.firstFret, 3);
});

test("a lifted steel is held over its way, and one that lies is not", () => {
  const keys = [key(0, 5), key(1, 0, 0), key(3, 9)];
  assert.equal(above(keys, 0.5), null);
  assert.equal(above(keys, 1)!.firstFret, 5);
  const middle = above(keys, 2)!.firstFret;
  assert(middle > 5 && middle < 9, `half way it is at ${middle}`);
  assert.equal(above(keys, 3), null);
  assert.equal(above([key(0, 0, 0)], 0), null);
});

test("beats a minute follow the clicks", () => {
  const clicks = [0, 0.5, 1, 2, 3].map((at) => ({ at, first: at === 0 }));
  assert.equal(beatsPerMinute(clicks, 0.2), 120);
  assert.equal(beatsPerMinute(clicks, 1), 60);
  assert.equal(beatsPerMinute(clicks, 99), 60);
  assert.equal(beatsPerMinute([], 0), 0);
});
