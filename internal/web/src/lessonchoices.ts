// What a student has chosen on a lesson's page, in its address, where it can be
// sent on, and on the device, where it is found again with the place in the music.

import { keep, kept, moved } from "./kept";

export interface Chosen {
  instrument?: string;
  /** In per cent. */
  speed?: number;
  /** Bars of the performance, counted from 0. */
  loop?: [number, number] | null;
  /** My turn, your turn: phrases of so many bars. */
  turns?: number;
  /** Glides take so many times as long as usual. */
  glides?: number;
  /** The bar of the performance where the music stood, counted from 0; no address has it. */
  bar?: number;
}

export class Choices {
  /** What the address asks for. */
  readonly asked: Chosen;
  /** What the device remembers of the last time. */
  readonly was: Chosen;
  private now: Chosen;
  /** What the device keeps of this lesson it keeps under this name. */
  readonly name: string;

  /** The lesson's id and its folder tell it from others; before, the title did. */
  constructor(id: string, title: string) {
    this.name = `lesson ${id} ${folder()}`;
    moved(`lesson ${title}`, this.name);
    this.asked = parse(window.location.hash.slice(1));
    this.was = parse(kept(this.name));
    this.now = this.asked;
  }

  keep(change: (was: Chosen) => Chosen): void {
    this.now = change(this.now);
    this.store();
    try {
      const { bar: _, ...shared } = this.now;
      window.history.replaceState(null, "", `#${format(shared)}`);
    } catch {
      // A page in a frame of its own has no address to change.
    }
  }

  /** Remembers at which bar the music stands. */
  at(bar: number): void {
    if (bar === (this.now.bar ?? 0)) return;
    this.now = { ...this.now, bar };
    this.store();
  }

  private store(): void {
    keep(this.name, format(this.now));
  }
}

/** Where the page lies: lessons of one host share what the browser keeps. */
function folder(): string {
  const { pathname } = window.location;
  return pathname.slice(0, pathname.lastIndexOf("/") + 1);
}

/** "instrument=lap6-c6&speed=60&loop=3-6&turns=2&glides=1.5&bar=5", bars counted from 1 for people who read addresses. */
export function format(c: Chosen): string {
  const q = new URLSearchParams();
  if (c.instrument) q.set("instrument", c.instrument);
  if (c.speed && c.speed !== 100) q.set("speed", String(c.speed));
  if (c.loop) q.set("loop", `${c.loop[0] + 1}-${c.loop[1] + 1}`);
  if (c.turns) q.set("turns", String(c.turns));
  if (c.glides && c.glides > 1) q.set("glides", String(c.glides));
  if (c.bar) q.set("bar", String(c.bar + 1));
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
  const turns = Number(q.get("turns"));
  if (Number.isInteger(turns) && turns > 0) out.turns = turns;
  const glides = Number(q.get("glides"));
  if (glides > 1) out.glides = glides;
  const bar = Number(q.get("bar"));
  if (Number.isInteger(bar) && bar > 1) out.bar = bar - 1;
  return out;
}
