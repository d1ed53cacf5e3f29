// Looking again and again at what the microphone heard last, until it is stopped.

import { Recorder } from "./recorder";

/** How long to wait after each answer, in milliseconds. */
const restMs = 250;
/** How much of a look must have been heard before the first. */
const leastOf = 0.5;

export class Looks {
  private recorder: Recorder | null = null;
  /** Which beginning or ending was the last: a microphone that comes after its ending is let go again. */
  private turn = 0;
  /** Told when listening has ended, by itself too. */
  onEnd: () => void = () => {};

  /** ask is given the last seconds that were heard, one look at a time; failed is told what ended it. */
  constructor(
    private readonly capture: string,
    private readonly seconds: number,
    private readonly ask: (blocks: Int16Array[], rate: number) => Promise<void>,
    private readonly failed: (e: unknown) => void,
    private readonly rest = restMs,
  ) {}

  /** Begins or ends; tells whether it listens now. */
  async toggle(): Promise<boolean> {
    if (this.recorder) {
      await this.stop();
      return false;
    }
    const turn = ++this.turn;
    let begun: Recorder;
    try {
      begun = await Recorder.begin(this.capture, () => undefined);
    } catch (e) {
      if (turn === this.turn) this.failed(e);
      return this.recorder !== null;
    }
    if (turn !== this.turn) {
      await begun.end();
      return this.recorder !== null;
    }
    this.recorder = begun;
    begun.gone = (why) => void this.broken(begun, why);
    void this.look(begun);
    return true;
  }

  /** Ends listening. */
  async stop(): Promise<void> {
    this.turn++;
    const ended = this.recorder;
    this.recorder = null;
    await ended?.end();
    if (ended) this.onEnd();
  }

  private async look(now: Recorder): Promise<void> {
    if (this.recorder !== now) return;
    try {
      const { blocks, rate } = now.recent(this.seconds);
      if (blocks.reduce((n, b) => n + b.length, 0) > leastOf * this.seconds * rate) await this.ask(blocks, rate);
    } catch (e) {
      await this.broken(now, e);
      return;
    }
    window.setTimeout(() => void this.look(now), this.rest);
  }

  private async broken(now: Recorder, e: unknown): Promise<void> {
    if (this.recorder !== now) return; // it was ended meanwhile, and may have begun again
    await this.stop();
    this.failed(e);
  }
}
