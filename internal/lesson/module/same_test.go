package module

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/internal/further"
	"lapwright/internal/take"
	"lapwright/notation/abc"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/rig/rigtest"
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

// drawn are thirty instruments that nobody has: one to ten strings as they are sold, at
// pitches that they can have. Their seeds are the numbers from 1.
func drawn() []*rig.Rig {
	strung := rapid.Custom(func(t *rapid.T) *rig.Rig {
		r, _ := rigtest.Strung(t)
		r.Tuning = ""
		return r
	})
	var out []*rig.Rig
	for seed := range 30 {
		out = append(out, strung.Example(seed+1))
	}
	return out
}

// node runs the program with an input, a question a line, and returns what it says.
type node struct{ path, dir, script, glue, compiled string }

func newNode(t *testing.T) *node {
	t.Helper()
	if testing.Short() {
		t.Skip("needs Node; the full run has it")
	}
	path, err := exec.LookPath("node")
	if err != nil {
		t.Fatal("node is missing: run make test-tools")
	}
	n := &node{path: path, dir: t.TempDir()}
	n.script, n.glue, n.compiled = n.write(t, "host.cjs", []byte(host)), n.write(t, "glue.cjs", []byte(start.Script)), n.write(t, "core.wasm", program)
	return n
}

// write puts a file beside those that Node runs, and returns its path.
func (n *node) write(t *testing.T, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(n.dir, name)
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func (n *node) run(t *testing.T, input []byte) []byte {
	t.Helper()
	answers := filepath.Join(n.dir, "answers")
	cmd := exec.Command(n.path, n.script, n.glue, n.compiled, answers)
	cmd.Stdin = bytes.NewReader(input)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	b, err := os.ReadFile(answers)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestSameInTheBrowser: the program that a page carries answers every question with
// the bytes that this machine's own program answers, on every built-in instrument and
// thirty that are drawn (ten, unless everything is asked for), in every grade with every touch.
func TestSameInTheBrowser(t *testing.T) {
	n := newNode(t)
	all, _, err := abc.Read([]byte(tunes), "tunes.abc")
	if err != nil {
		t.Fatal(err)
	}
	others := drawn()[:further.Few(10, 30)]
	rigs := append(rig.Builtins(), others...)
	compared, refused, lesson := 0, 0, 0
	for _, grade := range []arrange.Grade{arrange.FirstGrade, arrange.SecondGrade, arrange.ThirdGrade} {
		for _, touch := range []arrange.Touch{arrange.PlainTouch, arrange.LightTouch, arrange.FullTouch} {
			x := all[lesson%len(all)]
			lesson++
			for i, got := range answers(t, n, x, arrange.Options{Grade: grade, Touch: touch}, rigs, rigs) {
				compared++
				if bytes.HasPrefix(got[1], []byte(`{"faults"`)) {
					refused++
				}
				if !bytes.Equal(got[0], got[1]) {
					t.Errorf("%s, grade %s, touch %s, question %d: %d bytes from the page's program, %d from ours, and they part at byte %d", x.Title, grade, touch, i, len(got[0]), len(got[1]), parting(got[0], got[1]))
				}
			}
		}
	}
	if want := 9 * (1 + 2*len(rigs)); compared != want || refused > want/3 {
		t.Errorf("%d answers compared, want %d, and %d of them refuse", compared, want, refused)
	}
	t.Logf("%d answers are the same, %d of which refuse; %d instruments were drawn", compared, refused, len(others))
}

// TestOtherInTheBrowser: where the page's program is told of a scale a tenth of a millimetre
// longer, of another string or of another name, the comparison fails.
func TestOtherInTheBrowser(t *testing.T) {
	n := newNode(t)
	all, _, err := abc.Read([]byte(tunes), "tunes.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	for name, change := range map[string]func(r *rig.Rig){
		"scale":  func(r *rig.Rig) { r.Scale += 0.1 },
		"string": func(r *rig.Rig) { r.Strings[0].Open.Octave-- },
		"title":  func(r *rig.Rig) { r.Title += "." },
	} {
		other := r.Clone()
		change(other)
		got := answers(t, n, all[0], arrange.Options{}, []*rig.Rig{r}, []*rig.Rig{other})
		if bytes.Equal(got[2][0], got[2][1]) {
			t.Errorf("with another %s the answer is the same %d bytes", name, len(got[2][0]))
		}
	}
}

// answers asks both programs all there is to ask of a tune, without sound: what
// theirs, of some instruments, and ours, of others, say to each question.
func answers(t *testing.T, n *node, x *tune.Tune, o arrange.Options, ours, theirs []*rig.Rig) [][2][]byte {
	t.Helper()
	carried, err := page.Carry(x, o, nil, take.Digest)
	if err != nil {
		t.Fatal(err)
	}
	l, err := page.Open(carried)
	if err != nil {
		t.Fatal(err)
	}
	line := func(v any) []byte {
		t.Helper()
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	questions := func(rigs []*rig.Rig) [][]byte {
		out := [][]byte{line(report.Asked{What: "instruments"})}
		for _, r := range rigs {
			file := string(rig.Format(r))
			out = append(out, line(report.Asked{What: "instrument", Rig: file}), line(report.Asked{What: "place", Rig: file}))
		}
		return out
	}
	var out [][2][]byte
	for _, q := range questions(ours) {
		out = append(out, [2][]byte{nil, l.Answer(q, page.Recording{})})
	}
	input := bytes.Join(append([][]byte{line(string(carried))}, questions(theirs)...), []byte("\n"))
	lines := bufio.NewScanner(bytes.NewReader(n.run(t, input)))
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
