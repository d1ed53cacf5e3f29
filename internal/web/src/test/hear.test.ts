import assert from "node:assert/strict";
import test from "node:test";

import { hear } from "../hear";

test("a sound that comes after a later one was asked for is not played over it", async () => {
  const coming = new Map<string, (length: number) => void>();
  const playing: number[] = [];
  Object.assign(globalThis, {
    fetch: (path: string) => new Promise((come) => coming.set(path, (length) => come({ ok: true, arrayBuffer: async () => new ArrayBuffer(length) }))),
    AudioContext: class {
      resume = async (): Promise<void> => undefined;
      decodeAudioData = async (b: ArrayBuffer): Promise<number> => b.byteLength;
      createBufferSource = (): object => {
        const source = { buffer: 0, connect: () => undefined, start: () => void playing.push(source.buffer), stop: () => void playing.splice(playing.indexOf(source.buffer), 1) };
        return source;
      };
    },
  });
  const first = hear("first", "");
  const second = hear("second", "");
  coming.get("second")!(2);
  await second;
  coming.get("first")!(1);
  await first;
  assert.deepEqual(playing, [2]);
  const third = hear("third", "");
  coming.get("third")!(3);
  await third;
  assert.deepEqual(playing, [3]);
});
