package drill

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/grip"
	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// onString places a tune of our own on one string of lap6-c6, whose second is C4 and whose sixth C3.
func onString(t *testing.T, str int, src string) *tab.Tab {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:Slip\nL:1/4\nQ:1/4=80\n"+src+"\n"), "slip.abc")
	if err != nil {
		t.Fatal(err)
	}
	r := rigtest.Builtin(t, "lap6-c6")
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{
		Level: grip.Seasoned, Octave: arrange.Octaves(0), Touch: arrange.PlainTouch, Pins: []arrange.Pin{{FromBarNumber: 1, ToBarNumber: 9, String: str}},
	})
	if err != nil {
		t.Fatal(err)
	}
	return res.Tab
}

// played writes the strokes of an exercise: string, fret, and length in eighths; a rest before a stroke is a dot
// for each eighth.
func played(d *Drill) string {
	var out []string
	at := tune.Ticks(0)
	for i := range d.Tab.Strokes {
		st := &d.Tab.Strokes[i]
		var from tune.Ticks
		for b := range st.BarIndex {
			from += d.Tab.Tune.Bars[b].Len
		}
		s := strings.Repeat(".", int((from+st.At-at)/eighth))
		at = from + st.At + st.Len
		for k, p := range st.Plucks {
			if k > 0 {
				s += "+"
			}
			s += fmt.Sprintf("%d/%g", p.String, p.Fret)
			if p.Attack == tab.Tied {
				s += "~"
			}
		}
		out = append(out, fmt.Sprintf("%s:%d", s, st.Len/eighth))
	}
	return strings.Join(out, " ")
}

// An exercise for a place of a melody on one string, worked out by hand: the C4 string has
// D at 2, E at 4, F at 5, G at 7, A at 9, c at 12 and d at 14.
func TestOnOneString(t *testing.T) {
	for _, c := range []struct {
		what  string
		kind  SpotKind
		abc   string
		bars  []int
		str   int
		title string
		want  string
	}{
		{"octave, fifth, fourth and third before the rest", Opens, "M:4/4\nK:C\nDEFG|Acd2|]", nil, 2, "Against the open string, from bars 1 and 2",
			"2/0:2 2/12:2 2/0:2 2/12:2 2/0:2 2/7:2 2/0:2 2/7:2 2/0:2 2/5:2 2/0:2 2/5:2 2/0:2 2/4:2 2/0:2 2/4:2"},
		{"the string that has most of it", Opens, "M:4/4\nK:C\nCGCD|]", nil, 0, "Against the open string, from bar 1",
			"2/0:2 2/7:2 2/0:2 2/7:2 2/0:2 2/2:2 2/0:2 2/2:2"},
		{"to another fret and back, each way once", Moves, "M:4/4\nK:C\nDDED|EDE2|]", nil, 0, "The moves of bar 1",
			strings.Repeat("2/2:2 2/4:2 ", 4) + strings.TrimSpace(strings.Repeat("2/4:2 2/2:2 ", 4))},
		{"no more than four", Moves, "M:4/4\nK:C\nDEFG|AGFE|]", nil, 0, "The moves of bars 1 and 2",
			strings.Repeat("2/2:2 2/4:2 ", 4) + strings.Repeat("2/4:2 2/5:2 ", 4) + strings.Repeat("2/5:2 2/7:2 ", 4) + strings.TrimSpace(strings.Repeat("2/7:2 2/9:2 ", 4))},
		{"what is stopped, not the open string", Holds, "M:4/4\nK:C\nCDCE|]", nil, 0, "The notes of bar 1, held", "2/2:8 2/2:8 2/4:8 2/4:8"},
		{"one bar four times", Again, "M:4/4\nK:C\nDEFG|A4|]", []int{1}, 0, "Bar 1 over and over",
			strings.TrimSpace(strings.Repeat("2/2:2 2/4:2 2/5:2 2/7:2 ", 4))},
		{"two bars twice each", Again, "M:2/4\nK:C\nDE|FG|A2|]", []int{1, 2}, 0, "Bars 1 and 2 over and over",
			"2/2:2 2/4:2 2/2:2 2/4:2 2/5:2 2/7:2 2/5:2 2/7:2"},
		{"the first four of five bars, twice each", Again, "M:2/4\nK:C\nD2|E2|F2|G2|A2|]", nil, 0, "Bars 1, 2, 3 and 4 over and over",
			"2/2:4 2/2:4 2/4:4 2/4:4 2/5:4 2/5:4 2/7:4 2/7:4"},
		{"what comes after a rest keeps its place", Again, "M:2/4\nK:C\nzD|E2|]", []int{1}, 0, "Bar 1 over and over", strings.TrimSpace(strings.Repeat("..2/2:2 ", 4))},
		{"a pickup stands at the end of its bar", Again, "M:4/4\nK:C\nD|EFGA|]", nil, 0, "Bars 0 and 1 over and over",
			"......2/2:2 ......2/2:2 2/4:2 2/5:2 2/7:2 2/9:2 2/4:2 2/5:2 2/7:2 2/9:2"},
		{"bars of another meter are left out", Again, "M:2/4\nK:C\nDE|\nM:3/4\nFGA|\nM:2/4\nG2|]", nil, 0, "Bars 1 and 3 over and over", "2/2:2 2/4:2 2/2:2 2/4:2 2/7:4 2/7:4"},
		{"what is held over the line is plucked, within the bar it rings", Again, "M:4/4\nK:C\nD4-|D2 E-E|]", []int{2}, 0, "Bar 2 over and over",
			strings.TrimSpace(strings.Repeat("2/2:4 2/4:4 ", 4))},
		{"stopped notes, eight at least", Blocks, "M:4/4\nK:C\nDEFG|A4|]", []int{1}, 0, "The notes of bar 1, stopped", "2/2:1 .2/4:1 .2/5:1 .2/7:1 .2/2:1 .2/4:1 .2/5:1 .2/7:1"},
		{"and each once where there are more", Blocks, "M:5/4\nK:C\nDEFGA|cAGFE|]", nil, 0, "The notes of bars 1 and 2, stopped",
			"2/2:1 .2/4:1 .2/5:1 .2/7:1 .2/9:1 .2/12:1 .2/9:1 .2/7:1 .2/5:1 .2/4:1"},
	} {
		tb := onString(t, 2, c.abc)
		d, err := At(context.Background(), tb, Spot{Kind: c.kind, Strokes: in(tb, c.bars...), String: c.str})
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if got := played(d); got != c.want || d.Tab.Tune.Title != c.title {
			t.Errorf("%s: %q is %s,\nwant %q: %s", c.what, d.Tab.Tune.Title, got, c.title, c.want)
		}
	}
}

// Without a string named it is the one that has most of the place, be it the last.
func TestOpensOnTheLastString(t *testing.T) {
	tb := onString(t, 6, "M:4/4\nK:C\nC,G,C,D,|]")
	d, err := At(context.Background(), tb, Spot{Kind: Opens, Strokes: in(tb)})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := played(d), "6/0:2 6/7:2 6/0:2 6/7:2 6/0:2 6/2:2 6/0:2 6/2:2"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

// Blocked notes are at the fret of the tonic on the string that the tuning is named for: G3, the third, of
// open G; D4, the first, of open D.
func TestBlockFret(t *testing.T) {
	for _, c := range []struct {
		rig, in string
		fret    float64
	}{{"reso-open-g", "A", 2}, {"reso-open-g", "G", 12}, {"reso-open-g", "C", 5}, {"reso-open-g", "F#", 11}, {"hollow-neck-open-d", "G", 5}, {"hollow-neck-open-d", "D", 12}, {"hollow-neck-open-d", "C", 10}} {
		d := made(t, "block", c.rig, c.in, grip.Steady)
		var strs []int
		for _, st := range d.Tab.Strokes {
			strs = append(strs, st.Plucks[0].String)
			if st.Plucks[0].Fret != c.fret {
				t.Errorf("%s in %s: fret %g, want %g", c.rig, c.in, st.Plucks[0].Fret, c.fret)
				break
			}
		}
		if want := []int{1, 2, 3, 2, 3, 2, 1, 2, 1, 3, 2, 3, 1, 2, 3, 1}; !slices.Equal(strs, want) {
			t.Errorf("%s in %s: strings %v, want %v", c.rig, c.in, strs, want)
		}
	}
}

// A scale begins on the lowest tonic from the open fourth string of six on, which is D3 here.
func TestScaleBegins(t *testing.T) {
	for name, want := range map[string]int{"D": 50, "E": 52, "G": 55, "A": 57} {
		if got := sounds(made(t, "scale", "reso-open-g", name, grip.Steady))[0][0]; got != want {
			t.Errorf("in %s it begins on key %d, want %d", name, got, want)
		}
	}
}

// A bender is worked at the lowest fret from the third on at which both notes are of the key.
func TestBenderFret(t *testing.T) {
	for _, name := range []string{"C", "G", "D", "A", "E", "F", "Bb", "A minor"} {
		k := key(t, name)
		has := func(n int) bool {
			return slices.ContainsFunc(k.Scale().On(k.Tonic), func(c pitch.Class) bool { return c.Semitone() == n%12 })
		}
		for _, r := range rig.Builtins() {
			for _, b := range r.Benders {
				move := b.Moves[0]
				want := 3
				for _, f := range []int{2, 1, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3} {
					if open := r.OpenKey(move.String, 0) + f; has(open) && has(open+move.Semitones) {
						want = f
					}
				}
				if got := bends(r, k, move); got != want {
					t.Errorf("%s of %s in %s: fret %d, want %d", b.Mark, r.Name, name, got, want)
				}
			}
		}
	}
}

// Unisons are of every pair of neighbours that has one within twelve frets, each twice.
func TestUnisonPairs(t *testing.T) {
	for _, r := range rig.Builtins() {
		var want []string
		for s := 1; s < len(r.Strings); s++ {
			if f := r.OpenKey(s, 0) - r.OpenKey(s+1, 0); f >= 1 && f <= 12 {
				for range 2 {
					want = append(want, fmt.Sprintf("%d/0:4 %d/%d:4", s, s+1, f))
				}
			}
		}
		if got := played(made(t, "unison", r.Name, "G", grip.Steady)); got != strings.Join(want, " ") {
			t.Errorf("%s: %s, want %s", r.Name, got, want)
		}
	}
}
