// How music is gone through when it is practised: bar after bar, or in turns, each
// phrase played and then left to the student; and when it clicks on that way. A way
// has seconds of its own, at the tune's own speed; in turns its second half of each
// phrase lies over the same bars of the music again.

import type { BarTime, ClickTime, Timing } from "./forms";
import type { Piece, Pieces } from "./pieces";
import { lastBefore } from "./when";

/** On which beats it clicks, and softly what beats are counted in. */
export type ClickOn = "beats" | "two-and-four" | "subdivided";

/** A bar of the way. */
interface Leg {
  at: number;
  end: number;
  /** Where it begins in the music. */
  from: number;
  yours: boolean;
  /** At seconds of the way. */
  clicks: ClickTime[];
}

export interface Way {
  legs: Leg[];
  total: number;
  /** What comes round. */
  loop: [number, number] | null;
  /** Rows of bars, the last not included, that are played and then left; none without turns. */
  phrases: [number, number][];
}

/** A click may lie before its bar by the rounding to a sample. */
const nearSeconds = 1e-4;

/** The way through a tab's music in turns of so many bars, 0 for none; with turns, a loop is all of it. */
export function wayOf(timing: Timing, turn: number, loop: [number, number] | null): Way {
  const { bars, total } = timing;
  const last = bars.at(-1);
  if (turn === 0 || !last) return { legs: bars.map((b) => leg(timing, b, b.at, false)), total, loop, phrases: [] };
  const from = loop ? Math.max(0, bars.findLastIndex((b) => b.at <= loop[0] + nearSeconds)) : 0;
  const to = loop ? bars.findIndex((b) => b.end >= loop[1] - nearSeconds) : -1;
  const phrases = phrasesOf(bars, turn, from, to < 0 ? bars.length : to + 1);
  const legs: Leg[] = [];
  let at = 0;
  for (const [a, b] of phrases) {
    for (const yours of [false, true]) {
      for (const bar of bars.slice(a, b)) {
        legs.push(leg(timing, bar, at, yours));
        at += bar.end - bar.at;
      }
    }
  }
  return { legs, total: loop ? at : at + total - last.end, loop: loop ? [0, at] : null, phrases };
}

function leg(timing: Timing, bar: BarTime, at: number, yours: boolean): Leg {
  const clicks = timing.clicks.filter((c) => c.at >= bar.at - nearSeconds && c.at < bar.end - nearSeconds);
  return { at, end: at + bar.end - bar.at, from: bar.at, yours, clicks: clicks.map((c) => ({ ...c, at: at + Math.max(0, c.at - bar.at) })) };
}

/** Phrases of so many bars; a pickup belongs to the first. */
function phrasesOf(bars: BarTime[], turn: number, from: number, to: number): [number, number][] {
  const out: [number, number][] = [];
  for (let at = from; at < to; ) {
    const pickup = at === from && bars[at]!.bar === 0 && bars[at]!.lacks ? 1 : 0;
    const end = Math.min(to, at + turn + pickup);
    out.push([at, end]);
    at = end;
  }
  return out;
}

/** Where a place of the music is on a way; in turns in the instrument's or the student's. */
export function there(way: Way, at: number, yours: boolean): number {
  if (!way.phrases.length) return at;
  const its = way.legs.filter((l) => l.yours === yours);
  const leg = its.find((l) => at < l.from + l.end - l.at - nearSeconds && at >= l.from - nearSeconds);
  if (leg) return leg.at + Math.max(0, at - leg.from);
  return at < its[0]!.from || way.loop ? way.legs[0]!.at : way.legs.at(-1)!.end;
}

/** The place of the music that a place of a way is at. */
export function here(way: Way, at: number): number {
  const leg = way.phrases.length ? lastBefore(way.legs, at) : undefined;
  return leg ? leg.from + at - leg.at : at;
}

/** Whether it is the student's turn. */
export function isYours(way: Way, at: number): boolean {
  return lastBefore(way.legs, at)?.yours ?? false;
}

/** Music that goes along a way: from a place of it, at a time of a clock. */
export interface Going {
  way: Way;
  rate: number;
  began: number;
  from: number;
  /** How often its loop has come round before. */
  round: number;
}

/** How often a loop has come round by a time. */
export function roundAt({ way, rate, began, from, round }: Going, when: number): number {
  const { loop } = way;
  return loop ? round + Math.max(0, Math.floor((from + (when - began) * rate - loop[0]) / (loop[1] - loop[0]) + 1e-9)) : round;
}

/** The clicks of music that goes, from one time to another, in order; out, above 0, leaves them out for so many bars after so many. */
export function clicksOf(going: Going, since: number, until: number, on: ClickOn, out: number): { when: number; click: ClickTime }[] {
  const { way, rate, began, from, round } = going;
  const { loop } = way;
  const legs = loop ? way.legs.filter((l) => l.at >= loop[0] - nearSeconds && l.at < loop[1] - nearSeconds) : way.legs;
  const first = loop ? Math.max(0, Math.floor((from + (since - began) * rate - loop[0]) / (loop[1] - loop[0])) - 1) : 0;
  const found: { when: number; click: ClickTime }[] = [];
  for (let r = first; ; r++) {
    const later = loop ? r * (loop[1] - loop[0]) : 0;
    if (!loop && r > 0) break;
    if (began + ((loop ? loop[0] : 0) + later - from) / rate >= until) break;
    legs.forEach((leg, i) => {
      const k = loop ? (round + r) * legs.length + i : i;
      if (out > 0 && Math.floor(k / out) % 2 === 1) return;
      for (const click of leg.clicks) {
        const when = began + (click.at + later - from) / rate;
        // What lies at the start, but for the rounding, belongs to it.
        if (!heard(click, on) || click.at + later < from - nearSeconds) continue;
        if (Math.max(when, began) >= since && when < until) found.push({ when: Math.max(when, began), click });
      }
    });
  }
  return found;
}

/** Whether a click sounds when it clicks so. */
function heard(c: ClickTime, on: ClickOn): boolean {
  return on === "subdivided" || (on === "two-and-four" ? c.between === true : !c.part);
}

/** A bar of beats before a place of the music, and what of its own bar goes before it: seconds, and the beats before 0. */
export function countIn(timing: Timing, at: number): { seconds: number; beats: ClickTime[] } {
  const { bars } = timing;
  const i = Math.max(0, bars.findLastIndex((b) => b.at <= at + nearSeconds));
  const bar = bars[i];
  if (!bar) return { seconds: 0, beats: [] };
  const full = bar.lacks ? (bars.find((b, k) => k > i && !b.lacks) ?? bar) : bar;
  const length = full.end - full.at;
  const past = at - bar.at;
  const lead = (bar.lacks ?? 0) + (past > nearSeconds ? past : 0);
  const beats = leg(timing, full, 0, false).clicks.filter((c) => heard(c, "beats"));
  const before = (seconds: number, upTo: number): ClickTime[] => beats.filter((c) => c.at < upTo - nearSeconds).map((c) => ({ ...c, at: c.at - seconds }));
  return { seconds: length + lead, beats: [...before(length + lead, length), ...before(lead, lead)] };
}

/** The instrument is let die so long where the student's turn comes, as under a palm; what goes on is cut short. */
const palmSeconds = 0.085;
const cutSeconds = 0.005;

/**
 * A recording along a way in turns: make gives it from a place of the music on, at a
 * rate. In the student's turn what rests is silent.
 */
export function recordedIn(way: Way, rate: number, from: number, sampleRate: number, rests: boolean, make: (from: number) => Pieces): Pieces {
  // Each phrase and each turn is one stretch of the recording.
  const stretches: { at: number; from: number; yours: boolean; end: number }[] = [];
  let i = 0;
  for (const [a, b] of way.phrases) {
    for (const yours of [false, true]) {
      const { at, from } = way.legs[i]!;
      i += b - a;
      stretches.push({ at, from, yours, end: way.legs[i]?.at ?? way.total });
    }
  }
  let k = Math.max(0, stretches.findLastIndex((s) => s.at <= from + nearSeconds));
  let place = from;
  let inner: Pieces | null = null;
  let given = 0; // samples
  let due = 0; // where the stretch in hand ends, in samples
  let seconds = 0; // and in seconds at the rate
  const fade = Math.round((rests ? palmSeconds : cutSeconds) * sampleRate);
  const enter = (): void => {
    const s = stretches[k]!;
    seconds += (s.end - place) / rate;
    due = Math.round(seconds * sampleRate);
    inner = rests && s.yours ? null : make(s.from + place - s.at);
  };
  enter();
  const next = async (): Promise<Piece | null> => {
    if (given >= due) {
      inner?.end();
      inner = null;
      if (++k >= stretches.length) {
        if (!way.loop) return null;
        k = 0;
      }
      place = stretches[k]!.at;
      enter();
    }
    const ends = k < stretches.length - 1 || way.loop;
    const made = (await (inner as Pieces | null)?.next()) ?? null;
    if (!made && !ends) return null;
    const channels = made ? made.channels.map((c) => c.slice(0, due - given)) : [new Float32Array(Math.min(sampleRate, due - given))];
    const length = channels[0]!.length;
    for (const c of ends ? channels : []) for (let i = Math.max(0, due - fade - given); i < length; i++) c[i] = (c[i]! * (due - given - i)) / fade;
    given += length;
    return { channels, sampleRate: made?.sampleRate ?? sampleRate };
  };
  return { next, end: () => inner?.end() };
}
