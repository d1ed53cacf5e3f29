// The worker that runs the core: it starts the program with the script that comes
// with its toolchain, which stands before this one, and carries questions and sound
// to it. Sound is made in blocks, and what comes meanwhile is read between them.

import type { FromSound, FromWorker, SoundPart, ToBegin, ToSound, ToWorker } from "./core";
import { decode } from "./packed";
import { floats, row } from "./wave";

interface Block {
  parts: SoundPart[];
  pass: number;
  past: number;
}

interface Program {
  open(carried: string): string;
  answer(question: string, take: Float32Array | null, rate: number, sheet: (drawn: string) => void): string;
  begin(stream: number, wished: string): string;
  next(stream: number, samples: number): Block | null;
  end(stream: number): void;
}

interface Scope {
  Go: new () => { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
  lapwright: Program;
  lapwrightReady: () => void;
  onmessage: ((e: MessageEvent<ToWorker | ToSound>) => void) | null;
  postMessage(said: FromWorker | FromSound, transfer?: Transferable[]): void;
}

const scope = globalThis as unknown as Scope;
/** The most samples of a block: 50 ms at 48 kHz. */
const blockSize = 2400;
let memory: WebAssembly.Memory | null = null;

scope.onmessage = (e) => {
  const told = e.data;
  if ("begin" in told) begin(told.begin ?? new Blob(pieces.splice(0)), told.carried).catch(broken);
  else if ("question" in told) answer(told.id, told.question, told.rate);
  else if ("samples" in told && "piece" in told) take(told.id, told.samples, told.piece);
  else if ("piece" in told) pieces.push(decode(told.piece));
  else hear(told);
};

/** What has come of the program. */
const pieces: Uint8Array<ArrayBuffer>[] = [];

/** What has come of the take that is asked about next. */
let taken: { id: number; samples: Float32Array<ArrayBuffer>; filled: number } | null = null;

function take(id: number, samples: number, piece: Int16Array): void {
  if (taken?.id !== id) taken = { id, samples: new Float32Array(samples), filled: 0 };
  taken.samples.set(floats(piece), taken.filled);
  taken.filled += piece.length;
}

function answer(id: number, question: string, rate: number): void {
  const about = taken?.id === id ? taken.samples : null;
  taken = null;
  scope.postMessage({ id, answer: scope.lapwright.answer(question, about, rate, (sheet) => scope.postMessage({ id, sheet })) });
}

/** Compiles a program; packed with gzip, which its first bytes tell (RFC 1952, 2.3.1), it is unpacked before: some hosts unpack it themselves. */
async function compiled(given: WebAssembly.Module | ArrayBuffer | Blob): Promise<WebAssembly.Module> {
  if (given instanceof WebAssembly.Module) return given;
  const bytes = given instanceof Blob ? await given.arrayBuffer() : given;
  const [a, b] = new Uint8Array(bytes);
  if (a !== 0x1f || b !== 0x8b) return WebAssembly.compile(bytes);
  const plain = new Response(bytes).body!.pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compile(await new Response(plain).arrayBuffer());
}

/** The page hears of it as of any error. */
function broken(why: unknown): void {
  setTimeout(() => { throw why; });
}

async function begin(given: WebAssembly.Module | ArrayBuffer | Blob, carried: string): Promise<void> {
  const program = await compiled(given);
  const go = new scope.Go();
  const ready = new Promise<void>((is) => (scope.lapwrightReady = is));
  const instance = await WebAssembly.instantiate(program, go.importObject);
  memory = instance.exports["mem"] as WebAssembly.Memory;
  // A program that ends has panicked.
  void go.run(instance).then(() => broken(new Error("the program ended")));
  await ready;
  const wrong = carried && scope.lapwright.open(carried);
  if (wrong) throw new Error(wrong);
  scope.postMessage({ ready: program });
}

/** The streams that somebody listens to: what is wished of each until it has begun. */
const streams = new Map<number, { wished: string | null }>();
const asked: { stream: number; samples: number }[] = [];
let working = false;

function hear(told: Exclude<ToSound, ToBegin>): void {
  if ("wished" in told) streams.set(told.stream, { wished: told.wished });
  else if ("end" in told) {
    if (streams.get(told.stream)?.wished === null) scope.lapwright.end(told.stream);
    streams.delete(told.stream);
  } else {
    asked.push(told);
    if (!working) void work();
  }
}

/** Makes what is asked for, block by block. */
async function work(): Promise<void> {
  working = true;
  try {
    for (let job = asked.shift(); job; job = asked.shift()) await make(job.stream, job.samples);
  } finally {
    working = false;
  }
}

async function make(stream: number, samples: number): Promise<void> {
  let began = performance.now();
  const blocks: Block[] = [];
  for (let left = samples; left > 0; ) {
    const wanted = streams.get(stream);
    if (!wanted) return; // nobody listens any more
    if (wanted.wished !== null) {
      const wrong = scope.lapwright.begin(stream, wanted.wished);
      if (wrong) {
        streams.delete(stream);
        scope.postMessage({ stream, wrong });
        return;
      }
      wanted.wished = null;
      began = performance.now(); // what it takes to begin says little of how fast it goes on
    }
    const block = scope.lapwright.next(stream, Math.min(left, blockSize));
    if (!block) break;
    blocks.push(block);
    left -= block.parts[0]!.channels[0]!.length;
    await breath();
  }
  const end = blocks.at(-1);
  const parts = (end?.parts ?? []).map((p, i) => ({ name: p.name, channels: p.channels.map((_, c) => row(blocks.map((b) => b.parts[i]!.channels[c]!))) }));
  const where = { pass: end?.pass ?? 0, past: end?.past ?? 0 };
  scope.postMessage({ stream, parts, where, took: performance.now() - began, memory: memory?.buffer.byteLength ?? 0 }, parts.flatMap((p) => p.channels.map((c) => c.buffer)));
}

const pipe = new MessageChannel();
let breathed: () => void = () => {};
pipe.port1.onmessage = () => breathed();

/** Lets messages that have come be read. */
function breath(): Promise<void> {
  return new Promise((go) => {
    breathed = go;
    pipe.port2.postMessage(null);
  });
}
