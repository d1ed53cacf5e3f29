import assert from "node:assert/strict";
import test from "node:test";

import { padded, union } from "../box";

test("a union of boxes that have no right and no bottom", () => {
  // As an SVG rectangle is: x, y, width and height are all that it has.
  assert.deepEqual(union([{ x: 1, y: 2, width: 3, height: 4 }, { x: 0, y: 5, width: 2, height: 6 }]), { x: 0, y: 2, width: 4, height: 9 });
});

test("what has no size is left out", () => {
  assert.equal(union([]), null);
  assert.equal(union([{ x: 5, y: 5, width: 0, height: 0 }]), null);
  assert.deepEqual(union([{ x: 0, y: 0, width: 0, height: 0 }, { x: 7, y: 8, width: 1, height: 0 }]), { x: 7, y: 8, width: 1, height: 0 });
});

test("a margin on all sides", () => {
  assert.deepEqual(padded({ x: 1, y: 2, width: 3, height: 4 }, 0.5), { x: 0.5, y: 1.5, width: 4, height: 5 });
});
