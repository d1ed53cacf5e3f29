import assert from "node:assert/strict";
import test from "node:test";

import { after, landedIn, middle, numbers, placeName, readLandings, targets } from "../landings";

const open = [293.66, 246.94, 196, 146.83, 123.47, 98];

test("ten places, none twice, neighbours far apart, the same for the same seed", () => {
  for (let seed = 1; seed <= 200; seed++) {
    const t = targets(seed, open, 12, {});
    assert.equal(t.length, 10);
    assert.equal(new Set(t.map(placeName)).size, 10);
    assert(t.every((x) => x.string >= 1 && x.string <= 6 && x.fret >= 1 && x.fret <= 12));
    assert(t.slice(1).every((x, i) => Math.abs(1200 * Math.log2(x.hz / t[i]!.hz)) >= 200));
    assert.deepEqual(targets(seed, open, 12, {}), t);
  }
  assert(placeName(targets(1, open, 12, {})[0]!) !== placeName(targets(2, open, 12, {})[0]!));
  assert.equal(targets(1, [100], 3, {}).length, 3);
});

test("places that are missed come four times as often", () => {
  let often = 0;
  let seldom = 0;
  for (let seed = 1; seed <= 20000; seed++) {
    const first = placeName(targets(seed, open, 12, { "3/7": 1 })[0]!);
    if (first === "3/7") often++;
    if (first === "4/7") seldom++;
  }
  // 20,000 draws of 72 places: 1067 and 267 expected, three standard errors either way.
  assert(Math.abs(often - (20000 * 4) / 75) < 3 * 32, `${often}`);
  assert(Math.abs(seldom - 20000 / 75) < 3 * 16.3, `${seldom}`);
});

test("drawn numbers are even", () => {
  const next = numbers(7);
  const counts = new Array<number>(10).fill(0);
  for (let i = 0; i < 10000; i++) counts[Math.floor(10 * next())]!++;
  assert(counts.every((c) => Math.abs(c - 1000) < 100), counts.join(" "));
});

test("what was missed is kept, and fades when it is hit", () => {
  const at = (cents: number | null): { string: number; fret: number; hz: number; cents: number | null; mm: number | null } => ({ string: 3, fret: 7, hz: 294, cents, mm: 0 });
  let k = after({ missed: {}, rounds: [] }, [at(-12)], "2026-11-30");
  assert.deepEqual(k, { missed: { "3/7": 0.5 }, rounds: [{ day: "2026-11-30", inTune: 0, middle: 12 }] });
  k = after(k, [at(4)], "2026-12-01");
  assert.equal(k.missed["3/7"], 0.25);
  assert.equal(k.rounds[1]!.inTune, 1);
  assert.deepEqual(readLandings(JSON.stringify(k)), k);
  for (const broken of ["", "7", "{", '{"missed":1}']) assert.deepEqual(readLandings(broken), { missed: {}, rounds: [] });
  assert(!landedIn(at(null)));
  assert.equal(middle([at(null)]), null);
  assert.equal(middle([at(-9), at(2), at(null), at(5)]), 5);
});
