package frame

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"lapwright/arrange"
	"lapwright/notation/abc/abctest"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// scales are the steps of the modes that the phrases are in, with the raised seventh of
// minor (common knowledge).
var scales = map[pitch.Mode][]int{
	pitch.Major: {0, 2, 4, 5, 7, 9, 11}, pitch.Mixolydian: {0, 2, 4, 5, 7, 9, 10},
	pitch.Minor: {0, 2, 3, 5, 7, 8, 10, 11}, pitch.Dorian: {0, 2, 3, 5, 7, 9, 10},
}

// bluesNotes are the notes that are in no scale and belong to a manner: they may pass
// where they are short.
var bluesNotes = map[string]string{"blues-close": "b3", "blues-turn": "b7"}

// Every phrase has full bars, is in its keys or in the chord over it, and an ending
// ends on the tonic, over its chord.
func TestPhrases(t *testing.T) {
	for i := range phrases {
		p := &phrases[i]
		items, _, err := p.read()
		if err != nil {
			t.Error(err)
			continue
		}
		tonic := pitch.Note(pitch.G, 0, 4)
		chord := pitch.Chord{}
		if items[0].chord == "" {
			t.Errorf("%s %s begins without a chord", p.Kind, p.Name)
		}
		for k := range items {
			x := &items[k]
			if x.chord != "" {
				if chord, err = pitch.ParseDegree(x.chord, tonic.Class); err != nil {
					t.Fatalf("%s: %v", p.Name, err)
				}
			}
			if x.degree == "" {
				continue
			}
			n, err := x.name(tonic)
			if err != nil {
				t.Fatalf("%s: %v", p.Name, err)
			}
			step := (n.Class.Semitone() - tonic.Semitone() + 12) % 12
			inChord := slices.ContainsFunc(chord.Tones, func(tone pitch.Tone) bool { return chord.Class(tone).Semitone() == n.Class.Semitone() })
			for _, m := range p.Modes {
				short := bluesNotes[p.Name] == x.degree && x.length <= tune.Whole/8
				if !slices.Contains(scales[m], step) && !inChord && !short {
					t.Errorf("%s %s: %s at %s is neither in %s nor in %s", p.Kind, p.Name, x.degree, x.at, m, chord)
				}
			}
		}
		if p.Kind != Ending {
			continue
		}
		last := items[len(items)-1]
		if n, err := last.name(tonic); err != nil || n.Class != tonic.Class || chord.Root != tonic.Class {
			t.Errorf("ending %s ends on %s over %s", p.Name, last.degree, chord)
		}
	}
	for k, least := range map[Kind]int{Ending: 12, Intro: 8, Turnaround: 8} {
		if n := len(All(k)); n < least {
			t.Errorf("%d phrases are an %s", n, k)
		}
		for _, src := range []string{"M:4/4\nK:G", "M:4/4\nK:Em", "M:3/4\nK:G", "M:3/4\nK:Em", "M:2/4\nK:D", "M:2/2\nK:Am"} {
			if len(Fitting(k, abctest.Tune(t, "X:1\n"+src+"\nG4|"))) == 0 {
				t.Errorf("no %s fits %q", k, src)
			}
		}
	}
}

// Every phrase is played on every built-in rig without a compromise.
func TestPlayable(t *testing.T) {
	n := 0
	for i := range phrases {
		p := &phrases[i]
		key := "G"
		if p.Modes[0] != pitch.Major {
			key = "E " + p.Modes[0].String()
		}
		in := abctest.Tune(t, fmt.Sprintf("X:1\nM:%d/%d\nL:1/8\nQ:1/4=100\nK:%s\nG4|", p.Beats, p.Unit, key))
		for _, r := range rig.Builtins() {
			var s Set
			s[p.Kind] = p
			f, err := Put(in, s)
			if err != nil {
				t.Fatal(err)
			}
			res, err := arrange.Arrange(context.Background(), f.Tune, r, arrange.Options{})
			if err != nil {
				t.Errorf("%s %s on %s: %v", p.Kind, p.Name, r.Name, err)
				continue
			}
			if c := res.Tab.Compromises; len(c) > 0 {
				t.Errorf("%s %s on %s: %s is written, %s sounds", p.Kind, p.Name, r.Name, c[0].Wanted, c[0].Got)
			}
			if l := res.Tab.Check(); len(l) > 0 {
				t.Errorf("%s %s on %s: %v", p.Kind, p.Name, r.Name, l)
			}
			n++
		}
	}
	if n < 28*8 {
		t.Errorf("%d phrases on rigs tried", n)
	}
}

// docs/frames.md prints the list.
func TestDocument(t *testing.T) {
	b, err := os.ReadFile("../../docs/frames.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []Kind{Ending, Intro, Turnaround} {
		var want strings.Builder
		want.WriteString("| name | what it is | made for | modes | meter | bars |\n|---|---|---|---|---|---|\n")
		for _, p := range All(k) {
			suits := strings.Join(p.Suits, ", ")
			if suits == "" {
				suits = "any"
			}
			var modes []string
			for _, m := range p.Modes {
				modes = append(modes, m.String())
			}
			fmt.Fprintf(&want, "| %s | %s | %s | %s | %d/%d | `%s` |\n", p.Name, p.Words, suits, strings.Join(modes, ", "), p.Beats, p.Unit, strings.ReplaceAll(p.Text, "|", "/"))
		}
		if !strings.Contains(string(b), want.String()) {
			t.Errorf("docs/frames.md does not print this:\n%s", want.String())
		}
	}
}

func set(t testing.TB, intro, turnaround, ending string) Set {
	t.Helper()
	var s Set
	for k, name := range []string{intro, turnaround, ending} {
		if name == "" {
			continue
		}
		p, err := Find(Kind(k), name)
		if err != nil {
			t.Fatal(err)
		}
		s[k] = p
	}
	return s
}

// order says which bars sound, by printed number.
func order(t *testing.T, in *tune.Tune) string {
	t.Helper()
	passes, faults := tune.Unfold(in)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	var out []string
	for _, p := range passes {
		out = append(out, fmt.Sprint(in.Bars[p.BarIndex].Number))
	}
	return strings.Join(out, " ")
}

// A framed tune goes as players go: the intro, the tune with its repeats, the turnaround, the
// tune straight through, the ending. Pickups and short last bars keep the time.
func TestWay(t *testing.T) {
	for _, c := range []struct{ src, intro, turnaround, ending, order string }{
		{"M:4/4\nL:1/4\nK:G\nGABd|G4:|d2B2|G4|]", "", "", "walk-down", "1 2 1 2 3 4 5 6"},
		{"M:4/4\nL:1/4\nK:G\nGABd|G4:|d2B2|G4|]", "lead-in", "", "", "1 2 3 4 3 4 5 6"},
		{"M:4/4\nL:1/4\nK:G\nGABd|G4:|d2B2|G4|]", "lead-in", "one-four-one-five", "walk-down", "1 2 3 4 3 4 5 6 7 8 3 4 5 6 9 10"},
		{"M:4/4\nL:1/4\nK:G\nGABd|G4|]", "", "one-four-one-five", "", "1 2 3 4 1 2"},
		// A quarter of pickup: the bar before it is a quarter shorter, and a quarter of
		// rest fills the tune's last bar.
		{"M:4/4\nL:1/4\nK:G\nD|GABd|G3|]", "lead-in", "one-four-one-five", "walk-down", "1 2 2 3 4 4 5 6 2 3 4 7 8 9"},
		{"M:3/4\nL:1/4\nK:Em\nEGB|E3|]", "minor-waltz-in", "", "minor-waltz", "1 2 3 4 5 6 7"},
		{"M:2/4\nL:1/4\nK:G\nGA|G2|]", "", "", "walk-down", "1 2 3 4 5 6"},
	} {
		in := abctest.Tune(t, "X:1\n"+c.src+"\n")
		f, err := Put(in, set(t, c.intro, c.turnaround, c.ending))
		if err != nil {
			t.Errorf("%q: %v", c.src, err)
			continue
		}
		if got := order(t, f.Tune); got != c.order {
			t.Errorf("%q: bars sound in the order %s, want %s", c.src, got, c.order)
		}
		full := in.Bars[0].Meter.Len()
		var run tune.Ticks
		passes, _ := tune.Unfold(f.Tune)
		for i, p := range passes {
			if run == full {
				run = 0
			}
			if run += f.Tune.Bars[p.BarIndex].Len; run > full {
				t.Errorf("%q: the bar is too long at pass %d", c.src, i)
			}
			// What is left of a bar is written at its length, and doesn't look like a whole one.
			b := &f.Tune.Bars[p.BarIndex]
			if e := b.Lines[0][0]; e.Kind == tune.Rest && b.Len < full && (e.Value.BarRest || e.Value.Len() != b.Len) {
				t.Errorf("%q: the rest of %s at pass %d is written as %+v", c.src, b.Len, i, e.Value)
			}
		}
	}
}

// Whatever is framed, the tune's own bars are there as they were, note for note, and
// what sounds of the tab is the framed tune.
func TestOwnBarsStay(t *testing.T) {
	tried := 0
	rapid.Check(t, func(r *rapid.T) {
		in := tunetest.With(tunetest.Options{MaxBars: 5, MaxVoices: 2}).Draw(r, "tune")
		key, _ := pitch.ParseKey(rapid.SampledFrom([]string{"G", "E minor"}).Draw(r, "key"))
		in.Bars[0].Key, in.Bars[len(in.Bars)-1].Key = key, key
		in.PartOrder = ""
		for i := range in.Bars {
			in.Bars[i].Signs = nil
		}
		if len(in.Check()) > 0 {
			return
		}
		var s Set
		for _, k := range Kinds() {
			if fit := Fitting(k, in); len(fit) > 0 && rapid.Bool().Draw(r, k.String()) {
				s[k] = rapid.SampledFrom(fit).Draw(r, "phrase")
			}
		}
		f, err := Put(in, s)
		if err != nil || s == (Set{}) {
			return
		}
		tried++
		own := slices.Clone(f.Tune.Bars[f.Own : f.Own+len(in.Bars)])
		for i := range own {
			was := &in.Bars[i]
			if own[i].Number != was.Number+f.Shift {
				r.Fatalf("bar %d is numbered %d", was.Number, own[i].Number)
			}
			own[i].Number, own[i].Signs = was.Number, was.Signs
			own[i].Left, own[i].Right.Style = was.Left, was.Right.Style
			own[i].Tempos = was.Tempos
		}
		if d := cmp.Diff(in.Bars, own, cmpopts.EquateEmpty()); d != "" {
			r.Fatalf("the tune's own bars changed (-was +is):\n%s", d)
		}
	})
	if tried < 10 {
		t.Errorf("%d tunes framed", tried)
	}
}

func TestSoundsAsFramed(t *testing.T) {
	in := abctest.Tune(t, "X:1\nR:waltz\nM:3/4\nL:1/4\nQ:1/4=120\nK:D\nA|\"D\"FAd|\"A7\"c2A|\"D\"d2|]\n")
	r, _ := rig.Builtin("lap6-c6")
	s, err := Choose(context.Background(), in, r, arrange.Options{}, Names{Any, Any, Any})
	if err != nil {
		t.Fatal(err)
	}
	if s[Intro].Name != "waltz-line" || s[Turnaround].Name != "waltz-round" || !s[Ending].suits("waltz") {
		t.Errorf("for a waltz: %s, %s, %s", s[Intro].Name, s[Turnaround].Name, s[Ending].Name)
	}
	f, err := Put(in, s)
	if err != nil {
		t.Fatal(err)
	}
	two := 2
	d := pitch.Class{Letter: pitch.D}
	res, err := arrange.Arrange(context.Background(), f.Tune, r, arrange.Options{Key: &d, Pins: f.Pins([]arrange.Pin{{FromBarNumber: 1, ToBarNumber: 2, String: two}})})
	if err != nil {
		t.Fatal(err)
	}
	for _, st := range res.Tab.Strokes {
		if n := res.Tab.Tune.Bars[st.BarIndex].Number; (n == 1+f.Shift || n == 2+f.Shift) && st.Plucks[0].String != two {
			t.Errorf("the pin on bars 1 and 2 does not hold in bar %d as framed", n)
		}
	}
	moved := tune.Transpose(f.Tune, pitch.Interval{Steps: 7 * (res.Transposed / 12), Semitones: res.Transposed})
	if res.Transposed%12 != 0 {
		t.Fatalf("moved by %d", res.Transposed)
	}
	want, got := tune.Sound(moved), tune.Sound(tab.Sounding(res.Tab))
	if len(want) != len(got) {
		t.Fatalf("%d notes sound, want %d", len(got), len(want))
	}
	for i := range want {
		if want[i].Name.Key() != got[i].Name.Key() || want[i].At != got[i].At {
			t.Errorf("note %d: %v at %s, want %v at %s", i, got[i].Name, got[i].At, want[i].Name, want[i].At)
		}
	}
}

// What can't be framed says so.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ src, ending, want string }{
		{"M:4/4\nL:1/4\nK:G\nGABd|!fine!G4|d4!D.C.!|]", "walk-down", "signs of its own"},
		{"M:4/4\nL:1/4\nP:AAB\nK:G\nP:A\nGABd|\nP:B\nG4|]", "walk-down", "its own order of parts"},
		{"M:4/4\nL:1/4\nK:Em\nEGBe|]", "walk-down", `the ending "walk-down" does not fit a tune in E minor and 4/4`},
		{"M:3/4\nL:1/4\nK:G\nGAB|]", "walk-down", "does not fit a tune in G major and 3/4"},
	} {
		if _, err := Put(abctest.Tune(t, "X:1\n"+c.src+"\n"), set(t, "", "", c.ending)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.src, err, c.want)
		}
	}
	r, _ := rig.Builtin("lap6-c6")
	if _, err := Choose(context.Background(), abctest.Tune(t, "X:1\nM:5/4\nK:G\nG4|"), r, arrange.Options{}, Names{Ending: Any}); err == nil || !strings.Contains(err.Error(), "no ending fits a tune in G major and 5/4") {
		t.Errorf("in 5/4: %v", err)
	}
	if _, err := Choose(context.Background(), abctest.Tune(t, "X:1\nM:4/4\nK:G\nG4|"), r, arrange.Options{}, Names{Ending: "coda"}); err == nil || !strings.Contains(err.Error(), `unknown ending "coda": it is any or one of walk-down`) {
		t.Errorf("a name that is none: %v", err)
	}
}
