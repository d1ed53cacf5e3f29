// What holds at a time, in lists that are in order of their times.

import type { SteelTime } from "./forms";

/** Two times nearer than this, in seconds, are one. */
const sameSeconds = 1e-6;

/** The last thing that began by a time. */
export function lastBefore<T extends { at: number }>(things: readonly T[], at: number): T | undefined {
  let low = 0;
  let high = things.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (things[middle]!.at <= at + sameSeconds) low = middle + 1;
    else high = middle;
  }
  return things[low - 1];
}

/** The steel at a time: it moves from each key to the next, gently. */
export function between(keys: readonly SteelTime[], at: number): SteelTime | null {
  const a = lastBefore(keys, at) ?? keys[0];
  if (!a) return null;
  const b = keys[keys.indexOf(a) + 1];
  if (!b || at <= a.at || a.first === 0 || b.first === 0) return a;
  const w = smooth(Math.min(1, (at - a.at) / Math.max(sameSeconds, b.at - a.at)));
  const mix = (p: number, q: number): number => p + (q - p) * w;
  return { ...(w < 0.5 ? a : b), firstFret: mix(a.firstFret, b.firstFret), lastFret: mix(a.lastFret, b.lastFret) };
}

function smooth(w: number): number {
  return w * w * (3 - 2 * w);
}
