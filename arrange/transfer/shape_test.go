package transfer

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune/tunetest"
)

// Of any two rigs the runs are all that have the same intervals over three strings or more
// and could be no longer, found here by trying every one; the longest come first, and of
// equal ones those that move the pitch least.
func TestRunsByTrial(t *testing.T) {
	for _, a := range rig.Builtins() {
		for _, b := range rig.Builtins() {
			var want []SharedRun
			up := func(s, to int) (int, bool) {
				if s < 1 || to < 1 || s > len(a.Strings) || to > len(b.Strings) {
					return 0, false
				}
				return b.OpenKey(to, 0) - a.OpenKey(s, 0), true
			}
			for s := range len(a.Strings) + 1 {
				for to := range len(b.Strings) + 1 {
					move, ok := up(s, to)
					if before, is := up(s-1, to-1); !ok || is && before == move {
						continue // no string, or not the first of a run
					}
					n := 1
					for next, is := up(s+n, to+n); is && next == move; next, is = up(s+n, to+n) {
						n++
					}
					if n >= 3 {
						want = append(want, SharedRun{s, to, n, move})
					}
				}
			}
			got := SharedRuns(a, b)
			for i := range got {
				if !slices.Contains(want, got[i]) || slices.Contains(got[:i], got[i]) {
					t.Errorf("%s to %s: %+v is no run", a.Name, b.Name, got[i])
				}
				if i > 0 && (got[i].Strings > got[i-1].Strings || got[i].Strings == got[i-1].Strings && pitch.Abs(got[i].Semitones) < pitch.Abs(got[i-1].Semitones)) {
					t.Errorf("%s to %s: %+v comes after %+v", a.Name, b.Name, got[i], got[i-1])
				}
			}
			if len(got) != len(want) {
				t.Errorf("%s to %s: %d runs, want %+v", a.Name, b.Name, len(got), want)
			}
		}
	}
}

// What a player is told of a run.
func TestRunInWords(t *testing.T) {
	for run, want := range map[SharedRun]string{
		{1, 2, 4, -5}: "strings 1–4 here are strings 2–5 there, same frets, sounding 5 semitones lower",
		{2, 1, 4, 1}:  "strings 2–5 here are strings 1–4 there, same frets, sounding 1 semitone higher",
		{3, 3, 3, 0}:  "strings 3–5 here are strings 3–5 there, same frets, at the same pitch",
	} {
		if got := run.Words(); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// moves says by how many strings and frets each note of a tab moved; "" where not all by the same.
func moves(from, to *tab.Tab) string {
	out := ""
	for i := range from.Strokes {
		for k, p := range from.Strokes[i].Plucks {
			q := to.Strokes[i].Plucks[k]
			s := fmt.Sprintf("%d strings, %g frets", q.String-p.String, q.Fret-p.Fret)
			if out != "" && s != out {
				return ""
			}
			out = s
		}
	}
	return out
}

// A stopped shape is laid at other frets where the same strings sound higher or lower, so
// that every pitch is kept: between open G and open D five frets apart (a trade fact, common
// practice). What is asked for decides which way.
func TestStoppedShapesMove(t *testing.T) {
	in := tunetest.Score(t, "G", "E4 D4 B3 C4 A3 B3 C4:2")
	g := must(t, in, "reso-open-g", arrange.Options{Closed: true, Pins: []arrange.Pin{{FromBarNumber: 1, High: 5}}}).Tab
	moved, err := Tab(t.Context(), g, rigtest.Builtin(t, "tricone-open-d"), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := moved.Result.Tab
	if got := moves(g, d); got != "1 strings, 5 frets" || moved.Frets != 5 || !moved.Whole || moved.Kept != moved.Notes || moved.Notes != 7 {
		t.Errorf("to open D: %s, frets %d, kept %d of %d", got, moved.Frets, moved.Kept, moved.Notes)
	}
	if want := []string{"the shape is moved whole: strings 1–4 here are strings 2–5 there, 5 frets higher, at the same pitch", "every pitch is kept"}; !slices.Equal(moved.Words, want) {
		t.Errorf("%q, want %q", moved.Words, want)
	}
	back, err := Tab(t.Context(), d, rigtest.Builtin(t, "reso-open-g"), arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := moves(d, back.Result.Tab); got != "-1 strings, -5 frets" || back.Frets != -5 {
		t.Errorf("back to open G: %s, frets %d", got, back.Frets)
	}
	if want := "the shape is moved whole: strings 2–5 here are strings 1–4 there, 5 frets lower, at the same pitch"; back.Words[0] != want {
		t.Errorf("%q, want %q", back.Words[0], want)
	}
	own, low := in.Bars[0].Key.Tonic, pitch.Class{Letter: pitch.D}
	for _, c := range []struct {
		what  string
		o     arrange.Options
		whole bool
		frets int
		moved int
	}{
		{"the tab's own key", arrange.Options{Key: &own}, true, 5, 0},
		{"the key of the same frets", arrange.Options{Key: &low}, true, 0, -5},
		{"the same octave", arrange.Options{Octave: arrange.Octaves(0)}, true, 5, 0},
		{"no capo", arrange.Options{Capo: new(0)}, true, 5, 0},
		{"an octave higher", arrange.Options{Octave: arrange.Octaves(1)}, false, 0, 12},
	} {
		moved, err := Tab(t.Context(), g, rigtest.Builtin(t, "tricone-open-d"), c.o)
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		if moved.Whole != c.whole || moved.Frets != c.frets || moved.Result.Transposed != c.moved {
			t.Errorf("%s: whole %v, frets %d, moved by %d; want %v, %d, %d", c.what, moved.Whole, moved.Frets, moved.Result.Transposed, c.whole, c.frets, c.moved)
		}
	}
	moved, err = Tab(t.Context(), d, rigtest.Builtin(t, "reso-open-g"), arrange.Options{Capo: new(2)})
	if err != nil || moved.Whole || moved.Result.Tab.Rig.Capo.At != 2 {
		t.Errorf("with a capo at 2: %v, %+v", err, moved)
	}
}

// Where no run holds the whole shape, the new tab leans on the one that holds most of its
// notes, and says how many kept their place.
func TestMostOfTheShape(t *testing.T) {
	for _, c := range []struct{ from, to, music string }{
		{"reso-open-g", "tricone-open-d", "G2 B3 D4 E4 B3 A3 G3 D4"},
		{"tricone-open-d", "reso-open-g", "D2 F#3 A3 B3 F#3 E3 D3 A3"},
		{"lap8-c13", "lap6-c6", "Bb2 C3 E3 G3 A3 C4 E4 G4"},
		{"lap6-c6", "lap8-a6", "C3 E3 G3 A3 C4 E4 G4 E4"},
		{"pedal10-e9", "lap6-c6", "E3 G#3 B3 E4 F#4 G#4 B3 E4"},
	} {
		from := must(t, tunetest.Score(t, "C", c.music), c.from, arrange.Options{}).Tab
		moved, err := Tab(t.Context(), from, rigtest.Builtin(t, c.to), arrange.Options{})
		if err != nil {
			t.Fatal(err)
		}
		src := newSource(from.Plain())
		for _, run := range moved.Shared {
			inside := true
			for i := range from.Strokes {
				for _, p := range from.Strokes[i].Plucks {
					inside = inside && slices.Contains([]int{run.From, run.From + 1, run.From + 2, run.From + 3, run.From + 4, run.From + 5, run.From + 6, run.From + 7}[:run.Strings], p.String)
				}
			}
			if src.within(run) != inside {
				t.Errorf("%s to %s: in the run %+v: %v, want %v", c.from, c.to, run, src.within(run), inside)
			}
		}
		by, most := moved.best(src), 0
		counts := map[int]int{}
		for _, run := range moved.Shared {
			n := 0
			for i := range from.Strokes {
				for _, p := range from.Strokes[i].Plucks {
					if at := p.String - run.From; at >= 0 && at < run.Strings {
						n++
					}
				}
			}
			counts[run.To-run.From] = max(counts[run.To-run.From], n)
			most = max(most, n)
		}
		if counts[by] != most {
			t.Errorf("%s to %s: by %d strings %d notes are held, and %d could be", c.from, c.to, by, counts[by], most)
		}
		if moved.Whole {
			if most != src.notes {
				t.Errorf("%s to %s: moved whole with %d of %d notes in a run", c.from, c.to, most, src.notes)
			}
			continue
		}
		kept := 0
		for i := range from.Strokes {
			p, q := from.Strokes[i].Plucks[0], moved.Result.Tab.Strokes[i].Plucks[0]
			if q.String == p.String+by && q.Fret == p.Fret+float64(moved.Result.Transposed) {
				kept++
			}
		}
		if moved.Kept != kept || !strings.Contains(moved.Words[0], fmt.Sprintf("%d of %d notes keep their place", kept, len(from.Strokes))) || len(moved.Words) < 2+len(moved.Shared) {
			t.Errorf("%s to %s: %d notes are kept, and %d are counted: %q", c.from, c.to, kept, moved.Kept, moved.Words)
		}
		n := len(moved.Result.Tab.Compromises)
		if said := strings.Contains(strings.Join(moved.Words, "\n"), "not as in the tab"); said != (n > 0) {
			t.Errorf("%s to %s: %d compromises and %q", c.from, c.to, n, moved.Words)
		}
	}
}

// A tab that leaves strokes of its tune out is refused; one with a steel that can't quite be
// laid goes along.
func TestFaultyTabs(t *testing.T) {
	in := tunetest.Score(t, "G", "G3 A3 B3 C4 D4 B3 G3 D3")
	to := rigtest.Builtin(t, "tricone-open-d")
	short := must(t, in, "reso-open-g", arrange.Options{}).Tab
	short.Strokes = short.Strokes[1:]
	if _, err := Tab(t.Context(), short, to, arrange.Options{}); err == nil {
		t.Error("a tab without its first stroke is taken over")
	}
	odd := must(t, in, "reso-open-g", arrange.Options{}).Tab
	for i := range odd.Strokes {
		if st := &odd.Strokes[i]; st.Placement.FirstFret > 0 {
			st.Placement.FirstFret += 9
			break
		}
	}
	if len(odd.Check()) == 0 {
		t.Fatal("the tab is not faulty")
	}
	if _, err := Tab(t.Context(), odd, to, arrange.Options{}); err != nil {
		t.Errorf("a steel that can't be laid: %v", err)
	}
}

// An outline stays one: what it leaves out goes along, in the new key.
func TestOutlineGoesAlong(t *testing.T) {
	in := tunetest.Score(t, "G", "G3 A3 B3 C4 D4 C4 B3 A3", "G3 A3 B3 A3 G3:4")
	from := must(t, in, "reso-open-g", arrange.Options{Grade: arrange.FirstGrade, Level: grip.FirstYear}).Tab
	if len(from.LeftOut) == 0 {
		t.Fatal("nothing is left out")
	}
	moved, err := Tab(t.Context(), from, rigtest.Builtin(t, "tricone-open-d"), arrange.Options{Key: &pitch.Class{Letter: pitch.D}})
	if err != nil {
		t.Fatal(err)
	}
	to := moved.Result.Tab
	if len(to.LeftOut) != len(from.LeftOut) || moved.Result.Transposed%12 != -5 {
		t.Fatalf("%d notes are left out of the one and %d of the other, moved by %d", len(from.LeftOut), len(to.LeftOut), moved.Result.Transposed)
	}
	for i, l := range from.LeftOut {
		if got := to.LeftOut[i].Name.Key() - l.Name.Key(); got != moved.Result.Transposed {
			t.Errorf("%s is left out, and there %s", l.Name, to.LeftOut[i].Name)
		}
	}
}
