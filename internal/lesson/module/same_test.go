package module

import (
	"bufio"
	"bytes"
	"encoding/json"
	"lapwright/internal/take"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	start "lapwright/third_party/go"
	"lapwright/tune"
)

// host runs the program in Node as a page's worker does: what is carried on the
// first line of its input, a question on each other, an answer a line.
const host = `
const { readFileSync, writeFileSync } = require("node:fs");
const [, , glue, program, out] = process.argv;
require(glue);
const lines = readFileSync(0, "utf8").split("\n").filter((l) => l);
const go = new Go();
globalThis.lapwrightReady = () => {
  const wrong = lapwright.open(JSON.parse(lines[0]));
  if (wrong) throw new Error(wrong);
  writeFileSync(out, lines.slice(1).map((q) => lapwright.answer(q, null, 0) + "\n").join(""));
  process.exit(0);
};
WebAssembly.instantiate(readFileSync(program), go.importObject).then((r) => go.run(r.instance));
`

// tunes are what the two are compared on: a waltz with ties and a jump, a jig with
// an ornament, a slow air with chords in a flat key (our own).
const tunes = `X:1
T:Low Tide
M:3/4
L:1/4
Q:1/4=90
K:G
D|:GBd|d2B-|B2A|1 F3:|2 G3|]

X:2
T:Ferry Bell
M:6/8
L:1/8
K:D
{c}dAF DFA|ded B2A|d2f edB|ABA F2E|D3-D3|]

X:3
T:Lamp Room
M:4/4
L:1/4
Q:1/4=60
K:Eb
"Eb"[GB]2 (Bc)|"Ab"c2 _d2|"Bb7"d>c B A|"Eb"[G4B4]|]
`

// TestSameInTheBrowser: the program that a page carries answers every question with
// the bytes that this machine's own program answers, on every built-in instrument.
func TestSameInTheBrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("needs Node; the full run has it")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Fatal("node is missing: run make test-tools")
	}
	all, _, err := abc.Read([]byte(tunes), "tunes.abc")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name string, b []byte) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	script, glue, compiled := write("host.cjs", []byte(host)), write("glue.cjs", []byte(start.Script)), write("core.wasm", program)
	compared := 0
	for _, x := range all {
		for i, got := range answers(t, x, func(input []byte) ([]byte, error) {
			answers := filepath.Join(dir, "answers")
			cmd := exec.Command(node, script, glue, compiled, answers)
			cmd.Stdin = bytes.NewReader(input)
			if said, err := cmd.CombinedOutput(); err != nil {
				t.Logf("%s", said)
				return nil, err
			}
			return os.ReadFile(answers)
		}) {
			compared++
			if !bytes.Equal(got[0], got[1]) {
				t.Errorf("%s, question %d: %d bytes from the page's program, %d from ours, and they part at byte %d", x.Title, i, len(got[0]), len(got[1]), parting(got[0], got[1]))
			}
		}
	}
	if want := 3 * (1 + 2*len(rig.Builtins())); compared != want {
		t.Errorf("%d answers compared, want %d", compared, want)
	}
}

// answers asks both programs all there is to ask of a tune, without sound: what
// theirs and ours says to each question.
func answers(t *testing.T, x *tune.Tune, run func(input []byte) ([]byte, error)) [][2][]byte {
	t.Helper()
	carried, err := page.Carry(x, arrange.Options{}, nil, take.Digest)
	if err != nil {
		t.Fatal(err)
	}
	l, err := page.Open(carried)
	if err != nil {
		t.Fatal(err)
	}
	asked := []report.Asked{{What: "instruments"}}
	for _, r := range rig.Builtins() {
		file := string(rig.Format(r))
		asked = append(asked, report.Asked{What: "instrument", Rig: file}, report.Asked{What: "place", Rig: file})
	}
	quoted, err := json.Marshal(string(carried))
	if err != nil {
		t.Fatal(err)
	}
	input := append(quoted, '\n')
	var out [][2][]byte
	for _, q := range asked {
		b, err := json.Marshal(q)
		if err != nil {
			t.Fatal(err)
		}
		input = append(append(input, b...), '\n')
		out = append(out, [2][]byte{nil, l.Answer(b, nil, 0)})
	}
	said, err := run(input)
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(bytes.NewReader(said))
	lines.Buffer(nil, 64<<20)
	for i := 0; lines.Scan() && i < len(out); i++ {
		out[i][0] = bytes.Clone(lines.Bytes())
	}
	return out
}

// parting returns where two texts begin to differ.
func parting(a, b []byte) int {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
}
