import assert from "node:assert/strict";
import test from "node:test";
import { gunzipSync, gzipSync } from "node:zlib";

import { gunzip } from "../packed";

/** Numbers that look like chance, the same every time: Numerical Recipes, 3rd ed., 7.1.7, "quick and dirty". */
function chance(seed: number): () => number {
  let x = seed;
  return () => (x = (Math.imul(x, 1664525) + 1013904223) >>> 0) / 2 ** 32;
}

function samples(): [string, Uint8Array][] {
  const all: [string, Uint8Array][] = [["nothing", new Uint8Array(0)], ["one byte", Uint8Array.of(65)], ["one byte many times", new Uint8Array(70_000).fill(7)]];
  const next = chance(20);
  all.push(["noise, longer than a window", Uint8Array.from({ length: 90_000 }, () => next() * 256)]);
  const lines = Array.from({ length: 9000 }, () => `<text x="${(next() * 200).toFixed(3)}" y="${(next() * 290).toFixed(3)}">♭${Math.floor(next() * 24)}</text>\n`);
  all.push(["a drawing", new TextEncoder().encode(lines.join(""))]);
  for (let n = 1; n < 60; n++) all.push([`${n} of few letters`, Uint8Array.from({ length: n * 37 }, () => 97 + next() * (1 + (n % 9)))]);
  return all;
}

// Against zlib, which Node brings.
test("what zlib packs, whichever way, is unpacked", () => {
  let blocks = 0;
  const kinds = new Set<number>();
  for (const [name, plain] of samples()) {
    for (const options of [{ level: 0 }, { level: 1 }, { level: 6 }, { level: 9 }, { level: 9, strategy: 4 }, { level: 9, strategy: 2 }]) {
      const packed = new Uint8Array(gzipSync(plain, options));
      assert.deepEqual(gunzip(packed), plain, `${name} ${JSON.stringify(options)}`);
      kinds.add((packed[10]! >> 1) & 3);
      blocks++;
    }
  }
  assert.deepEqual([...kinds].sort(), [0, 1, 2]);
  assert.equal(blocks, 64 * 6);
});

test("what is broken or cut off is told, or unpacks to another text of its length", () => {
  const plain = new TextEncoder().encode(Array.from({ length: 400 }, (_, k) => `fret ${k % 13}, string ${k % 6}. `).join(""));
  const packed = new Uint8Array(gzipSync(plain, { level: 9 }));
  for (let n = 0; n < packed.length; n++) assert.throws(() => gunzip(packed.subarray(0, n)), Error);
  const next = chance(3);
  let told = 0;
  for (let k = 0; k < 3000; k++) {
    const bad = packed.slice();
    bad[Math.floor(next() * bad.length)]! ^= 1 << (next() * 8);
    try {
      gunzip(bad);
    } catch (e) {
      assert((e as Error).message.includes("broken"), String(e));
      told++;
    }
  }
  assert(told > 500, `${told} of 3000 were told`);
  assert.deepEqual(new Uint8Array(gunzipSync(packed)), plain);
});
