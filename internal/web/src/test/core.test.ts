import assert from "node:assert/strict";
import test from "node:test";

import { Core, type FromWorker, Program, type ToWorker } from "../core";

/** A core whose worker answers when it is told to. */
function slowCore(): { core: Core; asked: () => ToWorker[]; answer: (i: number, said: unknown, as?: "answer" | "sheet") => void } {
  const told: ToWorker[] = [];
  let worker: Worker;
  const core = new Core(async () => {
    worker = { postMessage: (m: ToWorker) => told.push(m), terminate: () => undefined, onmessage: null, onerror: null } as unknown as Worker;
    return worker;
  });
  return {
    core,
    asked: () => told,
    answer: (i, said, as = "answer") => worker.onmessage!({ data: { id: (told[i] as { id: number }).id, [as]: JSON.stringify(said) } } as unknown as MessageEvent<FromWorker>),
  };
}

const turns = (): Promise<void> => new Promise((go) => setTimeout(go));

test("what was heard is asked about in spare time alone, and gives way to what else is asked", async () => {
  const { core, asked, answer } = slowCore();
  const first = core.spare<number>({ what: "now" }, [new Int16Array([1, 2]), new Int16Array([3])], 48000);
  await turns();
  assert.deepEqual([...(asked()[0] as { piece: Int16Array }).piece], [1, 2, 3]);
  assert.equal(await core.spare({ what: "now" }, [], 48000), null);
  assert.equal(asked().length, 2);
  answer(1, 7);
  assert.equal(await first, 7);
  const given = core.spare({ what: "now" }, [], 48000);
  await turns();
  const review = core.ask({ what: "review" });
  assert.equal(await given, null);
  await turns();
  answer(4, { faults: [{ text: "no" }] });
  await assert.rejects(review, /no/);
});

test("a take is handed over in pieces, before the question, and no further when the question is given up", async () => {
  const { core, asked, answer } = slowCore();
  const take = Int16Array.from({ length: 300_000 }, (_, i) => i % 30_011);
  const first = core.ask<number>({ what: "review" }, take, 48000);
  await turns();
  const pieces = asked().slice(0, -1) as { id: number; samples: number; piece: Int16Array }[];
  assert.deepEqual(pieces.map((p) => p.piece.length), [131_072, 131_072, 37_856]);
  assert(pieces.every((p) => p.samples === 300_000));
  assert.deepEqual(Int16Array.from(pieces.flatMap((p) => [...p.piece])), take);
  const question = asked().at(-1) as { id: number; question: string; rate: number };
  assert.deepEqual([question.id, question.question, question.rate], [pieces[0]!.id, '{"what":"review"}', 48000]);
  answer(asked().length - 1, 7);
  assert.equal(await first, 7);
  const given = core.ask({ what: "review" }, new Int16Array(100_000_000), 48000); // takes some turns
  const gone = assert.rejects(given, /Another question/);
  await turns();
  core.give();
  await gone;
  const told = asked().length;
  await turns();
  await turns();
  assert(told < 700 && asked().length <= told + 1, `${told} pieces were handed over, then ${asked().length - told}`);
});

test("what is asked for nobody gives way, and leaves a worker that somebody finds at work already", async () => {
  const workers: { told: { id: number; question: string }[]; ended: boolean; answer: () => void }[] = [];
  const core = new Core(async () => {
    const told: { id: number; question: string }[] = [];
    const worker = { postMessage: (m: { id: number; question: string }) => told.push(m), terminate: () => (made.ended = true), onmessage: null, onerror: null } as unknown as Worker;
    const made = { told, ended: false, answer: () => worker.onmessage!({ data: { id: told.at(-1)!.id, answer: "7" } } as MessageEvent<FromWorker>) };
    workers.push(made);
    return worker;
  });
  let over = false;
  void core.rehearse({ what: "place" }).then(() => (over = true));
  for (; !over; await turns()) if (workers[0]?.told.length) workers[0].answer();
  assert(workers[0]!.told.length > 1 && core.idle);
  const asked = workers[0]!.told.length;
  const found = core.ask<number>({ what: "review" });
  await turns();
  assert.deepEqual([workers.length, workers[0]!.ended, workers[0]!.told.length], [1, false, asked + 1]);
  workers[0]!.answer();
  assert.equal(await found, 7);
  await core.rehearse({ what: "place" }); // somebody has asked: there is nothing more to try
  assert.equal(workers[0]!.told.length, asked + 1);
});

test("a sheet comes before the answer whose part it is, to who has asked for it", async () => {
  const { core, answer } = slowCore();
  const sheet = { pages: [], narrow: "<svg/>" };
  const early: unknown[] = [];
  let over = false;
  const placed = core.place<number>({ what: "place" }, (s) => early.push(s)).finally(() => (over = true));
  await turns();
  answer(0, sheet, "sheet");
  await turns();
  assert.deepEqual(early, [sheet]);
  assert(!over && !core.idle);
  answer(0, 7);
  assert.equal(await placed, 7);
  answer(0, sheet, "sheet"); // nobody waits for it any more
  const other = core.ask<number>({ what: "review" });
  await turns();
  answer(1, sheet, "sheet"); // nor has asked for it
  answer(1, 8);
  assert.equal(await other, 8);
  assert.deepEqual(early, [sheet]);
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

test("a program in pieces is handed over piece by piece before it is begun; another worker is given what the first compiled", async () => {
  const all = globalThis as { Worker?: unknown };
  const told: unknown[][] = [];
  const compiled = new WebAssembly.Module(Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0)); // the least there is: Core Specification, 5.5.16
  all.Worker = class {
    onmessage: ((e: { data: unknown }) => void) | null = null;
    private readonly told: unknown[] = [];
    constructor() {
      told.push(this.told);
    }
    postMessage(m: object): void {
      this.told.push(m);
      if ("begin" in m) setTimeout(() => this.onmessage?.({ data: { ready: compiled } }));
    }
    terminate(): void {}
  };
  const program = new Program(async () => ["AAAA", "BBBB"], async () => "", "a lesson");
  await program.start();
  await program.start();
  delete all.Worker;
  assert.deepEqual(told, [[{ piece: "AAAA" }, { piece: "BBBB" }, { begin: null, carried: "a lesson" }], [{ begin: compiled, carried: "a lesson" }]]);
});
