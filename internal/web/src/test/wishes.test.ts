import assert from "node:assert/strict";
import test from "node:test";

import type { TuneSettings } from "../forms";
import { fields, pinned, wished } from "../wishes";

const rig = "lap6-c6";

test("every field shows what it asked for", () => {
  const values: Record<string, (string | boolean)[]> = {
    rig: ["lap6-c6", "x"], beside: ["", "lap6-c6"], tempo: ["", "92"], key: ["", "E♭"], octave: ["", "0", "-2"], grade: ["", "first", "third"], whole: [true, false],
    harmony: ["", "none", "full"], capo: ["", "0", "5"], closed: [true, false], square: [true, false], vibrato: [true, false], touch: ["", "plain", "full"],
    part: ["", "backup"], feel: ["", "waltz"], intro: ["", "any"], turnaround: ["", "any"], ending: ["", "walk-down"],
  };
  assert.deepEqual(Object.keys(values).sort(), Object.keys(fields).sort());
  for (const [name, list] of Object.entries(values)) {
    let x: TuneSettings = {};
    for (const v of [...list, ...list].reverse()) {
      const asked = fields[name]!.asks(v);
      x = "extra" in asked ? { ...x, ...asked.extra } : wished(x, rig, asked.wishes);
      assert.equal(fields[name]!.shown(x, x.wishes?.[rig] ?? {}), v, `${name} of ${String(v)}`);
      assert(fields[name]!.why(v, "words").length > 3);
    }
  }
});

test("what is left free is not kept", () => {
  const x = wished({ tempo: 80, wishes: { other: { key: "A" }, [rig]: { key: "D", closed: true, octave: 0 } } }, rig, { key: undefined, pins: [] });
  assert.deepEqual(x, { tempo: 80, wishes: { other: { key: "A" }, [rig]: { closed: true, octave: 0 } } });
});

test("one place has one pin", () => {
  const pin = (bar: number, at: string, words: string) => ({ bar, at, grip: [[1, 5]] as [number, number][], words });
  const pins = pinned(pinned([pin(1, "0", "a")], pin(2, "1/4", "b"), false), pin(1, "0", "c"), false);
  assert.deepEqual(pins.map((p) => p.words), ["b", "c"]);
  assert.deepEqual(pinned(pins, pin(2, "1/4", ""), true).map((p) => p.words), ["c"]);
  // A pin in another key, octave or capo is another pin.
  const here = { ...pin(1, "0", "d"), in: { semitones: -12, capo: 0 } };
  const there = { ...pin(1, "0", "e"), in: { semitones: -5, capo: 0 } };
  assert.deepEqual(pinned([here], there, false).map((p) => p.words), ["d", "e"]);
  assert.deepEqual(pinned([here, there], { ...here, words: "f" }, false).map((p) => p.words), ["e", "f"]);
});
