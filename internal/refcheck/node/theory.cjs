// Prints what the theory library says of the chords, scales, intervals and keys
// named on standard input, as JSON: {chords, scales, intervals, keys, detect}.
const { Chord, Scale, Interval, Key, Note } = require("tonal");
let text = "";
process.stdin.on("data", (d) => (text += d));
process.stdin.on("end", () => {
  const ask = JSON.parse(text);
  const out = {
    chords: ask.chords.map(([root, type]) => Chord.getChord(type, root).notes),
    scales: ask.scales.map((name) => Scale.get(name).notes),
    intervals: ask.intervals.map(([a, b]) => Interval.distance(a, b)),
    transposed: ask.intervals.map(([a, b]) => Note.transpose(a, Interval.distance(a, b))),
    majorKeys: ask.keys.map((tonic) => Key.majorKey(tonic).alteration),
    minorKeys: ask.keys.map((tonic) => Key.minorKey(tonic).alteration),
    midi: ask.names.map((n) => Note.midi(n)),
    detect: ask.detect.map((notes) => Chord.detect(notes)),
  };
  process.stdout.write(JSON.stringify(out));
});
