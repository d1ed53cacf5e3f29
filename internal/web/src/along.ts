// What the page sounded while somebody recorded a take, to be played along with: stretches of the music in
// seconds of the take.

import type { Along, AlongRound } from "./forms";
import type { Going } from "./way";

/** A stretch of music as the player sounds it: on its way at one rate, until a time of the audio clock. */
export interface Stretch extends Going {
  until: number;
}

/** The rate that pieces join at without being resampled each for itself. */
export const contextRate = 48000;

/** A context that sounds what is played along with. */
export function soundContext(): AudioContext {
  return new AudioContext({ latencyHint: "interactive", sampleRate: contextRate });
}

/** The most rounds that are told of. */
const mostRounds = 2000;

/** What was sounded from one time of the audio clock to another, a loop unrolled. */
export function rounds(sounded: readonly Stretch[], first: number, last: number): AlongRound[] {
  const out: AlongRound[] = [];
  for (const s of sounded) {
    const { loop, total } = s.way;
    let at = s.began;
    let from = s.from;
    const until = Math.min(s.until, last);
    while (at < until && out.length < mostRounds) {
      const wall = loop && from < loop[1] ? loop[1] : total;
      const end = Math.min(until, at + (wall - from) / s.rate);
      if (end <= at) break;
      if (end > first) out.push(...inMusic(s, at - first, from, from + (end - at) * s.rate));
      if (!loop) break;
      at = end;
      from = loop[0];
    }
  }
  return out.slice(0, mostRounds);
}

/** A stretch of a way as it goes through the music: in turns bars come again. */
function inMusic({ way, rate }: Stretch, at: number, from: number, to: number): AlongRound[] {
  const legs = way.phrases.length ? way.legs : [{ at: from, end: to, from }];
  const out: AlongRound[] = [];
  for (const l of legs) {
    const a = Math.max(from, l.at);
    const b = Math.min(to, l.end);
    if (b > a) out.push({ at: fine(at + (a - from) / rate), from: fine(l.from + a - l.at), to: fine(l.from + b - l.at), speed: rate });
  }
  return out;
}

/** What is kept of it with a take; delay is that of the device in seconds, null where it is not measured. */
export function along(rounds: AlongRound[], delay: number | null): Along {
  return delay === null ? { rounds } : { rounds, delay };
}

/** Seconds to the hundred-thousandth, as many as say anything. */
function fine(seconds: number): number {
  return Math.round(seconds * 1e5) / 1e5;
}
