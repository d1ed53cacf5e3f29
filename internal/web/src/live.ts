// Sounds a tab from its notes while it is heard: a worker of its own makes blocks of
// at most 50 ms and reads what it is told between them. What has been made comes in
// pieces, as a stretched recording's do.

import { Beforehand } from "./beforehand";
import type { FromSound, ToSound } from "./core";
import type { Where, Wished } from "./forms";
import type { Piece, Pieces } from "./pieces";
import type { Way } from "./way";

/** The rate at which the core sounds. */
const coreRate = 48000;
/** So many seconds are sounded for nobody, in pieces, so that a browser has made the program fast before somebody plays. */
const rehearsed = 6;
const rehearsedAtOnce = 0.5;
/** A worker whose program has grown so large is replaced by a new one, in bytes. */
const mostMemory = 150e6;

/** A tab as the core takes it; the gain is foretold where it is not known. */
export interface TabText {
  rig: string;
  tab: string;
  gain?: number;
}

/** One that makes music from a place on. */
export interface Source {
  /** Places are of the way. */
  pieces(rate: number, from: number, how: Played): Pieces;
}

/** How music is sounded beside its speed. */
export interface Played {
  way: Way;
  /** How many times as long as usual glides take. */
  glides: number;
  band: boolean;
}

type Said = Exclude<FromSound, { ready: WebAssembly.Module }>;

export class Live {
  /** Told how much of the chosen bars is made, 0 to 1, where they are made first; null when they are. */
  onPreparing: (done: number | null) => void = () => {};
  /** Told why nothing can be sounded any more. */
  onFailed: (why: string) => void = () => {};
  private worker: Promise<Worker> | null = null;
  private current: Worker | null = null;
  private waiting = new Map<number, { worker: Worker; came: (said: Said | null) => void }>();
  /** Workers that have been replaced and end when nobody waits for them. */
  private readonly leaving = new Set<Worker>();
  private last = 0;
  /** Seconds of music made in one, as it was lately; 0 before the first. */
  private pace = 0;
  /** Ends what is sounded for nobody. */
  private rest: () => void = () => {};

  constructor(private readonly start: () => Promise<Worker>) {}

  /** Gets the worker ready; it rejects where there can be none. */
  async warm(): Promise<void> {
    await this.open();
  }

  /** Whether nothing is being made. */
  get idle(): boolean {
    return this.waiting.size === 0;
  }

  /** Sounds the beginning of a tab for nobody: a browser makes a program fast by running it. What somebody plays goes first and ends it. */
  async rehearse(text: TabText): Promise<void> {
    const worker = await this.open();
    if (!this.idle) return;
    const id = ++this.last;
    let over = false;
    this.rest = () => {
      over = true;
      this.rest = () => {};
      worker.postMessage({ stream: id, end: true } satisfies ToSound);
      this.waiting.get(id)?.came(null);
      this.waiting.delete(id);
    };
    worker.postMessage({ stream: id, wished: wishedOf(text, 1, { pass: 0, past: 0 }) } satisfies ToSound);
    for (let made = 0; made < rehearsed && !over; made += rehearsedAtOnce) {
      const said = await this.asked(worker, id, rehearsedAtOnce * coreRate);
      if (!said || "wrong" in said) break;
    }
    if (!over) this.rest();
  }

  /** Asks for so many samples of a stream; null when its worker broke off or nobody waits any more. */
  private asked(worker: Worker, id: number, samples: number): Promise<Said | null> {
    return new Promise((came) => {
      this.waiting.set(id, { worker, came });
      worker.postMessage({ stream: id, samples } satisfies ToSound);
    });
  }

  /** Sounds a tab. */
  of(text: TabText): Source {
    return { pieces: (rate, from, how) => this.pieces(text, rate, from, how) };
  }

  private pieces(text: TabText, rate: number, from: number, { way, glides, band }: Played): Pieces {
    const id = ++this.last;
    const { loop, phrases } = way;
    const round = loop && passesOf(way, loop);
    let at: Where = whereOf(way, from);
    let begun: Worker | null = null;
    let over = false;

    /** The next so many samples, or fewer at the end; null behind it. */
    const make = async (samples: number): Promise<Piece | null> => {
      for (let tries = 0; tries < 3 && !over; tries++) {
        const worker = await this.open();
        if (begun !== worker) {
          this.rest();
          const wished = wishedOf(text, rate, at, { ...(round ? { loop: round } : {}), ...(phrases.length ? { phrases } : {}), ...(glides > 1 ? { glides } : {}), ...(band ? { band } : {}) });
          worker.postMessage({ stream: id, wished } satisfies ToSound);
          begun = worker;
        }
        const said = await this.asked(worker, id, samples);
        if (!said) continue; // its worker broke off: another goes on from here
        if ("wrong" in said) throw new Error(said.wrong);
        const lead = said.parts.find((p) => p.name === "lead");
        if (!lead?.channels[0]?.length) return null;
        at = said.where;
        this.pace = lead.channels[0].length / coreRate / Math.max(1e-3, said.took / 1000);
        if (said.memory > mostMemory) this.renew(worker);
        const backing = said.parts.find((p) => p.name === "backing")?.channels;
        return { channels: lead.channels, sampleRate: coreRate, ...(backing ? { backing } : {}) };
      }
      if (!over) throw new Error("The page's program broke off.");
      return null;
    };

    const left = ((loop ? loop[1] : way.total) - from) / rate;
    const ahead = new Beforehand({ rate: coreRate, channels: band ? 3 : 2, make, pace: () => this.pace, preparing: (done) => this.onPreparing(done) }, left, loop && (loop[1] - loop[0]) / rate);
    return {
      get patient() { return ahead.patient; },
      next: () => ahead.next().catch((e: unknown) => {
        if (!over) this.onFailed(e instanceof Error ? e.message : String(e));
        return null;
      }),
      end: () => {
        over = true;
        ahead.end();
        this.waiting.get(id)?.came(null);
        this.waiting.delete(id);
        begun?.postMessage({ stream: id, end: true } satisfies ToSound);
      },
    };
  }

  private open(): Promise<Worker> {
    this.worker ??= this.start().then((worker) => {
      this.current = worker;
      worker.onmessage = (e: MessageEvent<FromSound>) => this.hear(e.data);
      worker.onerror = () => this.lose(worker);
      return worker;
    }, (e: unknown) => {
      this.worker = null;
      throw e;
    });
    return this.worker;
  }

  private hear(said: FromSound): void {
    if ("ready" in said) return;
    const waits = this.waiting.get(said.stream);
    this.waiting.delete(said.stream);
    waits?.came(said);
    for (const worker of this.leaving) this.part(worker);
  }

  /** Ends a replaced worker when nobody waits for it. */
  private part(worker: Worker): void {
    if ([...this.waiting.values()].some((w) => w.worker === worker)) return;
    this.leaving.delete(worker);
    worker.terminate();
  }

  /** A worker has broken off: who waits asks another. */
  private lose(worker: Worker): void {
    worker.terminate();
    if (!this.leaving.delete(worker)) this.worker = this.current = null;
    for (const [id, waits] of this.waiting) {
      if (waits.worker !== worker) continue;
      this.waiting.delete(id);
      waits.came(null);
    }
  }

  /** Replaces a worker; what has been made is heard while the new one starts. */
  private renew(old: Worker): void {
    if (old !== this.current) return; // it is replaced already
    this.leaving.add(old);
    this.current = null;
    this.worker = null;
    const part = (): void => this.part(old);
    void this.open().then(part, part);
  }
}

/** What is wished of a tab from a place on, as the worker takes it. */
function wishedOf({ rig, tab, gain }: TabText, speed: number, at: Where, how: Pick<Wished, "loop" | "phrases" | "glides" | "band"> = {}): string {
  return JSON.stringify({ rig, tab, speed, ...at, ...how, ...(gain === undefined ? {} : { gain }) } satisfies Wished);
}

/** The bar of a way that a place lies in, and how far. */
function whereOf({ legs }: Way, at: number): Where {
  const pass = Math.max(0, legs.findLastIndex((b) => b.at <= at + 1e-6));
  const bar = legs[pass];
  return { pass, past: bar ? Math.max(0, Math.min(at, bar.end) - bar.at) : 0 };
}

/** The bars of a way that a loop holds, the last not included. */
function passesOf({ legs }: Way, loop: [number, number]): [number, number] {
  const from = Math.max(0, legs.findLastIndex((b) => b.at <= loop[0] + 1e-6));
  const to = legs.findIndex((b) => b.end >= loop[1] - 1e-6);
  return [from, (to < 0 ? legs.length - 1 : to) + 1];
}
