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
