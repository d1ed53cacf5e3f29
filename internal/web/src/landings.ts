// Which places a player is to land on, drawn by a seed and weighted to those missed, and what is kept of
// how it went.

import { stand } from "./needles";

/** A place to land on, its pitch in hertz. */
export interface Target {
  string: number;
  fret: number;
  hz: number;
}

/** How a player landed; null cents is a target that was left out. */
export interface Landed extends Target {
  cents: number | null;
  mm: number | null;
}

/** What a device keeps of an instrument's landings. */
export interface LandingsKept {
  /** How much each place has been missed lately, 0 to 1, by string and fret: "3/7". */
  missed: Record<string, number>;
  rounds: { day: string; inTune: number; middle: number | null }[];
}

export const roundLength = 10;
/** How much likelier a place is that is missed each time than one that never is. */
const missedWeight = 4;
/** What a new landing counts against those before. */
const newest = 0.5;
/** Targets in a row are at least so far apart, in cents: what rings on is not taken for a landing. */
const apartCents = 200;
/** The most rounds that are kept. */
const mostRounds = 30;

export const placeName = (t: { string: number; fret: number }): string => `${t.string}/${t.fret}`;

/** Numbers from 0 to 1 by a seed: xorshift of 32 bits (G. Marsaglia, Xorshift RNGs, Journal of Statistical Software 8(14), 2003). */
export function numbers(seed: number): () => number {
  let x = (Math.imul(seed, 2654435761) ^ 0x9e3779b9) >>> 0 || 1;
  return () => {
    x ^= x << 13;
    x >>>= 0;
    x ^= x >>> 17;
    x ^= x << 5;
    x >>>= 0;
    return x / 2 ** 32;
  };
}

/** Ten places, none twice, of open strings in hertz and so many frets. */
export function targets(seed: number, open: readonly number[], frets: number, missed: Record<string, number>): Target[] {
  const next = numbers(seed);
  let left = open.flatMap((hz, i) => Array.from({ length: frets }, (_, f) => ({ string: i + 1, fret: f + 1, hz: hz * 2 ** ((f + 1) / 12) })));
  const out: Target[] = [];
  while (out.length < roundLength && left.length > 0) {
    const before = out.at(-1);
    const far = left.filter((t) => !before || Math.abs(1200 * Math.log2(t.hz / before.hz)) >= apartCents);
    const from = far.length > 0 ? far : left;
    const weight = (t: Target): number => 1 + (missedWeight - 1) * (missed[placeName(t)] ?? 0);
    let at = next() * from.reduce((sum, t) => sum + weight(t), 0);
    const one = from.find((t) => (at -= weight(t)) < 0) ?? from.at(-1)!;
    out.push(one);
    left = left.filter((t) => t !== one);
  }
  return out;
}

/** Whether a landing is heard as in tune. */
export function landedIn(l: Landed): boolean {
  return l.cents !== null && stand(l.cents).stands === "tune";
}

/** The middle of how far off landings were, in cents; null of none. */
export function middle(all: readonly Landed[]): number | null {
  const off = all.flatMap((l) => (l.cents === null ? [] : [Math.abs(l.cents)])).sort((a, b) => a - b);
  return off[off.length >> 1] ?? null;
}

/** What is kept after a round. */
export function after(was: LandingsKept, round: readonly Landed[], day: string): LandingsKept {
  const missed = { ...was.missed };
  for (const l of round) {
    const name = placeName(l);
    missed[name] = (1 - newest) * (missed[name] ?? 0) + newest * (landedIn(l) ? 0 : 1);
  }
  return { missed, rounds: [...was.rounds, { day, inTune: round.filter(landedIn).length, middle: middle(round) }].slice(-mostRounds) };
}

/** Reads what a device has kept; what makes no sense is forgotten. */
export function readLandings(text: string): LandingsKept {
  try {
    const k = JSON.parse(text) as Partial<LandingsKept>;
    if (k.missed && Array.isArray(k.rounds)) return { missed: k.missed, rounds: k.rounds };
  } catch {
    // It is begun anew.
  }
  return { missed: {}, rounds: [] };
}
