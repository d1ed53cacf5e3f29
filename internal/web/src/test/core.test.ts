import assert from "node:assert/strict";
import test from "node:test";

import { Core, type FromWorker, type ToWorker } from "../core";

/** A core whose worker answers when it is told to. */
function slowCore(): { core: Core; asked: () => ToWorker[]; answer: (i: number, said: unknown) => void } {
  const told: ToWorker[] = [];
  let worker: Worker;
  const core = new Core(async () => {
    worker = { postMessage: (m: ToWorker) => told.push(m), terminate: () => undefined, onmessage: null, onerror: null } as unknown as Worker;
    return worker;
  });
  return {
    core,
    asked: () => told,
    answer: (i, said) => worker.onmessage!({ data: { id: (told[i] as { id: number }).id, answer: JSON.stringify(said) } } as MessageEvent<FromWorker>),
  };
}

const turns = (): Promise<void> => new Promise((go) => setTimeout(go));

test("what was heard is asked about in spare time alone, and gives way to what else is asked", async () => {
  const { core, asked, answer } = slowCore();
  const first = core.spare<number>({ what: "now" }, [new Int16Array([1, 2]), new Int16Array([3])], 48000);
  await turns();
  assert.deepEqual([...(asked()[0] as { take: Int16Array }).take], [1, 2, 3]);
  assert.equal(await core.spare({ what: "now" }, [], 48000), null);
  assert.equal(asked().length, 1);
  answer(0, 7);
  assert.equal(await first, 7);
  const given = core.spare({ what: "now" }, [], 48000);
  await turns();
  const review = core.ask({ what: "review" });
  assert.equal(await given, null);
  await turns();
  answer(2, { faults: [{ text: "no" }] });
  await assert.rejects(review, /no/);
});

test("a worker that could not start after its question was given up ends no other's", async () => {
  const starts: { come: (w: Worker) => void; fail: (e: Error) => void }[] = [];
  const core = new Core(() => new Promise((come, fail) => starts.push({ come, fail })));
  const first = core.ask({ what: "review" });
  const second = core.ask<number>({ what: "takes" });
  await assert.rejects(first, /Another question/);
  const told: { id: number }[] = [];
  const worker = { postMessage: (m: { id: number }) => told.push(m), terminate: () => undefined, onmessage: null, onerror: null } as unknown as Worker;
  starts[0]!.fail(new Error("no worker"));
  await turns();
  starts[1]!.come(worker);
  await turns();
  worker.onmessage!({ data: { id: told[0]!.id, answer: "7" } } as MessageEvent<FromWorker>);
  assert.equal(await second, 7);
});
