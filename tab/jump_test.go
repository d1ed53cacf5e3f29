package tab_test

import (
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// TestTieIntoSecondEnding: what rings into a second ending is the note before the
// endings, not the last of the first ending, though that stands just before it.
func TestTieIntoSecondEnding(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nT:Held\nM:4/4\nL:1/4\nK:G\nG,4-|[1 G,2 B,2:|[2 G,4|]\n"), "held.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	at := func(fret float64) steel.Placement {
		if fret == 0 {
			return steel.Placement{}
		}
		return steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: fret, LastFret: fret}
	}
	for _, c := range []struct {
		str  int // of the note in the second ending: G3 is string 3 open, string 4 at 5
		fret float64
		want string
	}{
		{3, 0, ""},
		{4, 5, "nothing is sounding G3 that could be held on"},
	} {
		const whole = tune.Whole
		stroke := func(bar, event int, when, long tune.Ticks, str int, fret float64, a tab.Attack) tab.Stroke {
			return tab.Stroke{BarIndex: bar, At: when, Len: long, Placement: at(fret), Plucks: []tab.Pluck{{
				Ref: tune.Ref{Bar: bar, Event: event, Grace: -1}, String: str, Fret: fret, Attack: a, Len: long,
			}}}
		}
		x := &tab.Tab{Tune: tunes[0], Rig: r, Strokes: []tab.Stroke{
			stroke(0, 0, 0, whole, 3, 0, tab.Picked),
			stroke(1, 0, 0, whole/2, 3, 0, tab.Tied),
			stroke(1, 1, whole/2, whole/2, 3, 4, tab.Picked),
			stroke(2, 0, 0, whole, c.str, c.fret, tab.Tied),
		}}
		var got string
		if l := x.Check(); len(l) > 0 {
			got = l.Error()
		}
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("string %d fret %g in the second ending: %q, want %q", c.str, c.fret, got, c.want)
		}
	}
}

// A note that is held into a second ending sounds as one where both are stopped at
// one place on one string; on another string, or as a harmonic, it is begun anew.
func TestSoundingIntoSecondEnding(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nT:Held\nM:4/4\nL:1/4\nK:G\nG,4-|[1 G,2 B,2:|[2 G,4|]\n"), "held.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	const whole = tune.Whole
	for _, c := range []struct {
		what     string
		last     tab.Pluck
		straight float64
		tied     bool
	}{
		{"open as before", tab.Pluck{String: 3, Attack: tab.Tied}, 0, true},
		{"plucked again", tab.Pluck{String: 3}, 0, false},
		{"fretted on the string below", tab.Pluck{String: 4, Fret: 5, Attack: tab.Tied}, 5, false},
		{"higher on its string", tab.Pluck{String: 3, Fret: 1, Attack: tab.Tied}, 1, false},
		{"a harmonic", tab.Pluck{String: 3, Attack: tab.Harmonic, Node: 2, Fret: 12}, 0, false},
	} {
		lay := func(fret float64) steel.Placement {
			if fret == 0 {
				return steel.Placement{}
			}
			return steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: fret, LastFret: fret}
		}
		stroke := func(bar, event int, when, long tune.Ticks, p tab.Pluck, fret float64) tab.Stroke {
			p.Ref, p.Len = tune.Ref{Bar: bar, Event: event, Grace: -1}, long
			return tab.Stroke{BarIndex: bar, At: when, Len: long, Placement: lay(fret), Plucks: []tab.Pluck{p}}
		}
		x := &tab.Tab{Tune: tunes[0], Rig: r, Strokes: []tab.Stroke{
			stroke(0, 0, 0, whole, tab.Pluck{String: 3}, 0),
			// The first ending plucks again: only the second can be held into.
			stroke(1, 0, 0, whole/2, tab.Pluck{String: 4, Fret: 5}, 5),
			stroke(1, 1, whole/2, whole/2, tab.Pluck{String: 3, Fret: 4}, 4),
			stroke(2, 0, 0, whole, c.last, c.straight),
		}}
		got := tab.Sounding(x)
		if tied := got.Bars[0].Lines[0][0].Notes[0].Tie; tied != c.tied {
			t.Errorf("%s: the note before the endings is tied: %v; want %v", c.what, tied, c.tied)
		}
	}
}
