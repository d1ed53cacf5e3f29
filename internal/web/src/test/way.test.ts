import assert from "node:assert/strict";
import test from "node:test";

import type { Timing } from "../forms";
import type { Pieces } from "../pieces";
import { type ClickOn, clicksOf, countIn, here, isYours, recordedIn, roundAt, there, wayOf } from "../way";
import ways from "./ways.json";

/** What the command gives of some tunes, practised in some ways; TestWays of the Go side makes it. */
const all = ways as unknown as {
  title: string;
  timing: Timing;
  countIn: { seconds: number; beats: [number, number][] };
  practised: { turn: number; loop: [number, number] | null; on: ClickOn; out: number; speed: number; bars: [number, number, number][]; clicks: [number, number][] }[];
}[];
/** A click is at a sample of 48 kHz; two roundings lie in between. */
const same = 1e-4;

test("the page's bars and clicks are the command's: turns, beats, drop-outs and loops in several metres", () => {
  let cases = 0;
  for (const { title, timing, practised } of all) {
    for (const p of practised) {
      const what = `${title}: ${JSON.stringify({ ...p, bars: 0, clicks: 0 })}`;
      const loop: [number, number] | null = p.loop && [timing.bars[p.loop[0]]!.at, timing.bars[p.loop[1]]!.end];
      const way = wayOf(timing, p.turn, loop);
      const going = { way, rate: p.speed, began: 5, from: way.loop ? way.loop[0] : 0, round: 0 };
      const rounds = p.loop ? 3 : 1;
      const legs = p.loop && !p.turn ? way.legs.slice(p.loop[0], p.loop[1] + 1) : way.legs;
      assert.equal(p.bars.length, rounds * legs.length, what);
      legs.forEach((l, i) => {
        const [at, end, yours] = p.bars[i]!;
        assert(Math.abs((l.at - legs[0]!.at) / p.speed - at) < same && Math.abs((l.end - legs[0]!.at) / p.speed - end) < same && l.yours === (yours === 1), `${what}: bar ${i}`);
      });
      // Asked for as the player does, a little at a time.
      const end = p.bars.at(-1)![1];
      const got: { when: number; loud: number }[] = [];
      for (let t = 0; t < end - same; t += 0.31) {
        for (const { when, click } of clicksOf(going, 5 + t, 5 + Math.min(t + 0.31, end - same), p.on, p.out)) got.push({ when: when - 5, loud: click.soft ? 0 : click.first ? 2 : 1 });
      }
      assert.deepEqual(got.map((c) => c.loud), p.clicks.map((c) => c[1]), what);
      got.forEach((c, i) => assert(Math.abs(c.when - p.clicks[i]![0]) < same, `${what}: click ${i} at ${c.when}, the command's at ${p.clicks[i]![0]}`));
      cases++;
    }
  }
  assert(cases >= 40, `${cases} cases`);
});

test("a count-in is the command's, before a pickup too, and counts up to a place in a bar", () => {
  for (const { title, timing, countIn: want } of all) {
    const got = countIn(timing, 0);
    assert(Math.abs(got.seconds - want.seconds) < same, `${title}: ${got.seconds} s, want ${want.seconds}`);
    assert.deepEqual(got.beats.map((b) => (b.first ? 1 : 0)), want.beats.map((b) => b[1]), title);
    got.beats.forEach((b, i) => assert(Math.abs(b.at - want.beats[i]![0]) < same, `${title}: beat ${i} at ${b.at}, want ${want.beats[i]![0]}`));
  }
  const waltz = all.find((w) => w.title.startsWith("Waltz"))!.timing;
  const beat = 60 / 111;
  const { seconds, beats } = countIn(waltz, waltz.bars[1]!.at + 2 * beat);
  assert(Math.abs(seconds - 5 * beat) < same);
  assert.deepEqual(beats.map((b) => Math.round(b.at / beat)), [-5, -4, -3, -2, -1]);
});

test("places of the music and of turns are told apart and found again", () => {
  const { timing } = all.find((w) => w.title.startsWith("Waltz"))!;
  const way = wayOf(timing, 2, null);
  const bar = timing.bars[0]!.end;
  assert.deepEqual(way.phrases, [[0, 2], [2, 4]]);
  for (const at of [0, 0.4, bar, bar + 1]) {
    for (const yours of [false, true]) {
      const place = there(way, at, yours);
      assert(Math.abs(here(way, place) - at) < 1e-9 && isYours(way, place) === yours, `${at} ${yours}`);
    }
  }
  assert(Math.abs(there(way, 0.4, true) - (2 * bar + 0.4)) < 1e-9);
  // In a loop the phrases begin with it.
  const looped = wayOf(timing, 2, [bar, timing.bars[2]!.end]);
  assert.deepEqual(looped.phrases, [[1, 3]]);
  assert.equal(here(looped, 0), bar);
  assert.equal(there(looped, 0, false), 0);
  const going = { way: looped, rate: 1, began: 0, from: 0, round: 2 };
  assert.equal(roundAt(going, looped.total - 0.1), 2);
  assert.equal(roundAt(going, looped.total + 0.1), 3);
});

test("a recording in turns plays each phrase and rests for as long, its end faded", async () => {
  const timing: Timing = { countIn: 0, end: 2, total: 3, strokes: [], clicks: [], steel: [], bars: [{ bar: 0, number: 1, at: 0, end: 1 }, { bar: 1, number: 2, at: 1, end: 2 }] };
  const rate = 1000;
  /** Samples that say where they are from, in thousandths. */
  const recording = (from: number): Pieces => {
    let at = Math.round(from * rate);
    return { next: async () => { const c = Float32Array.from({ length: Math.max(0, Math.min(400, 3000 - at)) }, (_, i) => at + i); at += c.length; return c.length ? { channels: [c], sampleRate: rate } : null; }, end: () => {} };
  };
  const heard = async (pieces: Pieces, most: number): Promise<number[]> => {
    const out: number[] = [];
    for (let p = await pieces.next(); p && out.length < most; p = await pieces.next()) out.push(...p.channels[0]!);
    return out;
  };
  const way = wayOf(timing, 1, null);
  const lead = await heard(recordedIn(way, 1, 0, rate, true, recording), 9000);
  assert.equal(lead.length, 3000); // what follows is the student's, and nobody plays
  assert.equal(lead[900], 900);
  assert(lead[990]! < 200, "the end of a phrase is not faded");
  assert(lead.slice(1000, 2000).every((v) => v === 0), "the student's turn is not silent");
  assert.equal(lead[2500], 1500);
  const band = await heard(recordedIn(way, 1, 0.5, rate, false, recording), 9000);
  assert.deepEqual([band[0], band[600], band[1600], band[2600], band.length], [500, 100, 1100, 1100, 4500]);
  const round = await heard(recordedIn(wayOf(timing, 2, [1, 2]), 1, 0.5, rate, true, recording), 4000);
  assert.deepEqual([round[0], round[700], round[1600], round[2700]], [1500, 0, 1100, 0]);
});
