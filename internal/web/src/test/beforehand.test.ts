import assert from "node:assert/strict";
import test from "node:test";

import { Beforehand } from "../beforehand";
import { held, mostHeld } from "../held";
import type { Piece } from "../pieces";

/** So few samples a second that hours can be made; each has the size that the channels give it. */
const rate = 100;
/** What a second of music takes at 48 kHz, and as many channels of this rate. */
const channels = 2 * 480;

/** A clock that goes to where somebody waits for when all that can happen has happened. */
class Clock {
  now = 0;
  private readonly waiting: { at: number; go: () => void }[] = [];

  wait(seconds: number): Promise<void> {
    return new Promise((go) => this.waiting.push({ at: this.now + seconds, go }));
  }

  async run(all: Promise<void>): Promise<void> {
    let over = false;
    const end = all.finally(() => (over = true));
    end.catch(() => {});
    while (!over) {
      for (let i = 0; i < 50; i++) await Promise.resolve();
      this.waiting.sort((a, b) => a.at - b.at);
      const first = this.waiting.shift();
      if (!first) break;
      this.now = first.at;
      first.go();
    }
    await end;
  }
}

/** A device of a pace, and a player: what comes counts on, up to the end. */
function device(pace: number, end: number) {
  const clock = new Clock();
  const d = {
    clock, rate, channels, asked: 0, at: 0, most: 0, came: 0, told: [] as (number | null)[],
    /** How long the music stood, and how often, while it was not said that some is made beforehand. */
    stood: 0,
    make: async (samples: number): Promise<Piece | null> => {
      d.asked++;
      const n = Math.min(samples, end * rate - d.at);
      if (n <= 0) return null;
      await clock.wait(n / rate / pace);
      const from = d.at;
      d.at += n;
      return { channels: [Float32Array.from({ length: n }, (_, i) => from + i)], sampleRate: rate };
    },
    pace: () => pace,
    preparing: (done: number | null) => { d.told.push(done); d.most = Math.max(d.most, held.bytes); },
    /** Plays so many seconds, or all. */
    play: async (b: Beforehand, seconds = Infinity): Promise<void> => {
      await clock.run((async () => {
        while (d.came < seconds * rate) {
          const [asked, said] = [clock.now, d.told.length];
          const p = await b.next();
          if (d.told.length === said) d.stood += clock.now - asked;
          if (!p) return;
          assert.equal(p.channels[0]![0], d.came);
          d.came += p.channels[0]!.length;
          d.most = Math.max(d.most, held.bytes);
          await clock.wait(p.channels[0]!.length / rate);
        }
      })());
    },
  };
  return d;
}

/** How often something was made beforehand. */
const times = (told: (number | null)[]): number => told.filter((t) => t === null).length;

test("a device that keeps ahead makes nothing beforehand", async () => {
  const d = device(5, 10);
  const b = new Beforehand(d, 10, null);
  await d.play(b, 2.5);
  assert.deepEqual([d.asked, b.patient, d.told.length, held.bytes], [3, false, 0, 0]);
});

for (const pace of [0.2, 0.5, 1.1]) {
  test(`a device of a pace of ${pace} plays a whole tune when some of it is made, and stands nowhere in it`, async () => {
    const d = device(pace, 64);
    const b = new Beforehand(d, 60, null);
    await d.play(b);
    assert(b.patient);
    assert.equal(d.came, 64 * rate);
    assert.equal(times(d.told), 1);
    assert(d.stood <= 0.5 / pace + 1e-6, `the music stands for ${d.stood} s`); // for its first piece
    assert(d.told.every((t, i, all) => t === null || i === 0 || t >= (all[i - 1] ?? 0)), "it tells less than before");
    b.end();
    assert.equal(held.bytes, 0);
  });
}

test("the chosen bars are kept and come round, and no more than that is made", async () => {
  const d = device(0.5, Infinity);
  const b = new Beforehand(d, 3, 4); // from a second behind the loop's beginning
  const got: number[] = [];
  await d.clock.run((async () => {
    for (let i = 0; i < 40; i++) for (const v of (await b.next())!.channels[0]!) got.push(v);
  })());
  assert.equal(d.at, 7 * rate);
  for (const [i, v] of got.entries()) assert.equal(v, i < 3 * rate ? i : 3 * rate + ((i - 3 * rate) % (4 * rate)));
  assert.equal(held.bytes, 4 * channels * 4 * rate);
  b.end();
});

for (const [what, round] of [["a tune of twenty minutes", null], ["a loop of ten minutes", 600]] as const) {
  test(`${what} on a slow device holds no more than the page may, and what has run out is made again, told`, async () => {
    const d = device(0.2, 1300);
    const b = new Beforehand(d, round ?? 1200, round);
    await d.play(b, 1000);
    assert(d.came >= 1000 * rate, `${d.came / rate} s came`);
    assert(d.most > 0.8 * mostHeld && d.most <= mostHeld, `${d.most} bytes are held`);
    assert(times(d.told) > 2, `made beforehand ${times(d.told)} times`);
    b.end();
    assert.equal(held.bytes, 0);
  });
}

test("what breaks while it plays is told behind what was made", async () => {
  const d = device(0.5, 40);
  const make = d.make;
  d.make = (samples) => (d.at > 30 * rate ? Promise.reject(new Error("it broke")) : make(samples));
  const b = new Beforehand(d, 40, null);
  await assert.rejects(d.play(b), /it broke/);
  assert(d.came >= 30 * rate, `${d.came / rate} s came`);
});
