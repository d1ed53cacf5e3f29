// The core in a worker of the page: it answers what the page asks, beside the
// page. A question of a kind that is asked anew ends the one before it, and what
// breaks is said; the next question starts another worker from the same program.

import type { Asked, Fault, Refused, ScreenSheet, Where } from "./forms";
import { Turns } from "./turns";
import { joined } from "./wave";

/** A program as a page has it: compiled, as bytes, or those as base64 in pieces; bytes may be packed with gzip. */
export type Given = WebAssembly.Module | ArrayBuffer | Iterable<string>;

/** What every worker is told before all else: the program, which may come before in pieces, and the lesson. */
export type ToBegin =
  | { piece: string }
  | { begin: WebAssembly.Module | ArrayBuffer | null; carried: string };

/** What the worker is told, and what it says: the program that it runs, for others. A question's take comes before it, in pieces. */
export type ToWorker =
  | ToBegin
  | { id: number; samples: number; piece: Int16Array<ArrayBuffer> }
  | { id: number; question: string; rate: number };
export type FromWorker =
  | { ready: WebAssembly.Module }
  | { id: number; answer: string }
  /** A sheet that is drawn, before the answer whose part it is. */
  | { id: number; sheet: string };

/** What the worker that sounds is told, and what it says: streams of sound by number. */
export type ToSound =
  | ToBegin
  | { stream: number; wished: string }
  | { stream: number; samples: number }
  | { stream: number; end: true };
export type FromSound =
  | { ready: WebAssembly.Module }
  | { stream: number; wrong: string }
  /** Parts of one length, empty behind the end; where they end; milliseconds they took; bytes that the program holds. */
  | { stream: number; parts: SoundPart[]; where: Where; took: number; memory: number };

/** One of the parts that sound together, its channels at 48 kHz. */
export interface SoundPart {
  name: string;
  channels: Float32Array<ArrayBuffer>[];
}

/** The faults of an answer that was refused. */
export class NotAnswered extends Error {
  constructor(readonly faults: Fault[]) {
    super(faults.map((f) => f.text).join("; "));
  }
}

/** Is told a sheet that comes before its answer, which has it no more. */
export type Drawn = (sheet: ScreenSheet) => void;

interface Waiting {
  drawn: Drawn | null;
  answered: (said: FromWorker) => void;
  failed: (why: Error) => void;
}

/** A page's program: the first worker unpacks and compiles it, beside the page, and others run what that one compiled. */
export class Program {
  private compiled: Promise<WebAssembly.Module> | null = null;

  /** script brings a worker's whole script, carried is the lesson that the page carries, "" for none. */
  constructor(
    private readonly bring: () => Promise<Given>,
    private readonly script: () => Promise<string>,
    private readonly carried: string,
  ) {}

  /** Starts a worker that runs it. */
  async start(): Promise<Worker> {
    const known = this.compiled;
    const started = Promise.all([known ?? this.bring(), this.script()]).then(([given, script]) => run(given, script, this.carried));
    if (!known) {
      this.compiled = started.then((s) => s.program);
      this.compiled.catch(() => (this.compiled = null)); // the next may have more luck
    }
    return (await started).worker;
  }
}

/** Starts a worker, whose script this is, that runs a program; gives it with what it compiled. */
async function run(given: Given, script: string, carried: string): Promise<{ worker: Worker; program: WebAssembly.Module }> {
  const at = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
  const worker = new Worker(at);
  const whole = given instanceof ArrayBuffer || given instanceof WebAssembly.Module;
  try {
    if (!whole) await hand(worker, given);
    const program = await new Promise<WebAssembly.Module>((ready, failed) => {
      worker.onmessage = (e: MessageEvent<FromWorker>) => { if ("ready" in e.data) ready(e.data.ready); };
      worker.onerror = (e) => failed(new Error(e.message || "This browser lets no program work beside the page."));
      worker.postMessage({ begin: whole ? given : null, carried } satisfies ToWorker, given instanceof ArrayBuffer ? [given] : []);
    });
    return { worker, program };
  } catch (e) {
    worker.terminate();
    throw e;
  } finally {
    URL.revokeObjectURL(at);
  }
}

/** Hands a worker its program in pieces: as one text it would keep the page from all else. */
async function hand(worker: Worker, pieces: Iterable<string>): Promise<void> {
  const turns = new Turns();
  for (const piece of pieces) {
    worker.postMessage({ piece } satisfies ToWorker);
    await turns.step();
  }
}

/** How many samples of a take are handed to a worker at a time. */
const handed = 1 << 17;

/** How often a question is asked for nobody: so often that most of what answers it has been made fast. */
const rehearsals = 6;

/** One worker, started when it is first asked. */
export class Core {
  private worker: Promise<Worker> | null = null;
  private waiting = new Map<number, Waiting>();
  private last = 0;

  constructor(private readonly start: () => Promise<Worker>) {}

  /** Asks; what else waits for an answer is given up. */
  ask<T>(question: Asked, take: Int16Array<ArrayBuffer> | null = null, rate = 0): Promise<T> {
    return this.answered<T>(this.send(question, take, rate));
  }

  /** Asks for a tune to be placed, and is told its sheet as soon as it is drawn. */
  place<T>(question: Asked, drawn: Drawn): Promise<T> {
    return this.answered<T>(this.send(question, null, 0, drawn));
  }

  private async answered<T>(asked: Promise<FromWorker>): Promise<T> {
    const said = await asked;
    if (!("answer" in said)) throw new Error("The page's program gave no answer.");
    const answer = JSON.parse(said.answer) as T | Refused;
    if (typeof answer === "object" && answer !== null && "faults" in answer) throw new NotAnswered(answer.faults);
    return answer as T;
  }

  /** Whether nothing waits for an answer. */
  get idle(): boolean {
    return this.waiting.size === 0;
  }

  /** Asks for nobody where nothing has been asked yet: a browser makes a program fast by running it, and what the program makes itself for the first question it has for the next. What is asked meanwhile goes first. */
  async rehearse(question: Asked): Promise<void> {
    if (this.worker) return;
    try {
      for (let n = 0; n < rehearsals; n++) await this.send(question);
    } catch {
      // Somebody has asked, or will hear what is wrong.
    }
  }

  /** Asks about what was heard just now; null when something else waits for an answer, or came before this one. */
  async spare<T>(question: Asked, heard: Int16Array[], rate: number): Promise<T | null> {
    if (!this.idle) return null;
    try {
      return await this.ask<T>(question, joined(heard), rate);
    } catch (e) {
      if (e instanceof Superseded) return null;
      throw e;
    }
  }

  /** Gives up what waits. A worker at work hears nothing, so it ends. */
  give(): void {
    if (this.waiting.size > 0) this.end(new Superseded());
  }

  private async send(question: Asked, take: Int16Array<ArrayBuffer> | null = null, rate = 0, drawn: Drawn | null = null): Promise<FromWorker> {
    this.give();
    const id = ++this.last;
    const answer = new Promise<FromWorker>((answered, failed) => this.waiting.set(id, { drawn, answered, failed }));
    this.worker ??= this.begin();
    const worker = this.worker;
    worker.then(
      (w) => this.tell(w, id, question, take, rate),
      (e: unknown) => { if (this.worker === worker) this.end(e instanceof Error ? e : new Error(String(e))); }, // else it was given up
    );
    return answer;
  }

  /** Asks a worker, which is handed the take before, while somebody waits for the answer. */
  private async tell(worker: Worker, id: number, question: Asked, take: Int16Array<ArrayBuffer> | null, rate: number): Promise<void> {
    const turns = new Turns();
    for (let at = 0; take && (at === 0 || at < take.length) && this.waiting.has(id); at += handed) {
      const piece = take.slice(at, at + handed);
      worker.postMessage({ id, samples: take.length, piece } satisfies ToWorker, [piece.buffer]);
      await turns.step();
    }
    if (this.waiting.has(id)) worker.postMessage({ id, question: JSON.stringify(question), rate } satisfies ToWorker);
  }

  private async begin(): Promise<Worker> {
    const worker = await this.start();
    worker.onmessage = (e: MessageEvent<FromWorker>) => this.hear(e.data);
    worker.onerror = (e) => this.end(new Error(`The page's program broke off: ${e.message || "no reason was given"}. Ask again, and it starts anew.`));
    return worker;
  }

  private hear(said: FromWorker): void {
    if ("ready" in said) return;
    const waiting = this.waiting.get(said.id);
    if (!waiting) return;
    if ("sheet" in said) {
      waiting.drawn?.(JSON.parse(said.sheet) as ScreenSheet);
      return;
    }
    this.waiting.delete(said.id);
    waiting.answered(said);
  }

  /** Ends the worker; all that waits fails. The next question starts another. */
  private end(why: Error): void {
    const worker = this.worker;
    this.worker = null;
    void worker?.then((w) => w.terminate(), () => {});
    const all = [...this.waiting.values()];
    this.waiting.clear();
    for (const w of all) w.failed(why);
  }
}

/** Another question has come since. */
export class Superseded extends Error {
  constructor() {
    super("Another question has come since.");
  }
}
