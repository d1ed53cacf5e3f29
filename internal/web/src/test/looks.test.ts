import assert from "node:assert/strict";
import test from "node:test";

import { Looks } from "../looks";
import { Recorder } from "../recorder";

test("a microphone that comes after listening was ended is let go again", async () => {
  let ended = 0;
  let come: (r: Recorder) => void = () => undefined;
  const microphone = { end: async () => void ended++, recent: () => ({ blocks: [], rate: 48000 }) } as unknown as Recorder;
  Recorder.begin = () => new Promise((r) => (come = r));
  const failures: unknown[] = [];
  const looks = new Looks("", 1, async () => undefined, (e) => failures.push(e));
  const listens = looks.toggle();
  await looks.stop();
  come(microphone);
  assert.equal(await listens, false);
  assert.equal(ended, 1);
  assert.equal(failures.length, 0);
});

/** A microphone that has heard enough, and whether it has ended. */
function hearing(): { recorder: Recorder; ended: () => boolean } {
  let ended = false;
  return { recorder: { end: async () => void (ended = true), recent: () => ({ blocks: [new Int16Array(48000)], rate: 48000 }) } as unknown as Recorder, ended: () => ended };
}

const turns = (): Promise<void> => new Promise((go) => setTimeout(go));

test("a microphone that is refused after listening was begun again ends nothing", async () => {
  const asked: { come: (r: Recorder) => void; refuse: (e: Error) => void }[] = [];
  Recorder.begin = () => new Promise((come, refuse) => asked.push({ come, refuse }));
  const failures: unknown[] = [];
  const looks = new Looks("", 1, () => new Promise(() => undefined), (e) => failures.push(e));
  const first = looks.toggle();
  await looks.stop();
  const second = looks.toggle();
  asked[1]!.come(hearing().recorder);
  assert.equal(await second, true);
  asked[0]!.refuse(new Error("no"));
  assert.equal(await first, true);
  assert.deepEqual(failures, []);
});

test("a look that fails after listening was begun again ends nothing", async () => {
  const microphones = [hearing(), hearing()];
  let begun = 0;
  Recorder.begin = async () => microphones[begun++]!.recorder;
  const looked: ((e: Error) => void)[] = [];
  const failures: unknown[] = [];
  const looks = new Looks("", 1, () => new Promise((_, fail) => looked.push(fail)), (e) => failures.push(e));
  await looks.toggle();
  await looks.stop();
  await looks.toggle();
  looked[0]!(new Error("late"));
  await turns();
  assert.deepEqual(microphones.map((m) => m.ended()), [true, false]);
  assert.deepEqual(failures, []);
});

test("a microphone that is taken away ends listening, and the reason is told once", async () => {
  const { recorder, ended } = hearing();
  Recorder.begin = async () => recorder;
  const failures: unknown[] = [];
  let ends = 0;
  const looks = new Looks("", 1, () => new Promise(() => undefined), (e) => failures.push(e));
  looks.onEnd = () => ends++;
  await looks.toggle();
  recorder.gone(new Error("gone"));
  recorder.gone(new Error("gone again"));
  await turns();
  assert.equal(ended(), true);
  assert.equal(ends, 1);
  assert.deepEqual(failures.map(String), ["Error: gone"]);
});
