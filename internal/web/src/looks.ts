// Looking again and again at what the microphone heard last, until it is stopped.

import { Recorder } from "./recorder";

/** How long to wait after each answer, in milliseconds. */
const restMs = 250;
/** How much of a look must have been heard before the first. */
const leastOf = 0.5;

export class Looks {
  private recorder: Recorder | null = null;
  /** Told when listening has ended, by itself too. */
  onEnd: () => void = () => {};

  /** ask is given the last seconds that were heard, one look at a time; failed is told what ended it. */
  constructor(
    private readonly capture: string,
    private readonly seconds: number,
    private readonly ask: (blocks: Float32Array[], rate: number) => Promise<void>,
    private readonly failed: (e: unknown) => void,
    private readonly rest = restMs,
  ) {}

  /** Begins or ends; tells whether it listens now. */
  async toggle(): Promise<boolean> {
    if (this.recorder) {
      await this.stop();
      return false;
    }
    try {
      this.recorder = await Recorder.begin(this.capture, () => undefined);
    } catch (e) {
      this.failed(e);
      return false;
    }
    void this.look();
    return true;
  }

  /** Ends listening. */
  async stop(): Promise<void> {
    const ended = this.recorder;
    this.recorder = null;
    await ended?.end();
    if (ended) this.onEnd();
  }

  private async look(): Promise<void> {
    const now = this.recorder;
    if (!now) return;
    try {
      const { blocks, rate } = now.recent(this.seconds);
      if (blocks.reduce((n, b) => n + b.length, 0) > leastOf * this.seconds * rate) await this.ask(blocks, rate);
    } catch (e) {
      await this.stop();
      this.failed(e);
      return;
    }
    window.setTimeout(() => void this.look(), this.rest);
  }
}
