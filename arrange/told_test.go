package arrange

import (
	"math"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// What a moment costs is what its reasons cost together, the dearest first.
func TestReasonsAddUp(t *testing.T) {
	for _, rigName := range []string{"reso-open-g", "lap6-c6"} {
		res := must(t, lane(t), rigName, Options{})
		reasons := 0
		for i, e := range res.Events {
			sum, before := 0.0, math.Inf(1)
			for _, r := range e.Terms {
				if sum += r.Cost; r.Cost > before {
					t.Errorf("%s, moment %d: %q comes too late", rigName, i, r.Words)
				}
				before = r.Cost
				reasons++
			}
			if math.Abs(sum-e.Cost) > 1e-9 {
				t.Errorf("%s, moment %d costs %g, and its reasons %g", rigName, i, e.Cost, sum)
			}
		}
		if reasons == 0 {
			t.Errorf("%s: nothing costs anything", rigName)
		}
	}
}

// Of eight quavers on a chord's notes the four on the beats get a note below, and four stay single.
func TestHarmonyIsCountedNoteByNote(t *testing.T) {
	tn := tunetest.Score(t, "C", "G4 E4 G4 E4 G4 E4 G4 E4")
	c, err := pitch.ParseChord("C")
	if err != nil {
		t.Fatal(err)
	}
	tn.Bars[0].Chords = []tune.ChordAt{{Text: "C", Chord: &c}}
	if h := must(t, tn, "lap6-c6", Options{Harmony: Thirds}).Harmony; h.Notes != 8 || h.Under != 4 || h.Single != 4 {
		t.Errorf("%+v", h)
	}
}

// A pin on nothing says why: its bar is none of the tune's, or no note begins at its place.
func TestPinsOnNothing(t *testing.T) {
	between := tune.Whole / 16
	for want, p := range map[string]Pin{
		"bars run from 1 to 1": {FromBarNumber: 9, String: 4}, "the tune has no notes where": {FromBarNumber: 1, At: &between, String: 4},
	} {
		if _, err := Arrange(t.Context(), tunetest.Score(t, "G", "G4:4 D4:4"), rigtest.Builtin(t, "lap6-c6"), Options{Pins: []Pin{p}}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// A chop is struck on the string whose open pitch it names, the lowest as well, or on the nearest that nothing else is played on; where all
// are taken it is lost.
func TestWhereChopsAreStruck(t *testing.T) {
	r := rigtest.OpenD() // D A D F# A D, string 1 the highest
	chop := func(n pitch.Name, taken ...int) (int, []loss) {
		m := &moment{chops: []tune.NoteAt{{Name: n}}}
		st := &tab.Stroke{}
		for _, s := range taken {
			st.Plucks = append(st.Plucks, tab.Pluck{String: s})
		}
		m.chop(r, st, nil)
		for _, p := range st.Plucks {
			if p.Attack == tab.Chopped {
				return p.String, m.lost
			}
		}
		return 0, m.lost
	}
	for str := 1; str <= rig.MaxStrings && str <= len(r.Strings); str++ {
		if got, lost := chop(r.Strings[str-1].Open); got != str || len(lost) > 0 {
			t.Errorf("a chop named after string %d is struck on %d", str, got)
		}
	}
	if got, _ := chop(r.Strings[5].Open, 6); got != 5 {
		t.Errorf("beside a note on string 6 a chop of string 6 is struck on %d, want 5", got)
	}
	if got, _ := chop(r.Strings[0].Open, 1); got != 2 {
		t.Errorf("beside a note on string 1 a chop of string 1 is struck on %d, want 2", got)
	}
	if got, lost := chop(r.Strings[0].Open, 1, 2, 3, 4, 5, 6); got != 0 || len(lost) != 1 || lost[0].kind != tab.NotPlayed {
		t.Errorf("beside six notes a chop is struck on %d; lost: %+v", got, lost)
	}
}

// How the steel lies is said of a grip when it leans, or when it touches only some of the strings that are played.
func TestLeaningIsSaid(t *testing.T) {
	n := &neck{Neck: grip.NewNeck(rigtest.OpenD(), grip.LimitsOf(grip.Steady), grip.Region{})}
	for _, c := range []struct {
		kind    steel.Kind
		touches uint16
		said    bool
	}{
		{steel.Straight, 3, false}, {steel.Forward, 3, true}, {steel.Reverse, 3, true}, {steel.Nose, 1, true}, {steel.Lifted, 0, false},
	} {
		g := &grip.Grip{Place: &grip.Place{Placement: steel.Placement{Kind: c.kind}, Touches: c.touches}, Used: 3}
		g.Strings[0], g.Strings[1], g.Frets[0], g.Frets[1] = 1, 2, 5, 5
		words := n.words(g, &moment{Due: grip.Due{Wants: make([]grip.Note, 2)}})
		if strings.Contains(words, c.kind.String()) != c.said {
			t.Errorf("%v, touching %b: %q", c.kind, c.touches, words)
		}
	}
}
