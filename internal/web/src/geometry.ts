// Where strings, frets and the steel lie in the picture of a neck, in the
// picture's own units, string 1 on top as in tablature.

import type { SteelTime } from "./forms";

const gap = 22;
const top = 20;
const left = 44;
/** How far the strings go on beyond the last fret, in frets. */
const beyondLast = 0.6;
/** How far the steel reaches past its outer strings. */
const overhang = 10;

export interface Segment {
  x1: number;
  y1: number;
  x2: number;
  y2: number;
}

export class NeckGeometry {
  readonly left = left;
  readonly top = top;
  readonly bottom: number;
  readonly height: number;

  constructor(
    readonly strings: number,
    readonly frets: number,
    readonly width: number,
  ) {
    this.bottom = this.y(strings);
    this.height = this.bottom + 34;
  }

  /** Frets stand as on the instrument: x = L·(1 − 2^(−n/12)) from the nut. */
  x(fret: number): number {
    const far = 1 - 2 ** (-(this.frets + beyondLast) / 12);
    return left + ((this.width - left) * (1 - 2 ** (-fret / 12))) / far;
  }

  y(string: number): number {
    return top + gap * (string - 1);
  }

  /** The string and the fret nearest to a place, or null beside the strings. */
  at(x: number, y: number): [string: number, fret: number] | null {
    const string = Math.round((y - top) / gap) + 1;
    if (string < 1 || string > this.strings) return null;
    let best = 0;
    for (let f = 1; f <= this.frets; f++) if (Math.abs(this.x(f) - x) < Math.abs(this.x(best) - x)) best = f;
    return [string, best];
  }

  /** The line of the steel, a little past its outer strings; null when it is lifted. */
  steel(p: SteelTime | null): Segment | null {
    if (p === null || p.first <= 0) return null;
    const y1 = this.y(p.first);
    const y2 = this.y(p.last);
    const x1 = this.x(p.firstFret);
    const x2 = this.x(p.lastFret);
    const lean = y2 > y1 ? (x2 - x1) / (y2 - y1) : 0;
    return { x1: x1 - lean * overhang, y1: y1 - overhang, x2: x2 + lean * overhang, y2: y2 + overhang };
  }
}
