package refcheck

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/feel"
	"lapwright/internal/further"
	"lapwright/notation/musicxml"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// judgedChord is what the npm library "tonal" 6.4.3 makes of a chord symbol.
type judgedChord struct {
	Notes     []int    `json:"notes"`
	Intervals []string `json:"intervals"`
	Bass      int      `json:"bass"`
	Root      int      `json:"root"`
}

// tones returns the pitch classes that must be heard: root or bass as one, and each
// of third and seventh; where a suspended chord has no third, what stands for it.
func (c *judgedChord) tones() (low []int, must []int) {
	low = []int{c.Root}
	if c.Bass >= 0 {
		low = append(low, c.Bass)
	}
	for i, iv := range c.Intervals {
		switch {
		case strings.HasPrefix(iv, "3"), strings.HasPrefix(iv, "7"):
			must = append(must, (c.Notes[i]+12)%12)
		}
	}
	return low, must
}

// judgeChords asks the library about symbols.
func judgeChords(t *testing.T, symbols []string) map[string]*judgedChord {
	t.Helper()
	in, err := json.Marshal(symbols)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", "symbols.cjs")
	cmd.Dir = NodeTools(t, "tonal")
	cmd.Stdin = bytes.NewReader(in)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var got []*judgedChord
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	all := map[string]*judgedChord{}
	for i, s := range symbols {
		all[s] = got[i]
	}
	return all
}

// stretch is what stands under one symbol of a tune.
type stretch struct {
	symbol   string
	bar      int // where it begins
	at       tune.Ticks
	from, to tune.Ticks // from the start of the written bars
}

// alike reports whether two symbols are one chord over one bass, as the library has it.
func (c *judgedChord) alike(o *judgedChord) bool {
	bass := func(c *judgedChord) int {
		if c.Bass < 0 {
			return c.Root
		}
		return c.Bass
	}
	return len(c.Notes) > 0 && slices.Equal(c.Notes, o.Notes) && bass(c) == bass(o)
}

// stretches parts the written bars of a tune by its symbols, neighbours that are alike
// taken together, and leaves out a pickup. Of symbols at one place the last counts.
func stretches(in *tune.Tune, judged map[string]*judgedChord) []stretch {
	var out []stretch
	now, start := "", tune.Ticks(0)
	first := tune.Ticks(0)
	if in.Bars[0].Len < in.Bars[0].Meter.Len() {
		first = in.Bars[0].Len
	}
	end := func(to tune.Ticks) {
		if n := len(out); n > 0 {
			out[n-1].to = to
		}
	}
	for i := range in.Bars {
		for _, c := range in.Bars[i].Chords {
			if c.Text == now {
				continue
			}
			end(max(first, start+c.At))
			now = c.Text
			out = append(out, stretch{symbol: c.Text, bar: i, at: c.At, from: max(first, start+c.At)})
		}
		start += in.Bars[i].Len
	}
	end(start)
	out = slices.DeleteFunc(out, func(s stretch) bool { return s.from >= s.to })
	var joined []stretch
	for _, s := range out {
		if n := len(joined); n > 0 && joined[n-1].to == s.from && (s.symbol == joined[n-1].symbol || judged[s.symbol].alike(judged[joined[n-1].symbol])) {
			joined[n-1].to = s.to
			continue
		}
		joined = append(joined, s)
	}
	return joined
}

// sounding returns the pitch classes that a tab strikes between two places of the
// written bars, from strings, steel and benders alone.
func sounding(t *tab.Tab, from, to tune.Ticks) map[int]bool {
	g := steel.New(t.Rig)
	starts := make([]tune.Ticks, len(t.Tune.Bars)+1)
	for i := range t.Tune.Bars {
		starts[i+1] = starts[i] + t.Tune.Bars[i].Len
	}
	out := map[int]bool{}
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if at := starts[s.BarIndex] + s.At; at < from || at >= to {
			continue
		}
		for k := range s.Plucks {
			if s.Plucks[k].Attack == tab.Chopped {
				continue // no pitch is heard
			}
			out[int(math.Round(tab.Key(g, s, &s.Plucks[k])))%12] = true
		}
	}
	return out
}

// Root or bass, third and seventh of every chord of the reference tunes sound in the
// part that accompanies them: an outside library says what they are, strings, steel
// and benders say what sounds. Every tune on one rig, in the feel that is usual for
// it or in another, in turn.
func TestBackupSoundsTheChords(t *testing.T) {
	tunes := corpusTunes(t)
	step := every(6)
	weights := documentedWeights(t)
	weighed := 0
	symbols := map[string]int{}
	for _, in := range tunes {
		for i := range in.Bars {
			for _, c := range in.Bars[i].Chords {
				symbols[c.Text]++
			}
		}
	}
	var asked []string
	for s := range symbols {
		asked = append(asked, s)
	}
	slices.Sort(asked)
	judged := judgeChords(t, asked)
	known, places := 0, 0
	for _, s := range asked {
		places += symbols[s]
		if len(judged[s].Notes) > 0 {
			known += symbols[s]
		} else {
			t.Logf("the library does not know %q, which stands %d times", s, symbols[s])
		}
	}
	if known*100 < places*97 {
		t.Fatalf("the library knows the symbols of %d places of %d", known, places)
	}
	rigs, feels := rig.Builtins(), feel.All()
	chords, parts := 0, 0
	for n := 0; n < len(tunes); n += step {
		in := tunes[n]
		all := stretches(in, judged)
		if len(all) == 0 {
			continue
		}
		r := rigs[n%len(rigs)]
		o := accompany.Options{}
		if n%2 == 1 {
			if f := feels[n/2%len(feels)]; has(f, in) {
				o.Feel = f
			}
		}
		res, err := accompany.Accompany(context.Background(), in, r, o)
		if err != nil {
			t.Errorf("%s on %s: %v", in.Title, r.Name, err)
			continue
		}
		if l := res.Tab.Check(); len(l) > 0 {
			t.Errorf("%s on %s: %v", in.Title, r.Name, l)
		}
		if k := len(res.Tab.Compromises); k > 0 {
			t.Errorf("%s on %s: %d compromises", in.Title, r.Name, k)
		}
		parts++
		n, wrong := weights.of(res)
		weighed += n
		if wrong != "" {
			t.Errorf("%s on %s in %s: %s", in.Title, r.Name, res.Feel.Name, wrong)
		}
		for _, s := range all {
			j := judged[s.symbol]
			if len(j.Notes) == 0 {
				continue
			}
			chords++
			heard := sounding(res.Tab, s.from, s.to)
			low, must := j.tones()
			if !slices.ContainsFunc(low, func(c int) bool { return heard[c] }) {
				t.Errorf("%s on %s in %s, bar %d: neither root nor bass of %s sounds", in.Title, r.Name, res.Feel.Name, in.Bars[s.bar].Number, s.symbol)
			}
			for _, c := range must {
				if !heard[c] {
					t.Errorf("%s on %s in %s, bar %d: pitch class %d of %s does not sound", in.Title, r.Name, res.Feel.Name, in.Bars[s.bar].Number, c, s.symbol)
				}
			}
		}
	}
	t.Logf("%d chords of %d tunes, %d strokes with weight", chords, parts, weighed)
	least := further.Few(1200, 8000)
	if chords < least || weighed < least {
		t.Fatalf("%d chords and %d weights judged: the test is not seeing the tunes", chords, weighed)
	}
}

// weights holds the line of weight that docs/backup.md prints for a feel in a meter.
type weights map[[2]string]string

func documentedWeights(t *testing.T) weights {
	t.Helper()
	b, err := os.ReadFile("../../docs/backup.md")
	if err != nil {
		t.Fatal(err)
	}
	out := weights{}
	name := ""
	for line := range strings.SplitSeq(string(b), "\n") {
		if s, ok := strings.CutPrefix(line, "### "); ok {
			name = s
		}
		if cells := strings.Split(line, "|"); name != "" && len(cells) == 8 && strings.Contains(cells[2], "`") {
			out[[2]string{name, strings.TrimSpace(cells[1])}] = strings.Trim(cells[2], " `")
		}
	}
	if len(out) < 20 {
		t.Fatalf("%d lines of weight read", len(out))
	}
	return out
}

// of compares the accents of a part with the document, in full bars of meters that its
// feel has: each lies where the bar has weight, and where one chord holds from the
// bar's start each place of weight has one. It counts them and says what is wrong.
func (w weights) of(res *accompany.Result) (n int, wrong string) {
	t := res.Tab.Tune
	for i := range t.Bars {
		b := &t.Bars[i]
		line := w[[2]string{res.Feel.Name, fmt.Sprintf("%d/%d", b.Meter.Beats, b.Meter.Unit)}]
		if line == "" || b.Len != b.Meter.Len() || t.Within(i) > 0 || i+1 == len(t.Bars) {
			continue
		}
		slots := tune.Ticks(len(line))
		heavy := map[tune.Ticks]bool{}
		sounds := false
		for _, e := range b.Lines[0] {
			sounds = sounds || e.Kind == tune.Sounding
			if !slices.Contains(e.Marks, tune.Accent) {
				continue
			}
			n++
			heavy[e.At] = true
			if e.At*slots%b.Len != 0 || line[e.At*slots/b.Len] != '>' {
				return n, fmt.Sprintf("bar %d has weight at %s", b.Number, e.At)
			}
		}
		one := sounds && !slices.ContainsFunc(b.Chords, func(c tune.ChordAt) bool { return c.At > 0 })
		for s := range slots {
			if one && line[s] == '>' && !heavy[b.Len*s/slots] {
				return n, fmt.Sprintf("bar %d has no weight at slot %d of %s", b.Number, s, line)
			}
		}
	}
	return n, ""
}

// has reports whether a feel has figures for all meters of a tune.
func has(f *feel.Feel, in *tune.Tune) bool {
	for i := range in.Bars {
		if _, ok := f.Figure(in.Bars[i].Meter); !ok {
			return false
		}
	}
	return true
}

// A tune and what accompanies it are one score of two parts: valid by the standard's
// schema; read again every stroke is as it was; and a second reading, written apart,
// finds every note of both parts.
func TestMusicXMLOfTwoInstruments(t *testing.T) {
	tunes := corpusTunes(t)
	step := further.Few(37, 11)
	rigs := rig.Builtins()
	dir := t.TempDir()
	var files []string
	var scores [][]*tab.Tab
	for n := 0; n < len(tunes); n += step {
		in := tunes[n]
		first, err := arrange.Arrange(t.Context(), in, rigs[n%len(rigs)], arrange.Options{})
		if err != nil {
			t.Fatalf("%s: %v", in.Title, err)
		}
		key := first.Tab.Tune.Bars[0].Key.Tonic
		second, err := accompany.Accompany(t.Context(), in, rigs[(n+3)%len(rigs)], accompany.Options{Key: &key})
		if err != nil {
			continue // no chord symbols
		}
		tabs := []*tab.Tab{first.Tab, second.Tab}
		b, err := musicxml.WriteTogether(tabs)
		if err != nil {
			t.Fatalf("%s: %v", in.Title, err)
		}
		path := filepath.Join(dir, fmt.Sprintf("duo%03d.musicxml", n))
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
		files, scores = append(files, path), append(scores, tabs)
		s, err := musicxml.Read(b, "duo.musicxml")
		if err != nil || len(s.Parts) != 2 || len(s.Warnings) > 0 {
			t.Fatalf("%s: %v", in.Title, err)
		}
		for i, p := range s.Parts {
			got, warnings, err := p.Tab(nil)
			if err != nil || len(warnings) > 0 {
				t.Errorf("%s, part %d: %v %v", in.Title, i+1, err, warnings)
				continue
			}
			if got.Rig.Name != tabs[i].Rig.Name || got.Transposed != tabs[i].Transposed || got.Tune.Swing != tabs[i].Tune.Swing || !slices.Equal(got.Tune.Voices, tabs[i].Tune.Voices) {
				t.Errorf("%s, part %d: on %s, moved by %d, voices %v", in.Title, i+1, got.Rig.Name, got.Transposed, got.Tune.Voices)
			}
			if d := cmp.Diff(tabs[i].Strokes, got.Strokes); d != "" {
				t.Errorf("%s, part %d: (-written +read)\n%s", in.Title, i+1, d[:min(len(d), 1500)])
			}
			if !slices.Equal(got.Added, tabs[i].Added) {
				t.Errorf("%s, part %d: added %v, want %v", in.Title, i+1, got.Added, tabs[i].Added)
			}
		}
	}
	validate(t, dir)
	out, err := exec.Command("node", append([]string{filepath.Join(Root(t), "internal", "refcheck", "node", "musicxml.cjs")}, files...)...).Output()
	if err != nil {
		t.Fatalf("node musicxml.cjs: %v", err)
	}
	notes := 0
	for k, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		var s theirScore
		if err := json.Unmarshal([]byte(line), &s); err != nil || s.Error != "" || len(s.Parts) != 2 {
			t.Fatalf("%s: %v %s, %d parts", files[k], err, s.Error, len(s.Parts))
		}
		for i, part := range s.Parts {
			var theirs []string
			for _, n := range part {
				if n[3] == true {
					theirs = append(theirs, fmt.Sprintf("grace=%v", n[2]))
				} else {
					theirs = append(theirs, fmt.Sprintf("%v+%v=%v", n[0], n[1], n[2]))
				}
			}
			slices.Sort(theirs)
			notes += len(theirs)
			if d := firstDifference(theirs, writtenNotes(scores[k][i].Tune)); d != "" {
				t.Errorf("%s, part %d: %s", scores[k][i].Tune.Title, i+1, d)
			}
		}
	}
	t.Logf("%d scores, %d notes", len(files), notes)
	if len(files) < 8 || notes < 2000 {
		t.Errorf("%d scores and %d notes are too few", len(files), notes)
	}
}
