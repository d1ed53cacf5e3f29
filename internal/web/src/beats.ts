// When the beats of a metronome come: each reckoned from the first, so that none drifts.

/** One beat: its number from the start, and its time in seconds. */
export interface Beat {
  number: number;
  at: number;
}

/** Beats at an even tempo, from a beat that is known on. */
export class Beats {
  constructor(
    private readonly first: Beat,
    readonly perMinute: number,
  ) {}

  /** The time of a beat. */
  at(number: number): number {
    return this.first.at + ((number - this.first.number) * 60) / this.perMinute;
  }

  /** The beats from one on that come before a time. */
  before(number: number, until: number): Beat[] {
    const out: Beat[] = [];
    for (let n = number; this.at(n) < until; n++) out.push({ number: n, at: this.at(n) });
    return out;
  }

  /** The same beats, at another tempo from one of them on. */
  turned(number: number, perMinute: number): Beats {
    return new Beats({ number, at: this.at(number) }, perMinute);
  }
}

/** Whether a beat is the first of its bar; with no beats in a bar none is. */
export function strong(number: number, inBar: number): boolean {
  return inBar > 0 && number % inBar === 0;
}
