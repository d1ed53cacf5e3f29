// Slows recorded sound down without lowering it: waveform-similarity overlap-add
// (Verhelst and Roelands, "An overlap-add technique based on waveform similarity
// (WSOLA) for high quality time-scale modification of speech", ICASSP 1993).

/** A channel of samples, of which parts are read. */
export interface Channel {
  readonly length: number;
  /** Copies samples from a place on; behind the end there is silence. */
  read(at: number, into: Float32Array): void;
}

/** Sound that is made as it is asked for. */
export interface Stretched {
  /** The next samples of every channel; fewer at the end of the music, none behind it. */
  next(samples: number): Float32Array<ArrayBuffer>[];
}

/**
 * Plays channels from a sample on, stretched to 1/rate of their length, round and
 * round a loop when there is one. 0.25 ≤ rate ≤ 1.5; from lies before the loop's
 * end. However it is asked for, what comes is the same. Where each piece is taken
 * from is found on the sum of the channels, so that they stay together. A round
 * begins and ends at the sample that the rate gives, with short fades. It needs
 * nothing from outside itself: its text is part of a worker's script (slower.ts).
 */
export function stretched(channels: Channel[], sampleRate: number, rate: number, from: number, loop: [number, number] | null): Stretched {
  const windowSeconds = 0.06;
  const searchSeconds = 0.012;
  // What begins or ends in the middle of a sound is faded so long: no click, and
  // a pick is as sharp as before.
  const inSeconds = 0.002;
  const outSeconds = 0.005;
  if (!(rate >= 0.25 && rate <= 1.5)) throw new RangeError(`a rate of ${rate} is outside 0.25 to 1.5`);
  const length = channels[0]?.length ?? 0;
  const hop = Math.round((windowSeconds * sampleRate) / 2);
  const search = Math.round(searchSeconds * sampleRate);
  const fadeIn = Math.round(inSeconds * sampleRate);
  const fadeOut = Math.round(outSeconds * sampleRate);
  const rising = Float32Array.from({ length: hop }, (_, i) => 0.5 - 0.5 * Math.cos((Math.PI * i) / hop));

  const goal = new Float32Array(hop);
  const field = new Float32Array(2 * search + hop);
  const one = new Float32Array(field.length);
  const near = new Float32Array(2 * hop);
  const sum = (into: Float32Array, at: number): void => {
    into.fill(0);
    const part = one.subarray(0, into.length);
    for (const x of channels) {
      x.read(at, part);
      for (let i = 0; i < into.length; i++) into[i] = into[i]! + part[i]!;
    }
  };
  // The start near ideal whose next stretch is most like the one at expected.
  const bestNear = (expected: number, ideal: number): number => {
    const lowest = Math.max(0, ideal - search);
    const highest = Math.min(length - hop, ideal + search);
    if (highest < lowest || expected + hop > length) return ideal;
    sum(goal, expected);
    sum(field, lowest);
    let best = 0;
    // Every fourth place and every eighth sample first, then the neighbours.
    const look = (first: number, last: number, step: number, stride: number): void => {
      let bestScore = -Infinity;
      for (let k = first; k <= last; k += step) {
        let dot = 0;
        let energy = 1e-9;
        for (let i = 0; i < hop; i += stride) {
          const b = field[k + i]!;
          dot += goal[i]! * b;
          energy += b * b;
        }
        const score = dot / Math.sqrt(energy);
        if (score > bestScore) {
          bestScore = score;
          best = k;
        }
      }
    };
    const most = highest - lowest;
    look(0, most, 4, 8);
    look(Math.max(0, best - 4), Math.min(most, best + 4), 1, 4);
    return lowest + best;
  };

  let origin = from; // where this round begins in the music
  let sounded = 0; // samples of the rounds before
  let done = 0; // samples of this round that were given
  let piece = 0; // samples of this round that pieces have been made for
  let expected = 0; // where the last piece would go on by itself
  const held = channels.map(() => new Float32Array(hop));
  const tail = channels.map(() => new Float32Array(hop)); // fades out under the next piece
  let rounds = 0;
  // Each round's end is counted from the beginning, so that roundings do not add up.
  const roundEnd = (): number => Math.floor(loop ? (loop[1] - from + rounds * (loop[1] - loop[0])) / rate : Math.max(0, length - from) / rate) - sounded;
  let last = roundEnd();

  const make = (): void => {
    const ideal = Math.round(origin + piece * rate);
    const at = piece === 0 ? ideal : bestNear(expected, ideal);
    channels.forEach((x, c) => {
      const [h, t] = [held[c]!, tail[c]!];
      x.read(at, near);
      for (let i = 0; i < hop; i++) h[i] = piece === 0 ? near[i]! : t[i]! + near[i]! * rising[i]!;
      for (let i = 0; i < hop; i++) t[i] = near[hop + i]! * (1 - rising[i]!);
    });
    expected = at + hop;
    piece += hop;
  };

  const next = (samples: number): Float32Array<ArrayBuffer>[] => {
    const out = channels.map(() => new Float32Array(samples));
    let filled = 0;
    while (filled < samples) {
      if (done >= last) {
        if (!loop) break;
        sounded += last;
        rounds++;
        origin = loop[0];
        done = piece = 0;
        last = roundEnd();
        continue;
      }
      if (done >= piece) make();
      const start = done - (piece - hop);
      const n = Math.min(hop - start, samples - filled, last - done);
      held.forEach((h, c) => out[c]!.set(h.subarray(start, start + n), filled));
      for (let i = 0; i < n; i++) {
        const edge = Math.min(1, (done + i + 1) / fadeIn, loop ? (last - done - i) / fadeOut : 1);
        if (edge < 1) for (const o of out) o[filled + i] = o[filled + i]! * edge;
        else if (done + i >= fadeIn && done + n < last - fadeOut) break;
      }
      filled += n;
      done += n;
    }
    return filled < samples ? out.map((o) => o.slice(0, filled)) : out;
  };
  return { next };
}
