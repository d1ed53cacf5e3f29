import assert from "node:assert/strict";
import test from "node:test";

import { Beats, strong } from "../beats";
import { droneTones, tapped } from "../metronome";
import { stand } from "../needles";

test("no beat drifts, and another tempo begins at a beat", () => {
  const b = new Beats({ number: 0, at: 2 }, 97);
  assert.equal(b.at(97 * 60), 2 + 3600);
  assert.deepEqual(b.before(3, b.at(5)).map((x) => x.number), [3, 4]);
  assert.deepEqual(b.before(5, b.at(5)), []);
  const faster = b.turned(4, 194);
  assert.equal(faster.at(4), b.at(4));
  assert.equal(Math.round(1e9 * (faster.at(6) - b.at(5))), 0);
});

test("the first beat of a bar is told", () => {
  assert.deepEqual([0, 1, 2, 3, 4].map((n) => strong(n, 3)), [true, false, false, true, false]);
  assert(!strong(0, 0));
});

test("taps give their tempo, the last five of them", () => {
  assert.equal(tapped([1]), 0);
  assert.equal(tapped([0, 0.5, 1, 1.5]), 120);
  assert.equal(tapped([0, 9, 9.6, 10.2, 10.8, 11.4]), 100);
  assert.equal(tapped([0, 0.01]), 0);
});

test("a drone's tones are the equal tonic and a just fifth", () => {
  // G3 is 195.998 Hz in equal temperament at A4 = 440 (ISO 16).
  const [tonic, fifth] = droneTones(7, true);
  assert(Math.abs(tonic! - 195.998) < 0.001);
  assert.equal(fifth, tonic! * 1.5);
  assert.equal(droneTones(0, false).length, 1);
});

test("a needle stands by its cents, at its end from fifty on", () => {
  assert.deepEqual(stand(5.4), { stands: "tune", at: 55 });
  assert.deepEqual(stand(-20), { stands: "flat", at: 30 });
  assert.deepEqual(stand(300), { stands: "sharp", at: 100 });
});
