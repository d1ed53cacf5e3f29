// What holds at a time, in lists that are in order of their times.

import type { ClickTime, SteelTime } from "./forms";

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

/** Beats a minute at a time, at the tune's own speed; 0 when there are no two beats. */
export function beatsPerMinute(clicks: readonly ClickTime[], at: number): number {
  const i = Math.max(0, Math.min(clicks.length - 2, clicks.findLastIndex((c) => c.at <= at + sameSeconds)));
  const [a, b] = [clicks[i], clicks[i + 1]];
  return a && b && b.at > a.at ? 60 / (b.at - a.at) : 0;
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

/**
 * Where a lifted steel is held over the strings: on its way from where it was
 * taken off to where it lies next. Null when it never lies, or lies now.
 */
export function above(keys: readonly SteelTime[], at: number): SteelTime | null {
  const now = lastBefore(keys, at) ?? keys[0];
  if (!now || now.first > 0) return null;
  const i = keys.indexOf(now);
  const before = keys.slice(0, i).findLast((k) => k.first > 0);
  const after = keys.slice(i + 1).find((k) => k.first > 0);
  if (!before || !after) return before ?? after ?? null;
  // It leaves with the first key of the lift, which need not be this one.
  const lifted = keys[keys.indexOf(before) + 1]!;
  const w = smooth(Math.max(0, Math.min(1, (at - lifted.at) / Math.max(sameSeconds, after.at - lifted.at))));
  const mix = (p: number, q: number): number => p + (q - p) * w;
  return { ...(w < 0.5 ? before : after), firstFret: mix(before.firstFret, after.firstFret), lastFret: mix(before.lastFret, after.lastFret) };
}

/** Where the steel lies next, at another place than now; null when it stays. */
export function ahead(keys: readonly SteelTime[], at: number): SteelTime | null {
  const now = lastBefore(keys, at) ?? keys[0];
  if (!now) return null;
  const i = keys.indexOf(now);
  const lain = now.first > 0 ? now : keys.slice(0, i).findLast((k) => k.first > 0);
  const other = (k: SteelTime): boolean => k.first > 0 && (!lain || Math.abs(k.firstFret - lain.firstFret) > 0.25 || Math.abs(k.lastFret - lain.lastFret) > 0.25);
  return keys.slice(i + 1).find(other) ?? null;
}

function smooth(w: number): number {
  return w * w * (3 - 2 * w);
}
