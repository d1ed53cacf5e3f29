package tab_test

import (
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// outline is the tab of D4 held for a half note and G4 for another, on open G, that is
// an outline of D4 E4 F4 G4 in quarters, the last after a grace.
func outline(t *testing.T) (of *tune.Tune, tb *tab.Tab) {
	t.Helper()
	of = tunetest.Score(t, "G", "D4:2 E4:2 F4:2 G4:2")
	of.Bars[0].Lines[0][3].Graces = []tune.Grace{{Notes: []tune.Note{{Name: pitch.Note(pitch.A, 0, 4)}}, Value: tune.Value{Log2: 4}}}
	r, _ := rig.Builtin("reso-open-g")
	played := tunetest.Score(t, "G", "D4:6 G4:2")
	tb = &tab.Tab{Tune: played, Rig: r}
	for i, m := range tune.Moments(played) {
		s := tab.Stroke{BarIndex: m.BarIndex, At: m.At, Len: m.Len}
		p := tab.Pluck{Ref: m.Notes[0].Ref, String: 1, Len: m.Len}
		if i == 1 {
			s.Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}
			p.Fret = 5
		}
		s.Plucks = []tab.Pluck{p}
		tb.Strokes = append(tb.Strokes, s)
	}
	for i, text := range []string{"1.1 at 1/4 len 1/4 E4", "1.1 at 1/2 len 1/4 F4", "1.1 at 3/4 len 1/4 A4 grace 1"} {
		l, ok := tab.ParseLeftOut(text)
		if !ok || l.Text() != text {
			t.Fatalf("%q is read as %+v", text, l)
		}
		if i == 2 || of.Bars[0].Lines[0][i+1].Notes[0].Name == l.Name {
			tb.LeftOut = append(tb.LeftOut, l)
		}
	}
	return of, tb
}

// TestOutlineGivesAccount: what an outline leaves out is put back where it was, and what
// it doesn't say that it leaves out is missed.
func TestOutlineGivesAccount(t *testing.T) {
	of, tb := outline(t)
	if len(tb.LeftOut) != 3 {
		t.Fatalf("%+v", tb.LeftOut)
	}
	if l := tb.Check(); len(l) > 0 {
		t.Fatal(l)
	}
	if l := tb.Accounts(of); len(l) > 0 {
		t.Fatal(l)
	}
	for i := range tb.LeftOut {
		bad := *tb
		bad.LeftOut = append(append([]tab.LeftOut{}, tb.LeftOut[:i]...), tb.LeftOut[i+1:]...)
		if len(bad.Accounts(of)) == 0 {
			t.Errorf("%s is left out, not listed, and not missed", tb.LeftOut[i].Text())
		}
	}
}

// TestAddedTexts: what is written of an addition is read, and nothing like it is.
func TestAddedTexts(t *testing.T) {
	for _, text := range []string{"joined 3.1.2n1 bar 3 at 1/8 string 2 F#4", "vibrato 1.2.10g2n3 bar 0 at 0 string 10 Bb-1"} {
		if a, ok := tab.ParseAdded(text); !ok || a.Text() != text {
			t.Errorf("%q is read as %+v", text, a)
		}
	}
	for _, text := range []string{"", "joined", "louder 3.1.2n1 bar 3 at 1/8 string 2 F#4", "joined 3.1n1 bar 3 at 1/8 string 2 F#4", "joined 3.1.0n1 bar 3 at 1/8 string 2 F#4", "joined 3.1.2n1 bar 3 at x string 2 F#4", "joined 3.1.2n1 bar 3 at 1/8 string 0 F#4"} {
		if a, ok := tab.ParseAdded(text); ok {
			t.Errorf("%q is read as %+v", text, a)
		}
	}
	for _, text := range []string{"", "1.1 at 0 len 0 E4", "1 at 0 len 1/4 E4", "1.1 at 0 len 1/4", "1.1 at 0 len 1/4 E4 loud"} {
		if l, ok := tab.ParseLeftOut(text); ok {
			t.Errorf("%q is read as %+v", text, l)
		}
	}
}
