// What a student has chosen on a lesson's page, in its address, where it can be
// sent on, and on the device, where it is found again.

import { keep, kept } from "./kept";

export interface Chosen {
  instrument?: string;
  /** In per cent. */
  speed?: number;
  /** Bars of the performance, counted from 0. */
  loop?: [number, number] | null;
}

export class Choices {
  private now: Chosen;

  /** The lesson's title tells it from others on the same device. */
  constructor(private readonly title: string) {
    const address = window.location.hash.slice(1);
    this.now = parse(address || kept(`lesson ${title}`));
  }

  read(): Chosen {
    return this.now;
  }

  keep(change: (was: Chosen) => Chosen): void {
    this.now = change(this.now);
    const text = format(this.now);
    keep(`lesson ${this.title}`, text);
    try {
      window.history.replaceState(null, "", `#${text}`);
    } catch {
      // A page in a frame of its own has no address to change.
    }
  }
}

/** "instrument=lap6-c6&speed=60&loop=3-6", bars counted from 1 for people who read addresses. */
export function format(c: Chosen): string {
  const q = new URLSearchParams();
  if (c.instrument) q.set("instrument", c.instrument);
  if (c.speed && c.speed !== 100) q.set("speed", String(c.speed));
  if (c.loop) q.set("loop", `${c.loop[0] + 1}-${c.loop[1] + 1}`);
  return q.toString();
}

/** Reads what format writes; what makes no sense is left out. */
export function parse(text: string): Chosen {
  const q = new URLSearchParams(text);
  const out: Chosen = {};
  const instrument = q.get("instrument");
  if (instrument) out.instrument = instrument;
  const speed = Number(q.get("speed"));
  if (speed >= 30 && speed <= 150) out.speed = speed;
  const loop = /^(\d+)-(\d+)$/.exec(q.get("loop") ?? "");
  if (loop) {
    const [a, b] = [Number(loop[1]) - 1, Number(loop[2]) - 1];
    if (a >= 0 && b >= a) out.loop = [a, b];
  }
  return out;
}
