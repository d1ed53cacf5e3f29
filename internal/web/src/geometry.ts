// Where strings, frets and the steel lie in the picture of a neck, in the
// picture's own units, string 1 on top as in tablature.

import type { SteelTime } from "./forms";

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

/** How a player looks at the neck. */
export interface View {
  /** The nut is on the right, as a left-handed player has it. */
  left: boolean;
  /** String 1 is at the bottom, as one sees it across one's own lap. */
  flipped: boolean;
}

export class NeckGeometry {
  readonly top = top;
  readonly bottom: number;
  readonly height: number;

  /** gap is from string to string. */
  constructor(
    readonly strings: number,
    readonly frets: number,
    readonly width: number,
    private readonly gap = 22,
    private readonly view: View = { left: false, flipped: false },
  ) {
    this.bottom = top + gap * (strings - 1);
    this.height = this.bottom + 38;
  }

  /** Where strings end at the nut and at the bridge's side of the picture. */
  get ends(): [nut: number, far: number] {
    return this.view.left ? [this.width - left, 0] : [left, this.width];
  }

  /** Away from the bridge, along the strings: -1 or 1. */
  get away(): number {
    return this.view.left ? 1 : -1;
  }

  /** Frets stand as on the instrument: x = L·(1 − 2^(−n/12)) from the nut. */
  x(fret: number): number {
    const far = 1 - 2 ** (-(this.frets + beyondLast) / 12);
    const along = left + ((this.width - left) * (1 - 2 ** (-fret / 12))) / far;
    return this.view.left ? this.width - along : along;
  }

  y(string: number): number {
    return top + this.gap * (this.view.flipped ? this.strings - string : string - 1);
  }

  /** The string and the fret nearest to a place, or null beside the strings. */
  at(x: number, y: number): [string: number, fret: number] | null {
    const row = Math.round((y - top) / this.gap);
    if (row < 0 || row >= this.strings) return null;
    const string = this.view.flipped ? this.strings - row : row + 1;
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
    const lean = y2 !== y1 ? (x2 - x1) / (y2 - y1) : 0;
    const by = y2 < y1 ? -overhang : overhang;
    return { x1: x1 - lean * by, y1: y1 - by, x2: x2 + lean * by, y2: y2 + by };
  }
}
