import assert from "node:assert/strict";
import test from "node:test";

import { NeckGeometry } from "../geometry";

const neck = new NeckGeometry(6, 12, 1000);

test("frets stand as on an instrument", () => {
  // The twelfth fret halves the string, the fifth leaves three quarters within
  // two cents, the seventh two thirds (common practice, no source).
  const octave = neck.x(12) - neck.x(0);
  for (const [fret, share, slack] of [[0, 0, 0], [5, 0.25, 0.001], [7, 1 / 3, 0.001], [12, 0.5, 1e-12]] as const) {
    const got = (neck.x(fret) - neck.x(0)) / (2 * octave);
    assert(Math.abs(got - share) <= slack, `fret ${fret} at ${got}`);
  }
  assert(neck.x(12) < 1000, "the last fret is in the picture");
});

test("each crossing is found again", () => {
  for (let s = 1; s <= 6; s++) for (let f = 0; f <= 12; f++) assert.deepEqual(neck.at(neck.x(f) + 3, neck.y(s) - 8), [s, f]);
});

test("beside the strings there is nothing", () => {
  assert.equal(neck.at(500, neck.y(1) - 12), null);
  assert.equal(neck.at(500, neck.y(6) + 12), null);
  assert.deepEqual(neck.at(-50, neck.y(2)), [2, 0]);
  assert.deepEqual(neck.at(5000, neck.y(2)), [2, 12]);
});

test("the steel lies over its strings and leans along its own line", () => {
  const lay = { at: 0, kind: "forward slant", first: 1, last: 3, firstFret: 8, lastFret: 7, angle: 0 };
  const line = neck.steel(lay)!;
  assert(line.y1 < neck.y(1) && line.y2 > neck.y(3), "it reaches past both");
  const along = (y: number): number => line.x1 + ((line.x2 - line.x1) * (y - line.y1)) / (line.y2 - line.y1);
  assert(Math.abs(along(neck.y(1)) - neck.x(8)) < 1e-9 && Math.abs(along(neck.y(3)) - neck.x(7)) < 1e-9, "it meets both contacts");
  const one = neck.steel({ ...lay, last: 1, lastFret: 8 })!;
  assert.equal(one.x1, one.x2);
  assert.equal(neck.steel({ ...lay, first: 0, last: 0 }), null);
  assert.equal(neck.steel(null), null);
});
