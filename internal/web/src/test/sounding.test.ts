import assert from "node:assert/strict";
import test from "node:test";

import type { Pieces } from "../pieces";
import { Sounding } from "../sounding";

const rate = 48000;

/** An audio clock that a test moves, and what is alive on it: sources that have not ended, and the buffers they hold. */
class Clock {
  currentTime = 0;
  /** Every stretch that sounded: when, and its first and last sample. */
  readonly heard: { at: number; until: number; first: number; last: number }[] = [];
  sources: FakeSource[] = [];

  createGain(): unknown {
    return { gain: { setValueAtTime: () => {}, linearRampToValueAtTime: () => {} }, connect: () => {} };
  }

  createBuffer(channels: number, length: number, sampleRate: number): FakeBuffer {
    return new FakeBuffer(channels, length, sampleRate);
  }

  createBufferSource(): FakeSource {
    const source = new FakeSource(this);
    this.sources.push(source);
    return source;
  }

  /** Goes on to a time; what is over by then ends. */
  to(time: number): void {
    this.currentTime = time;
    const over = this.sources.filter((s) => s.until <= time);
    this.sources = this.sources.filter((s) => s.until > time);
    for (const s of over) s.onended?.();
  }
}

class FakeBuffer {
  private readonly samples: Float32Array[];
  constructor(channels: number, readonly length: number, readonly sampleRate: number) {
    this.samples = Array.from({ length: channels }, () => new Float32Array(length));
  }
  get duration(): number { return this.length / this.sampleRate; }
  copyToChannel(from: Float32Array, c: number): void { this.samples[c]!.set(from); }
  get ends(): [number, number] { return [this.samples[0]![0]!, this.samples[0]!.at(-1)!]; }
}

class FakeSource {
  buffer: FakeBuffer | null = null;
  onended: (() => void) | null = null;
  until = Infinity;
  constructor(private readonly clock: Clock) {}
  connect(): void {}
  start(at: number, skip: number): void {
    this.until = at + this.buffer!.duration - skip;
    const [first, last] = this.buffer!.ends;
    this.clock.heard.push({ at, until: this.until, first, last });
  }
  stop(at: number): void { this.until = Math.min(this.until, at); }
}

const rest = (): Promise<void> => new Promise((go) => setTimeout(go, 0));

test("as many buffers live after a thousand rounds of a loop as after one, and they follow each other without a gap", async () => {
  const round = rate / 2;
  let made = 0;
  const pieces: Pieces = {
    next: () => {
      const piece = Float32Array.from({ length: rate / 10 }, () => made++ % round);
      return Promise.resolve({ channels: [piece, piece.slice()], sampleRate: rate });
    },
    end: () => {},
  };
  const clock = new Clock();
  const sounding = new Sounding(clock as unknown as BaseAudioContext, {} as AudioNode, 0, false);
  const kept = (): number => (sounding as unknown as { sources: unknown[] }).sources.length;
  sounding.made(pieces, null, 0);
  const alive: [number, number][] = [];
  const rounds = [1, 100, 1000];
  while (rounds.length > 0) {
    for (let i = 0; i < 30; i++) await Promise.resolve(); // pieces come
    clock.to(clock.currentTime + 0.05);
    sounding.feed();
    if (clock.currentTime < (rounds[0]! * round) / rate) continue;
    rounds.shift();
    await rest();
    alive.push([clock.sources.length, kept()]);
  }
  const [first] = alive;
  assert(first![0] > 1 && first![0] < 40, `${first![0]} sources are alive`);
  for (const a of alive) {
    assert(Math.abs(a[0] - first![0]) <= 1, `alive after 1, 100 and 1,000 rounds: ${JSON.stringify(alive)}`);
    assert.equal(a[1], a[0]); // none is held that has ended
  }
  assert(clock.heard.length > 4000, `${clock.heard.length} pieces sounded`);
  for (let i = 1; i < clock.heard.length; i++) {
    const [before, now] = [clock.heard[i - 1]!, clock.heard[i]!];
    assert(Math.abs(now.at - before.until) < 1e-6, `piece ${i} begins at ${now.at}, the one before ends at ${before.until}`);
    assert.equal(now.first, (before.last + 1) % round);
  }
  sounding.stop(0, false);
});

test("what a slow device is late with while it copies the music begins later, whole, and nothing overlaps", async () => {
  class Slow extends Clock {
    override createBuffer(channels: number, length: number, sampleRate: number): FakeBuffer {
      this.currentTime += 0.03;
      return super.createBuffer(channels, length, sampleRate);
    }
  }
  const clock = new Slow();
  const piece = { channels: [new Float32Array(rate), new Float32Array(rate)] as [Float32Array<ArrayBuffer>, Float32Array<ArrayBuffer>], sampleRate: rate };
  const sounding = new Sounding(clock as unknown as BaseAudioContext, {} as AudioNode, 0.02, false);
  const late: number[] = [];
  sounding.onLate = (by) => late.push(by);
  sounding.made({ next: async () => piece, end: () => undefined }, piece, 0);
  await rest();
  assert.deepEqual(late.map((by) => by.toFixed(3)), ["0.010"]);
  assert.deepEqual(clock.heard.slice(0, 2).map((h) => h.at.toFixed(3)), ["0.030", "1.030"]);
});
