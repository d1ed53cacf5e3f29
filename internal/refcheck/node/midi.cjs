// Reads Standard MIDI Files with the library midi-file and prints, a line of
// JSON for each, their notes and bends in ticks. Usage: node midi.cjs FILE...
const fs = require('fs');
const { parseMidi } = require('midi-file');

for (const name of process.argv.slice(2)) {
  const file = parseMidi(fs.readFileSync(name));
  const out = { division: file.header.ticksPerBeat, format: file.header.format, notes: [], bends: [], tempos: [], meters: [], keys: [] };
  file.tracks.forEach((track, t) => {
    let at = 0;
    const open = {};
    for (const e of track) {
      at += e.deltaTime;
      const id = e.channel + '/' + e.noteNumber;
      switch (e.type) {
        case 'noteOn':
          (open[id] = open[id] || []).push({ at, velocity: e.velocity });
          break;
        case 'noteOff': {
          const n = (open[id] || []).shift();
          if (n) out.notes.push([t + 1, e.channel + 1, e.noteNumber, n.velocity, n.at, at - n.at]);
          break;
        }
        case 'pitchBend':
          out.bends.push([t + 1, e.channel + 1, at, e.value]);
          break;
        case 'setTempo':
          out.tempos.push([at, e.microsecondsPerBeat]);
          break;
        case 'timeSignature':
          out.meters.push([at, e.numerator, e.denominator]);
          break;
        case 'keySignature':
          out.keys.push([at, e.key, e.scale]);
          break;
      }
    }
  });
  console.log(JSON.stringify(out));
}
