import assert from "node:assert/strict";
import test from "node:test";

import { place } from "../place";

test("the cursor goes from pluck to pluck in one lane, and jumps to the next", () => {
  const spots = [
    { seconds: 1, lane: "a", x: 10 },
    { seconds: 2, lane: "a", x: 30 },
    { seconds: 4, lane: "b", x: 5 },
  ];
  assert.equal(place([], 1), null);
  assert.equal(place(spots, 0.9), null);
  assert.deepEqual(place(spots, 1), { lane: "a", x: 10 });
  assert.deepEqual(place(spots, 1.25), { lane: "a", x: 15 });
  assert.deepEqual(place(spots, 3), { lane: "a", x: 30 });
  assert.deepEqual(place(spots, 9), { lane: "b", x: 5 });
});
