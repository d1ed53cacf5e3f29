// Slows recorded sound down without lowering it: waveform-similarity overlap-add
// (Verhelst and Roelands, "An overlap-add technique based on waveform similarity
// (WSOLA) for high quality time-scale modification of speech", ICASSP 1993).

/**
 * Gives the channels stretched to 1/rate of their length. 0.25 ≤ rate ≤ 1.5; at
 * 1 the input itself is returned. Where each piece is taken from is found once,
 * on the sum of the channels, so that they stay together. It needs nothing from
 * outside itself: its text is a worker's script (slower.ts).
 */
export function stretch(channels: Float32Array[], sampleRate: number, rate: number): Float32Array[] {
  const windowSeconds = 0.06;
  const searchSeconds = 0.012;
  // The start near ideal whose next stretch is most like the one at expected.
  const bestNear = (x: Float32Array, expected: number, ideal: number, search: number, span: number): number => {
    const lowest = Math.max(0, ideal - search);
    const highest = Math.min(x.length - span, ideal + search);
    let best = Math.max(0, Math.min(ideal, x.length - span));
    let bestScore = -Infinity;
    // Every fourth place and every eighth sample first, then the neighbours.
    const look = (from: number, to: number, step: number, stride: number): void => {
      bestScore = -Infinity;
      for (let k = from; k <= to; k += step) {
        let dot = 0;
        let energy = 1e-9;
        for (let i = 0; i < span; i += stride) {
          const b = x[k + i]!;
          dot += x[expected + i]! * b;
          energy += b * b;
        }
        const score = dot / Math.sqrt(energy);
        if (score > bestScore) {
          bestScore = score;
          best = k;
        }
      }
    };
    if (highest < lowest) return best;
    look(lowest, highest, 4, 8);
    look(Math.max(lowest, best - 4), Math.min(highest, best + 4), 1, 4);
    return best;
  };

  const first = channels[0];
  if (!first || rate === 1) return channels;
  if (!(rate >= 0.25 && rate <= 1.5)) throw new RangeError(`a rate of ${rate} is outside 0.25 to 1.5`);
  const length = first.length;
  const size = 2 * Math.round((windowSeconds * sampleRate) / 2);
  const hop = size / 2;
  const search = Math.round(searchSeconds * sampleRate);
  const outLength = Math.floor(length / rate);
  const mono = new Float32Array(length);
  for (const c of channels) for (let i = 0; i < length; i++) mono[i] = mono[i]! + c[i]!;

  const fade = new Float32Array(size);
  for (let i = 0; i < size; i++) fade[i] = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / size);

  const out = channels.map(() => new Float32Array(outLength + size));
  let expected = 0; // where the last piece would go on by itself
  for (let to = 0; to < outLength; to += hop) {
    const ideal = Math.round(to * rate);
    let from = Math.min(ideal, Math.max(0, length - size));
    if (to > 0 && expected + hop < length) {
      from = bestNear(mono, expected, ideal, search, hop);
    }
    for (let c = 0; c < channels.length; c++) {
      const src = channels[c]!;
      const dst = out[c]!;
      const n = Math.min(size, length - from);
      for (let i = 0; i < n; i++) dst[to + i] = dst[to + i]! + src[from + i]! * (to === 0 && i < hop ? 1 : fade[i]!);
    }
    expected = from + hop;
  }
  return out.map((c) => c.subarray(0, outLength));
}

