import assert from "node:assert/strict";
import test from "node:test";

import { along, rounds, type Stretch } from "../along";
import { clickTimes, delayText, keptDelay } from "../delay";
import { keep } from "../kept";

type Leg = Stretch["way"]["legs"][number];

const stretch = (began: number, from: number, rate = 1, loop: [number, number] | null = null, until = Infinity): Stretch => ({ way: { legs: [], total: 20, loop, phrases: [] }, began, from, rate, round: 0, until });

test("what was sounded is told in seconds of the take", () => {
  // Recorded from 10 on the audio clock to 30; the music began at 12, at 8 of its seconds, and is 20 long.
  assert.deepEqual(rounds([stretch(12, 8)], 10, 30), [{ at: 2, from: 8, to: 20, speed: 1 }]);
  // At half speed the recording ends first.
  assert.deepEqual(rounds([stretch(12, 8, 0.5)], 10, 30), [{ at: 2, from: 8, to: 17, speed: 0.5 }]);
  // What was over before the recording began is left out, what went on into it begins before.
  assert.deepEqual(rounds([stretch(1, 0, 1, null, 5), stretch(6, 4)], 10, 20), [{ at: -4, from: 4, to: 18, speed: 1 }]);
  // Paused after 3 seconds, gone on at 25.
  assert.deepEqual(rounds([stretch(12, 0, 1, null, 15), stretch(25, 3)], 10, 30), [{ at: 2, from: 0, to: 3, speed: 1 }, { at: 15, from: 3, to: 8, speed: 1 }]);
  assert.deepEqual(rounds([], 10, 30), []);
  assert.deepEqual(rounds([stretch(40, 0)], 10, 30), []);
});

test("a loop is a round each time, also one that climbs", () => {
  assert.deepEqual(rounds([stretch(10, 5, 1, [4, 8])], 10, 20), [
    { at: 0, from: 5, to: 8, speed: 1 }, { at: 3, from: 4, to: 8, speed: 1 }, { at: 7, from: 4, to: 7, speed: 1 },
  ]);
  assert.deepEqual(rounds([stretch(10, 4, 0.5, [4, 8], 18), stretch(18, 4, 0.8, [4, 8])], 10, 23), [
    { at: 0, from: 4, to: 8, speed: 0.5 }, { at: 8, from: 4, to: 8, speed: 0.8 },
  ]);
  assert.equal(rounds([stretch(0, 0, 1, [0, 0.001])], 0, 600).length <= 2000, true);
});

test("in turns the bars that are left to the student are those of the music again", () => {
  const leg = (at: number, from: number, yours: boolean): Leg => ({ at, end: at + 2, from, yours, clicks: [] });
  const way = { legs: [leg(0, 0, false), leg(2, 0, true), leg(4, 2, false), leg(6, 2, true)], total: 8, loop: null, phrases: [[0, 1], [1, 2]] as [number, number][] };
  assert.deepEqual(rounds([{ way, began: 10, from: 1, rate: 0.5, round: 0, until: Infinity }], 10, 18), [
    { at: 0, from: 1, to: 2, speed: 0.5 }, { at: 2, from: 0, to: 2, speed: 0.5 }, { at: 6, from: 2, to: 3, speed: 0.5 },
  ]);
});

test("a delay is kept on the device, and one that can't be is not", () => {
  assert.equal(keptDelay(), null);
  keep("delay", "0.0871");
  assert.equal(keptDelay(), 0.0871);
  assert.equal(/hears itself 87 ms late/.test(delayText(keptDelay())), true);
  assert.deepEqual(along([], keptDelay()), { rounds: [], delay: 0.0871 });
  for (const bad of ["soon", "7", "NaN"]) {
    keep("delay", bad);
    assert.equal(keptDelay(), null);
  }
  assert.deepEqual(along([], keptDelay()), { rounds: [] });
});

test("clicks lie at uneven distances, so that none is taken for the next", () => {
  const gaps = clickTimes.slice(1).map((t, i) => t - clickTimes[i]!);
  assert.equal(Math.min(...gaps) > 0.3 && new Set(gaps.map((g) => g.toFixed(2))).size > 2, true);
});
