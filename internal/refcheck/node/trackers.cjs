// Prints, for a file of 32-bit floats at a rate (its arguments), what pitch trackers
// make of it: for each its milliseconds, and a pitch in hertz for each window, 0 for none.
const { readFileSync } = require("node:fs");
const { YIN } = require("pitchfinder");
const window = 4096;
const hop = 480;

function run(name, x, find) {
  const hz = [];
  const from = process.hrtime.bigint();
  for (let at = 0; at + window <= x.length; at += hop) hz.push(find(x.subarray(at, at + window)) || 0);
  return { name, ms: Number(process.hrtime.bigint() - from) / 1e6, first: window / 2, hop, hz };
}

async function main() {
  const { PitchDetector } = await import("pitchy");
  const rate = Number(process.argv[3]);
  const b = readFileSync(process.argv[2]);
  const x = new Float32Array(b.buffer.slice(b.byteOffset, b.byteOffset + b.length));
  const yin = YIN({ sampleRate: rate });
  const mcleod = PitchDetector.forFloat32Array(window);
  const quiet = (w) => Math.sqrt(w.reduce((s, v) => s + v * v, 0) / w.length) < 0.001;
  const out = [
    run("pitchfinder's yin", x, (w) => (quiet(w) ? 0 : yin(w))),
    run("pitchy", x, (w) => {
      const [hz, clarity] = mcleod.findPitch(w, rate);
      return clarity > 0.9 && !quiet(w) ? hz : 0;
    }),
  ];
  process.stdout.write(JSON.stringify(out));
}
main();
