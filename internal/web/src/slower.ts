// A recording at other speeds, made beside the page in pieces as they are played:
// the first one sounds at once, and no more of the recording is there twice than is
// near. Where the browser lets no worker be, the page makes the pieces itself.

import { held, type Holding } from "./held";
import type { Pieces } from "./pieces";
import type { Recorded } from "./recorded";
import { type Channel, type Stretched, stretched } from "./stretch";

/** The first piece is short, so that it is soon there. */
const firstSeconds = 0.4;
const pieceSeconds = 1;
/** How much of the recording goes to the worker at a time, and how many of such blocks it holds. */
const blockSeconds = 0.5;
const mostBlocks = 40;
/** How far around a place the stretching looks. */
const aroundSeconds = 0.1;

type Told =
  | { length: number; channels: number; sampleRate: number; samples: number } // of the recording, and of a block
  | { number: number; block: Float32Array<ArrayBuffer>[] }
  | { drop: number }
  | { id: number; rate: number; from: number; loop: [number, number] | null }
  | { id: number; samples: number }
  | { id: number; end: true };
interface Said {
  id: number;
  channels: Float32Array<ArrayBuffer>[];
}

/** Does what it is told; self-contained, since its text is the worker's. */
function workshop(stretch: typeof stretched): (told: Told) => Said | null {
  const blocks = new Map<number, Float32Array[]>();
  let whole: Channel[] = [];
  let sampleRate = 0;
  const streams = new Map<number, Stretched>();
  return (told) => {
    if ("length" in told) {
      const { length, channels, samples } = told;
      whole = Array.from({ length: channels }, (_, c) => ({
        length,
        read: (at, into) => {
          into.fill(0);
          for (let done = 0; done < into.length; ) {
            const number = Math.floor((at + done) / samples);
            const skip = at + done - number * samples;
            const part = blocks.get(number)?.[c]?.subarray(skip, skip + into.length - done);
            if (part) into.set(part, done);
            done += samples - skip;
          }
        },
      }));
      sampleRate = told.sampleRate;
    } else if ("block" in told) blocks.set(told.number, told.block);
    else if ("drop" in told) blocks.delete(told.drop);
    else if ("rate" in told) streams.set(told.id, stretch(whole, sampleRate, told.rate, told.from, told.loop));
    else if ("end" in told) streams.delete(told.id);
    else return { id: told.id, channels: streams.get(told.id)?.next(told.samples) ?? [] };
    return null;
  };
}

const script = `"use strict";const answer=(${workshop.toString()})(${stretched.toString()});
onmessage=(e)=>{const said=answer(e.data);if(said)postMessage(said,said.channels.map((c)=>c.buffer))}`;

/** One that does what it is told: a worker, or the page itself. */
interface Teller {
  tell(told: Told, give?: Transferable[]): void;
  end(): void;
}

export class Slower {
  private whole: Recorded | null = null;
  private teller: Teller | null = null;
  /** The blocks that it holds, the least recently needed first. */
  private readonly sent = new Set<number>();
  private holding: Holding | null = null;
  private readonly waiting = new Map<number, (said: Said | null) => void>();
  private last = 0;
  private workers = true; // none has failed here

  /** Takes another recording; what is being made of the one before ends. */
  of(whole: Recorded | null): void {
    this.close();
    this.whole = whole;
  }

  /** The recording at a rate from a place on, round a loop; places in seconds of the recording. */
  pieces(rate: number, from: number, loop: [number, number] | null): Pieces {
    const whole = this.whole;
    if (!whole) return { next: () => Promise.resolve(null), end: () => {} };
    const { sampleRate } = whole;
    const id = ++this.last;
    const round = loop && ([Math.round(loop[0] * sampleRate), Math.min(whole.length, Math.round(loop[1] * sampleRate))] as [number, number]);
    let at = Math.round(from * sampleRate);
    let seconds = firstSeconds;
    let begun: Teller | null = null;
    return {
      next: async () => {
        const samples = Math.round(seconds * sampleRate);
        while (this.whole === whole) {
          const teller = this.open(whole);
          if (begun !== teller) teller.tell({ id, rate, from: at, loop: round });
          begun = teller;
          let to = at;
          // What the piece is made from, round by round.
          for (let left = Math.ceil(samples * rate); left > 0; ) {
            const end = round ? Math.min(round[1], to + left) : to + left;
            this.bring(teller, whole, to, end);
            left -= end - to;
            to = round && end >= round[1] ? round[0] : end;
          }
          const said = await new Promise<Said | null>((came) => {
            this.waiting.set(id, came);
            teller.tell({ id, samples });
          });
          if (!said) continue; // its worker broke off: the page goes on
          at = to;
          seconds = pieceSeconds;
          return said.channels[0]?.length ? { channels: said.channels, sampleRate } : null;
        }
        return null;
      },
      end: () => {
        if (begun && begun === this.teller) begun.tell({ id, end: true });
      },
    };
  }

  /** Sends the blocks of the recording that a stretch of it needs and that are not there. */
  private bring(teller: Teller, whole: Recorded, from: number, to: number): void {
    const block = Math.round(blockSeconds * whole.sampleRate);
    const around = aroundSeconds * whole.sampleRate;
    const last = Math.min(Math.ceil((to + around) / block), Math.ceil(whole.length / block));
    for (let i = Math.max(0, Math.floor((from - around) / block)); i < last; i++) {
      const there = this.sent.delete(i);
      this.sent.add(i);
      if (there) continue;
      const channels = Array.from({ length: whole.channels }, (_, c) => {
        const part = new Float32Array(Math.min(block, whole.length - i * block));
        whole.read(c, i * block, part);
        return part;
      });
      teller.tell({ number: i, block: channels }, channels.map((c) => c.buffer));
    }
    for (const i of this.sent) {
      if (this.sent.size <= mostBlocks) break;
      this.sent.delete(i);
      teller.tell({ drop: i });
    }
    this.holding?.set(4 * this.sent.size * block * whole.channels);
  }

  private open(whole: Recorded): Teller {
    if (this.teller) return this.teller;
    const hear = (said: Said): void => {
      const came = this.waiting.get(said.id);
      this.waiting.delete(said.id);
      came?.(said);
    };
    this.teller = this.beside(hear) ?? here(hear);
    this.teller.tell({ length: whole.length, channels: whole.channels, sampleRate: whole.sampleRate, samples: Math.round(blockSeconds * whole.sampleRate) });
    this.holding = held.hold(0);
    return this.teller;
  }

  private close(): void {
    this.teller?.end();
    this.teller = null;
    this.holding?.end();
    this.holding = null;
    this.sent.clear();
    for (const gone of this.waiting.values()) gone(null);
    this.waiting.clear();
  }

  /** A worker; null where the browser lets none be. */
  private beside(hear: (said: Said) => void): Teller | null {
    if (!this.workers) return null;
    const at = URL.createObjectURL(new Blob([script], { type: "text/javascript" }));
    try {
      const worker = new Worker(at);
      worker.onmessage = (e: MessageEvent<Said>) => hear(e.data);
      worker.onerror = () => {
        this.workers = false;
        this.close();
      };
      const end = (): void => {
        worker.terminate();
        URL.revokeObjectURL(at);
      };
      return { tell: (told, give) => worker.postMessage(told, give ?? []), end };
    } catch {
      return null;
    }
  }

}

function here(hear: (said: Said) => void): Teller {
  const answer = workshop(stretched);
  const tell = (told: Told): void => {
    const said = answer(told);
    if (said) queueMicrotask(() => hear(said));
  };
  return { tell, end: () => {} };
}
