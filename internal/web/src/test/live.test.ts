import assert from "node:assert/strict";
import test from "node:test";

import type { ToSound } from "../core";
import type { Timing, Wished } from "../forms";
import { Live } from "../live";
import { wayOf } from "../way";

/** Two bars of a second, of which a loop takes half a second. */
const timing: Timing = { total: 2, end: 2, countIn: 0, bars: [{ bar: 0, number: 1, at: 0, end: 1 }, { bar: 1, number: 2, at: 1, end: 2 }], strokes: [], clicks: [], steel: [] };
const looped = { way: wayOf(timing, 0, [0, 1]), glides: 1, band: false };
const rate = 48000;
const round = rate; // the loop of bar 1
const full = 160e6;

/** A worker whose samples say where they are in the loop; its program grows by a piece's size in each. */
class Fake {
  static alive = 0;
  static started = 0;
  static most = 0;
  onmessage: ((e: { data: unknown }) => void) | null = null;
  onerror: (() => void) | null = null;
  private at = new Map<number, number>();
  private held = 10e6;
  private dead = false;

  constructor(private readonly grows: number, private readonly slow: () => Promise<void> = () => Promise.resolve()) {
    Fake.started++;
    Fake.most = Math.max(Fake.most, ++Fake.alive);
  }

  terminate(): void {
    if (!this.dead) Fake.alive--;
    this.dead = true;
  }

  postMessage(told: ToSound): void {
    if (this.dead) return;
    if ("wished" in told) this.at.set(told.stream, Math.round((JSON.parse(told.wished) as Wished).past * rate));
    else if ("samples" in told) void this.make(told.stream, told.samples);
  }

  private async make(stream: number, samples: number): Promise<void> {
    await this.slow();
    if (this.dead) return;
    const from = this.at.get(stream)!;
    const channel = Float32Array.from({ length: samples }, (_, i) => (from + i) % round);
    this.at.set(stream, (from + samples) % round);
    this.held += this.grows;
    this.onmessage?.({ data: { stream, parts: [{ name: "lead", channels: [channel, channel] }], where: { pass: 0, past: this.at.get(stream)! / rate }, took: 1, memory: this.held } });
  }
}

const fresh = (): void => void ((Fake.alive = 0), (Fake.started = 0), (Fake.most = 0));
const rest = (): Promise<void> => new Promise((go) => setTimeout(go, 0));

test("a thousand rounds of a loop follow each other to the sample, over workers that are replaced when they have grown", async () => {
  fresh();
  const live = new Live(async () => new Fake(2e6) as unknown as Worker);
  const pieces = live.of({ rig: "", tab: "" }).pieces(1, 0, looped);
  let came = 0;
  const alive: number[] = [];
  while (came < 1000 * round) {
    const piece = await pieces.next();
    if (!piece) throw new Error(`the loop ended after ${came} samples`);
    const channel = piece.channels[0]!;
    assert.equal(channel[0], came % round);
    assert.equal(channel.at(-1), (came + channel.length - 1) % round);
    came += channel.length;
    await rest();
    for (const n of [1, 100, 1000]) if (came - channel.length < n * round && came >= n * round) alive.push(Fake.alive);
  }
  assert.deepEqual(alive, [1, 1, 1]);
  assert(Fake.started > 10, `${Fake.started} workers were started`);
  assert(Fake.most <= 2, `${Fake.most} workers were there at once`);
  pieces.end();
});

test("who waits for a worker that is replaced still gets what it makes", async () => {
  fresh();
  let go: () => void = () => {};
  const held = new Promise<void>((is) => (go = is));
  let asked = 0;
  // The first worker makes its first piece late, and has grown too large by its second.
  const live = new Live(async () => new Fake(full, () => (Fake.started === 1 && asked++ === 0 ? held : Promise.resolve())) as unknown as Worker);
  const source = live.of({ rig: "", tab: "" });
  const slow = source.pieces(1, 0, looped);
  const late = slow.next();
  await rest();
  const other = source.pieces(1, 0, looped);
  assert((await other.next()) !== null);
  await rest();
  assert.equal(Fake.started, 2);
  go();
  const piece = await Promise.race([late, new Promise<"never">((is) => setTimeout(() => is("never"), 200))]);
  assert(piece !== "never" && piece !== null, "the piece never came");
  await rest();
  assert.equal(Fake.alive, 1);
  slow.end();
  other.end();
});

test("a program that breaks off again and again is told, and is no end of the music", async () => {
  fresh();
  const live = new Live(async () => {
    const worker = new Fake(0, () => new Promise(() => {}));
    setTimeout(() => worker.onerror?.(), 1);
    return worker as unknown as Worker;
  });
  const why: string[] = [];
  live.onFailed = (w) => why.push(w);
  assert.equal(await live.of({ rig: "", tab: "" }).pieces(1, 0, looped).next(), null);
  assert.deepEqual(why, ["The page's program broke off."]);
  assert(Fake.started > 1, "it was not tried again");
});
