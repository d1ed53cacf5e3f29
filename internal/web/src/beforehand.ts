// Music that is made while it plays. A device that can't keep ahead makes some of it before
// it begins, goes on making while that plays, and keeps the chosen bars where they come
// round; it holds no more of it than the page may, and where that runs out it makes
// some beforehand again and says so.

import { held } from "./held";
import type { Piece } from "./pieces";

/** The first piece is short, so that it is soon there. */
const firstSeconds = 0.5;
const pieceSeconds = 1;
/** How many seconds of music a device must make in one to keep ahead. */
const keepsAhead = 1.3;
/** What rings on behind the end, in seconds. */
const ringSeconds = 4;
/** So much is made beforehand however little room there is, and so many bytes are left for what sounds. */
const leastSeconds = 20;
const spare = 10e6;

/** One that makes music. */
export interface Maker {
  readonly rate: number;
  readonly channels: number;
  /** The next so many samples, or fewer at the end; null behind it. One at a time. */
  make(samples: number): Promise<Piece | null>;
  /** Seconds of music made in one, as it was lately. */
  pace(): number;
  /** Is told how much of what is made beforehand is there, 0 to 1; null when it plays. */
  preparing(done: number | null): void;
}

export class Beforehand {
  /** What was made beforehand begins at its own place, however late it comes. */
  patient = false;
  private first = true;
  private over = false;
  private stands = false; // it has run out
  private ended = false; // nothing comes behind what is made
  private wrong: unknown = null;
  private readonly made: Piece[] = [];
  private kept: Piece[] | null = null; // one round, to be played over and over
  private turn = 0;
  private making: Promise<void> | null = null;
  private most = 0;
  private readonly holding = held.hold(0);

  /** left are the seconds to the end or to the loop's, round those of the loop. */
  constructor(
    private readonly maker: Maker,
    private left: number,
    private readonly round: number | null,
  ) {}

  async next(): Promise<Piece | null> {
    if (this.first) {
      this.first = false;
      const piece = await this.make(firstSeconds);
      if (!piece || this.over || this.keepsUp) return piece;
      this.patient = true;
      await this.prepare();
      return piece;
    }
    if (!this.patient) return this.make(pieceSeconds);
    if (this.made.length === 0 && this.kept) return copied(this.kept[this.turn++ % this.kept.length]!);
    if (this.made.length === 0) {
      this.stands = true;
      await this.making;
      if (!this.ended && !this.over) await this.prepare();
      this.stands = false;
    }
    if (this.made.length === 0 && this.wrong) throw this.wrong;
    const piece = this.made.shift() ?? null;
    this.count();
    this.goOn();
    return piece;
  }

  /** Nobody asks for more. */
  end(): void {
    this.over = true;
    this.made.length = 0;
    this.kept = null;
    this.holding.end();
    if (this.patient) this.maker.preparing(null);
  }

  private get bytesOfSecond(): number {
    return 4 * this.maker.channels * this.maker.rate;
  }

  private async make(seconds: number): Promise<Piece | null> {
    const piece = await this.maker.make(Math.round(seconds * this.maker.rate));
    if (piece) this.left -= this.secondsOf([piece]);
    else this.ended = true;
    return piece;
  }

  /** Whether the device keeps ahead after all: a browser runs faster what it has run for a while. */
  private get keepsUp(): boolean {
    return this.maker.pace() >= keepsAhead;
  }

  /** Makes what is needed before it plays. */
  private async prepare(): Promise<void> {
    this.most = Math.max(leastSeconds, (held.room - spare) / this.bytesOfSecond);
    const { round } = this;
    if (round !== null) {
      while (this.left < -1e-6) this.left += round;
      const rest = this.left;
      if (rest + round <= this.most) {
        // The rest of this round, then one that comes out of its own end.
        const whole = (): number => rest + round;
        await this.fill(this.made, () => rest, 0, whole);
        const kept: Piece[] = [];
        if (!this.keepsUp) await this.fill(kept, () => round, rest, whole);
        if (!this.over && this.secondsOf(kept) >= round - 1e-6) this.kept = kept;
        else this.made.push(...kept);
      } else await this.fill(this.made, () => this.most, 0, () => this.most);
    } else {
      const all = this.left + ringSeconds;
      const needed = (): number => Math.max(pieceSeconds, Math.min(this.most, all * (1 - Math.min(0.95, 0.9 * this.maker.pace()))));
      await this.fill(this.made, needed, 0, needed);
    }
    this.count();
    if (!this.over) this.maker.preparing(null);
  }

  /** Makes so many seconds, or fewer where the device keeps ahead, from so many that are there on. */
  private async fill(into: Piece[], seconds: () => number, there: number, whole: () => number): Promise<void> {
    const { rate } = this.maker;
    let made = 0;
    for (;;) {
      const left = Math.round(seconds() * rate) - made;
      if (left <= 0 || this.over) return;
      const piece = await this.make(Math.min(left / rate, pieceSeconds));
      if (!piece) return;
      into.push(piece);
      this.count(into === this.made ? [] : into);
      made += piece.channels[0]!.length;
      if (!this.over) this.maker.preparing(Math.min(1, (there + made / rate) / whole()));
      if (this.keepsUp) return;
    }
  }

  /** Goes on making while what is there plays. */
  private goOn(): void {
    if (this.stands || this.making || this.kept || this.over || this.ended || this.secondsOf(this.made) >= this.most) return;
    this.making = this.make(pieceSeconds).then((piece) => {
      this.making = null;
      if (!piece || this.over) return;
      this.made.push(piece);
      this.count();
      this.goOn();
    }, (e: unknown) => {
      this.making = null;
      this.ended = true;
      this.wrong = e;
    });
  }

  private secondsOf(pieces: readonly Piece[]): number {
    return pieces.reduce((sum, p) => sum + p.channels[0]!.length, 0) / this.maker.rate;
  }

  private count(more: readonly Piece[] = []): void {
    if (!this.over) this.holding.set(this.bytesOfSecond * (this.secondsOf(this.made) + this.secondsOf(this.kept ?? []) + this.secondsOf(more)));
  }
}

/** A kept piece, given away and still kept. */
function copied(p: Piece): Piece {
  return { channels: p.channels.map((c) => c.slice()), sampleRate: p.sampleRate, ...(p.backing ? { backing: p.backing.map((c) => c.slice()) } : {}) };
}
