// A recording that the page has decoded, kept at 16 bits: it came packed with loss, far
// above what they round. It is played in pieces, so that no more of it is there at
// full width than sounds.

import { held, type Holding } from "./held";
import type { Piece, Pieces } from "./pieces";
import { channelOf } from "./wave";

/** How long a piece is. */
const pieceSeconds = 1;
const bytesOfSample = 2;

/** There is no room for so long a recording. */
export class TooLong extends Error {}

/** A piece of a recording and what follows it. */
export interface Plain extends Pieces {
  readonly first: Piece | null;
}

export class Recorded {
  private constructor(
    private readonly samples: Int16Array[],
    readonly length: number,
    readonly sampleRate: number,
    private readonly holding: Holding,
  ) {}

  /** Refuses what would have no room, by its length in seconds. */
  static refuse(seconds: number, channels: number, rate: number): void {
    if (!held.fits(seconds * channels * rate * bytesOfSample)) throw new TooLong(`A recording of ${Math.ceil(seconds / 60)} minutes is too long for the page to play.`);
  }

  /** Keeps what a browser has decoded; letGo is asked when the page holds too much. */
  static async of(sound: AudioBuffer, letGo: (() => boolean) | null = null): Promise<Recorded> {
    const { length, sampleRate, numberOfChannels } = sound;
    const samples: Int16Array[] = [];
    for (let c = 0; c < numberOfChannels; c++) samples.push(await channelOf(sound, c));
    return new Recorded(samples, length, sampleRate, held.hold(numberOfChannels * length * bytesOfSample, letGo));
  }

  /** One channel that is at 16 bits already. */
  static one(samples: Int16Array, sampleRate: number): Recorded {
    return new Recorded([samples], samples.length, sampleRate, held.hold(bytesOfSample * samples.length));
  }

  get channels(): number {
    return this.samples.length;
  }

  /** Copies samples of a channel from a place on; behind the end there is silence. */
  read(channel: number, at: number, into: Float32Array): void {
    const from = this.samples[channel]!;
    for (let i = 0; i < into.length; i++) into[i] = (from[at + i] ?? 0) / 32768;
  }

  /** It as it is from a place on, round a loop; places in seconds. */
  plain(from: number, loop: [number, number] | null): Plain {
    const { sampleRate, length } = this;
    let start = Math.round(from * sampleRate); // of this round
    let given = 0;
    let before = 0; // samples of the rounds before
    let rounds = 0;
    // Each round's end is counted from the beginning, so that roundings do not add up.
    const roundEnd = (): number => (loop ? Math.round((loop[1] - from + rounds * (loop[1] - loop[0])) * sampleRate) : length - start);
    const cut = (): Piece | null => {
      const samples = Math.round(pieceSeconds * sampleRate);
      const channels = this.samples.map(() => new Float32Array(samples));
      let filled = 0;
      while (filled < samples) {
        if (given >= roundEnd()) {
          if (!loop) break;
          before = given;
          rounds++;
          start = Math.round(loop[0] * sampleRate);
        }
        const n = Math.max(1, Math.min(samples - filled, roundEnd() - given));
        channels.forEach((out, c) => this.read(c, start + given - before, out.subarray(filled, filled + n)));
        filled += n;
        given += n;
      }
      return filled > 0 ? { channels: channels.map((c) => (filled < samples ? c.slice(0, filled) : c)), sampleRate } : null;
    };
    return { first: cut(), next: () => Promise.resolve(cut()), end: () => {} };
  }

  /** It is needed no more. */
  end(): void {
    this.holding.end();
  }
}
