import assert from "node:assert/strict";
import test from "node:test";

import { format, parse } from "../lessonchoices";
import { glidesText, turnsText } from "../practise";

test("what was chosen is written and read again, practice and all; what makes no sense is left out", () => {
  const chosen = { instrument: "lap6-c6", speed: 60, loop: [2, 5] as [number, number], turns: 2, glides: 1.5, bar: 4 };
  assert.equal(format(chosen), "instrument=lap6-c6&speed=60&loop=3-6&turns=2&glides=1.5&bar=5");
  assert.deepEqual(parse(format(chosen)), chosen);
  assert.equal(format({ turns: 0, glides: 1, speed: 100 }), "");
  assert.deepEqual(parse("turns=-1&glides=0.5&speed=9&loop=6-3"), {});
});

test("turns and glides are told in words, what is usual not at all", () => {
  assert.deepEqual([0, 1, 4, 3].map(turnsText), ["", "a bar each", "4 bars each", ""]);
  assert.deepEqual([1, 1.5, 2].map(glidesText), ["", "1½ times as long", "twice as long"]);
});
