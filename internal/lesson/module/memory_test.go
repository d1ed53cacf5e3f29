package module

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/internal/take"
	"lapwright/notation/abc"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// maxMemory is the most memory that the program may hold in a browser, in bytes; at so
// much the page's sound is made by a new one.
const maxMemory = 150_000_000

// looper sounds a loop in Node as the page's worker does, in its blocks: one round, then two
// times thirty seconds of it, then as somebody who comes back to it 1, 100 and many rounds. It says how
// much memory the program holds after each, and how many samples came of the last.
const looper = `
const { readFileSync } = require("node:fs");
const [, , glue, program] = process.argv;
require(glue);
const [carried, wished, samples, many] = readFileSync(0, "utf8").split("\n");
const go = new Go();
let memory;
globalThis.lapwrightReady = () => {
  const wrong = lapwright.open(JSON.parse(carried));
  if (wrong) throw new Error(wrong);
  const round = Number(samples), out = [];
  let came;
  const listen = (stream, lengths) => {
    const wrong = lapwright.begin(stream, wished);
    if (wrong) throw new Error(wrong);
    came = 0;
    for (const length of lengths) {
      while (came < length) {
        const block = lapwright.next(stream, Math.min(2400, length - came));
        if (!block) throw new Error("the loop ended after " + came);
        came += block.parts[0].channels[0].length;
      }
      out.push(memory.buffer.byteLength);
    }
    lapwright.end(stream);
  };
  listen(1, [round, 1440000]);
  listen(2, [1440000]);
  listen(3, [round, 100 * round, Number(many) * round]);
  console.log(JSON.stringify([...out, came]));
  process.exit(0);
};
WebAssembly.instantiate(readFileSync(program), go.importObject).then((r) => { memory = r.instance.exports.mem; go.run(r.instance); });
`

// onResonator arranges a tune for the square-neck resonator.
func onResonator(t *testing.T, written string) *tab.Tab {
	t.Helper()
	all, _, err := abc.Read([]byte(written), "written.abc")
	if err != nil {
		t.Fatal(err)
	}
	res, err := arrange.Arrange(t.Context(), all[0], rigtest.Builtin(t, "reso-open-g"), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// TestLoopsTakeNoMemory: a loop holds as much memory after a hundred and three hundred rounds (where everything is
// tested after a thousand) as after one, and less than is allowed. Memory is counted in the pages that WebAssembly
// gives, which never go back. The very first sound is a case of its own: what is collected
// needs its books, which the first minutes bring.
func TestLoopsTakeNoMemory(t *testing.T) {
	n := newNode(t)
	placed := onResonator(t, "X:1\nT:Buoy\nM:1/4\nL:1/8\nQ:1/4=300\nK:G\nGB|d2|]\n")
	carried, err := page.Carry(placed.Tune, arrange.Options{}, nil, take.Digest)
	if err != nil {
		t.Fatal(err)
	}
	quoted, err := json.Marshal(string(carried))
	if err != nil {
		t.Fatal(err)
	}
	gain := 0.0
	wished, err := json.Marshal(report.Wished{Rig: string(rig.Format(placed.Rig)), Tab: string(tabtext.Format(placed)), Speed: 1, Loop: &[2]int{0, 1}, Gain: &gain})
	if err != nil {
		t.Fatal(err)
	}
	const round = 60 * 48000 / 300 // one beat at 300 a minute
	many := further.Few(300, 1000)
	script := n.write(t, "looper.cjs", []byte(looper))
	cmd := exec.Command(n.path, script, n.glue, n.compiled)
	cmd.Stdin = bytes.NewReader(bytes.Join([][]byte{quoted, wished, []byte(strconv.Itoa(round)), []byte(strconv.Itoa(many))}, []byte("\n")))
	said, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	var got [7]int
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatalf("%v in %q", err, said)
	}
	if got[6] != many*round {
		t.Errorf("%d samples came, want %d", got[6], many*round)
	}
	loops := got[3:6]
	if loops[0] != loops[1] || loops[1] != loops[2] || loops[2] > maxMemory {
		t.Errorf("after 1, 100 and %d rounds the program holds %v bytes; want the same, and at most %d", many, loops, maxMemory)
	}
	const books = 4 << 20
	if loops[0]-got[0] > books {
		t.Errorf("the first two visits take %d bytes more than the first round, want at most %d", loops[0]-got[0], books)
	}
	t.Logf("after the first round %d bytes, after thirty seconds %d, after thirty more %d, then after 1, 100 and %d rounds %v", got[0], got[1], got[2], many, loops)
}

// hearer has a take reviewed in Node as the page's worker does: one round of it, in 16 bits,
// comes again and again until it is so long. It writes the answer, and says how much memory
// the program holds before and after.
const hearer = `
const { readFileSync, writeFileSync } = require("node:fs");
const [, , glue, program, sound, rounds, out] = process.argv;
require(glue);
const bytes = readFileSync(sound);
const round = new Int16Array(bytes.buffer, bytes.byteOffset, bytes.length / 2);
const take = new Float32Array(Number(rounds) * round.length);
for (let i = 0; i < take.length; i++) take[i] = round[i % round.length] / 32768;
const go = new Go();
let memory;
globalThis.lapwrightReady = () => {
  const before = memory.buffer.byteLength;
  writeFileSync(out, lapwright.answer(readFileSync(0, "utf8"), take, 48000));
  console.log(JSON.stringify([before, memory.buffer.byteLength]));
  process.exit(0);
};
WebAssembly.instantiate(readFileSync(program), go.importObject).then((r) => { memory = r.instance.exports.mem; go.run(r.instance); });
`

// TestLongTakeKeepsToItsMemory: a take of three minutes, and where everything is tested the longest that a page records, ten, is
// reviewed in less memory than is allowed, and to the byte as this machine's own program reviews it.
func TestLongTakeKeepsToItsMemory(t *testing.T) {
	n := newNode(t)
	const bars = 18 // of 4 quarters at 72 a minute: a minute
	rounds := further.Few(3, 10)
	written := "X:1\nT:Breakwater\nM:4/4\nL:1/4\nQ:1/4=72\nK:G\n" + strings.Repeat("GB d/B/G|dBAG|", rounds*bars/2) + "]\n"
	placed := onResonator(t, written)
	asked := report.Asked{What: "review", Rig: string(rig.Format(placed.Rig)), Tab: string(tabtext.Format(placed)), Tuned: "equal"}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	gain := 0.0
	live, err := new(page.Stage).Begin(&report.Wished{Rig: asked.Rig, Tab: asked.Tab, Speed: 1, Gain: &gain})
	if err != nil {
		t.Fatal(err)
	}
	var sixteen []byte
	var samples []float32
	for len(samples) < 60*48000 {
		for _, v := range live.Next(page.MaxBlock).Left {
			s := int16(math.Round(32767 * float64(v)))
			sixteen = binary.LittleEndian.AppendUint16(sixteen, uint16(s))
			samples = append(samples, float32(s)/32768)
		}
	}
	answer := n.write(t, "answer", nil)
	cmd := exec.Command(n.path, n.write(t, "hearer.cjs", []byte(hearer)), n.glue, n.compiled, n.write(t, "round", sixteen), strconv.Itoa(rounds), answer)
	cmd.Stdin = bytes.NewReader(question)
	said, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	var held [2]int
	if err := json.Unmarshal(said, &held); err != nil {
		t.Fatalf("%v in %q", err, said)
	}
	if held[1] > maxMemory {
		t.Errorf("the program holds %d bytes after the review, want at most %d", held[1], maxMemory)
	}
	got, err := os.ReadFile(answer)
	if err != nil {
		t.Fatal(err)
	}
	var heard report.HeardTake
	if err := json.Unmarshal(got, &heard); err != nil || heard.Figures.Played != heard.Figures.Wanted || heard.Figures.Wanted < 4*rounds*bars {
		t.Errorf("%v; %d of %d notes were heard; refused: %s", err, heard.Figures.Played, heard.Figures.Wanted, heard.Refused)
	}
	take := page.Recording{Samples: rounds * len(samples), Rate: 48000, Block: func(from, to int) []float32 {
		out := make([]float32, to-from)
		for i := range out {
			out[i] = samples[(from+i)%len(samples)]
		}
		return out
	}}
	if want := new(page.Lesson).Answer(question, take); !bytes.Equal(got, want) {
		t.Errorf("%d bytes from the page's program, %d from ours, and they part at byte %d", len(got), len(want), parting(got, want))
	}
	t.Logf("%d notes; before the review the program holds %d bytes, after it %d", heard.Figures.Wanted, held[0], held[1])
}
