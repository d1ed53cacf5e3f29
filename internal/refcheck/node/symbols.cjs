// Prints, for each chord symbol on standard input (a JSON list), what the library
// makes of it: {notes, intervals, bass}; notes are empty where it knows none.
const { Chord, Note } = require("tonal");
let text = "";
process.stdin.on("data", (d) => (text += d));
process.stdin.on("end", () => {
  process.stdout.write(JSON.stringify(JSON.parse(text).map((s) => {
    const c = Chord.get(s);
    return { notes: c.notes.map((n) => Note.chroma(n)), intervals: c.intervals, bass: c.bass ? Note.chroma(c.bass) : -1, root: c.tonic ? Note.chroma(c.tonic) : -1 };
  })));
});
