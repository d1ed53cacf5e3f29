// The worker that runs the core: it starts the program with the script that comes
// with its toolchain, which stands before this one, and carries questions to it.

import type { FromWorker, ToWorker } from "./core";

interface Program {
  open(carried: string): string;
  answer(question: string, take: Float32Array | null, rate: number): string;
  sound(rig: string, tab: string, speed: number, told: (done: number) => boolean): Float32Array<ArrayBuffer>[] | string;
}

interface Scope {
  Go: new () => { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
  lapwright: Program;
  lapwrightReady: () => void;
  onmessage: ((e: MessageEvent<ToWorker>) => void) | null;
  postMessage(said: FromWorker, transfer?: Transferable[]): void;
}

const scope = globalThis as unknown as Scope;

scope.onmessage = (e) => {
  const told = e.data;
  if ("begin" in told) void begin(told.begin, told.carried);
  else if ("question" in told) scope.postMessage({ id: told.id, answer: scope.lapwright.answer(told.question, told.take, told.rate) });
  else sound(told);
};

async function begin(program: WebAssembly.Module, carried: string): Promise<void> {
  const go = new scope.Go();
  const ready = new Promise<void>((is) => (scope.lapwrightReady = is));
  const instance = await WebAssembly.instantiate(program, go.importObject);
  // A program that ends has panicked: the page hears of it as of any error.
  void go.run(instance).then(() => setTimeout(() => { throw new Error("the program ended"); }));
  await ready;
  const wrong = scope.lapwright.open(carried);
  if (wrong) throw new Error(wrong);
  scope.postMessage({ ready: true });
}

function sound(told: { id: number; rig: string; tab: string; speed: number }): void {
  const got = scope.lapwright.sound(told.rig, told.tab, told.speed, (done) => {
    scope.postMessage({ id: told.id, done });
    return true;
  });
  if (typeof got === "string") scope.postMessage({ id: told.id, wrong: got });
  else scope.postMessage({ id: told.id, channels: got }, got.map((c) => c.buffer));
}
