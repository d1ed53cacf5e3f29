// Prints the notes of the chords named on standard input, each [root, type],
// and the frequency of every note named, as JSON: {chords, hertz}.
const { Chord, Note } = require("tonal");
let text = "";
process.stdin.on("data", (d) => (text += d));
process.stdin.on("end", () => {
  const ask = JSON.parse(text);
  process.stdout.write(JSON.stringify({
    chords: ask.chords.map(([root, type]) => Chord.getChord(type, root).notes),
    hertz: ask.names.map((n) => Note.freq(n)),
  }));
});
