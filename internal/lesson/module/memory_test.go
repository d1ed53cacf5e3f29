package module

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"strconv"
	"testing"

	"lapwright/arrange"
	"lapwright/internal/take"
	"lapwright/notation/abc"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
)

// maxMemory is the most memory that the program may hold in a browser, in bytes; at so
// much the page's sound is made by a new one.
const maxMemory = 150_000_000

// looper sounds a loop in Node as the page's worker does, in its blocks: one round, then two
// times thirty seconds of it, then as somebody who comes back to it 1, 100 and 1,000 rounds. It says how
// much memory the program holds after each, and how many samples came of the last.
const looper = `
const { readFileSync } = require("node:fs");
const [, , glue, program] = process.argv;
require(glue);
const [carried, wished, samples] = readFileSync(0, "utf8").split("\n");
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
  listen(3, [round, 100 * round, 1000 * round]);
  console.log(JSON.stringify([...out, came]));
  process.exit(0);
};
WebAssembly.instantiate(readFileSync(program), go.importObject).then((r) => { memory = r.instance.exports.mem; go.run(r.instance); });
`

// TestLoopsTakeNoMemory: a loop holds as much memory after a hundred and a thousand rounds
// as after one, and less than is allowed. Memory is counted in the pages that WebAssembly
// gives, which never go back. The very first sound is a case of its own: what is collected
// needs its books, which the first minutes bring.
func TestLoopsTakeNoMemory(t *testing.T) {
	n := newNode(t)
	all, _, err := abc.Read([]byte("X:1\nT:Buoy\nM:1/4\nL:1/8\nQ:1/4=300\nK:G\nGB|d2|]\n"), "buoy.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(t.Context(), all[0], r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	carried, err := page.Carry(all[0], arrange.Options{}, nil, take.Digest)
	if err != nil {
		t.Fatal(err)
	}
	quoted, err := json.Marshal(string(carried))
	if err != nil {
		t.Fatal(err)
	}
	gain := 0.0
	wished, err := json.Marshal(report.Wished{Rig: string(rig.Format(res.Tab.Rig)), Tab: string(tabtext.Format(res.Tab)), Speed: 1, Loop: &[2]int{0, 1}, Gain: &gain})
	if err != nil {
		t.Fatal(err)
	}
	const round = 60 * 48000 / 300 // one beat at 300 a minute
	script := n.write(t, "looper.cjs", []byte(looper))
	cmd := exec.Command(n.path, script, n.glue, n.compiled)
	cmd.Stdin = bytes.NewReader(bytes.Join([][]byte{quoted, wished, []byte(strconv.Itoa(round))}, []byte("\n")))
	said, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	var got [7]int
	if err := json.Unmarshal(said, &got); err != nil {
		t.Fatalf("%v in %q", err, said)
	}
	if got[6] != 1000*round {
		t.Errorf("%d samples came, want %d", got[6], 1000*round)
	}
	loops := got[3:6]
	if loops[0] != loops[1] || loops[1] != loops[2] || loops[2] > maxMemory {
		t.Errorf("after 1, 100 and 1,000 rounds the program holds %v bytes; want the same, and at most %d", loops, maxMemory)
	}
	const books = 4 << 20
	if loops[0]-got[0] > books {
		t.Errorf("the first two visits take %d bytes more than the first round, want at most %d", loops[0]-got[0], books)
	}
	t.Logf("after the first round %d bytes, after thirty seconds %d, after thirty more %d, then after 1, 100 and 1,000 rounds %v", got[0], got[1], got[2], loops)
}
