import assert from "node:assert/strict";
import test from "node:test";

import { account, facts, wrote } from "../facts";
import type { Summary } from "../forms";
import { count, pretty } from "../names";

const about: Summary = { rig: "r", title: "T", part: "tune", tuning: "D G", key: "G major", transposed: -12, lowFret: 0, highFret: 0, slants: 2, splits: 0, notes: 9, difficulty: 3, capos: [], compromises: [], added: [], leftOut: [], account: [] };

test("facts of a tab", () => {
  const said = (a: Summary, blank = false): Record<string, string> => Object.fromEntries(facts(a, blank));
  assert.deepEqual(said(about), { Tuning: "D G", Key: "G major (down 12)", Frets: "open strings", Slants: "2", Difficulty: "3.0 (0 is free, 10 is hard work)" });
  assert.equal(said({ ...about, transposed: 2, capo: 3, lowFret: 2, highFret: 7 })["Capo"], "fret 3");
  assert.equal(said({ ...about, lowFret: 2, highFret: 7 })["Frets"], "2 to 7");
  assert.deepEqual(Object.keys(said(about, true)), ["Tuning", "Key"]);
  for (const blank of [false, true]) {
    const got = said({ ...about, tuning: "C2 Bb2 F#3 A3", key: "Bb major" }, blank);
    assert.equal(got["Tuning"], "C2 B♭2 F♯3 A3");
    assert.equal(got["Key"]!.slice(0, 8), "B♭ major");
  }
});

test("what a clamp-on capo would save is told first", () => {
  const capo = { fret: 2, shapes: "G major", saves: 0.5, difficulty: 2, words: "with the capo at fret 2 it saves a little" };
  assert.deepEqual(account({ ...about, capos: [capo], account: ["2 notes joined"] }), ["With the capo at fret 2 it saves a little.", "2 notes joined."]);
});

test("a compromise in words", () => {
  assert.equal(wrote({ bar: 3, at: "0", wanted: "D4", got: "C4", why: "It can't." }), "Bar 3: D4 is written, C4 sounds. It can't.");
  assert.equal(wrote({ bar: 3, at: "1/4", wanted: "D#4", got: "C4", why: "It can't." }), "Bar 3, 1/4 in: D♯4 is written, C4 sounds. It can't.");
});

test("names and numbers", () => {
  for (const [name, want] of [["F#4", "F♯4"], ["Bb3", "B♭3"], ["Bbb3", "B𝄫3"], ["F##2", "F𝄪2"], ["B3", "B3"]] as const) assert.equal(pretty(name), want);
  assert.equal(count(1, "compromise"), "1 compromise");
  assert.equal(count(2, "compromise"), "2 compromises");
});
