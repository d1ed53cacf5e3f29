package picture_test

import (
	"fmt"
	"slices"
	"testing"

	"lapwright/listen"
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// TestTakeOnPaper: where a note too many stands, by its time in the take: in proportion between the plucks
// around, at the take's own pace (the middle one of those from pluck to pluck) before the first, after the last and in a pause; none where
// its bar is in another line.
func TestTakeOnPaper(t *testing.T) {
	place := func(seconds float64, pass int, beats float64, joined bool) listen.Place {
		return listen.Place{Seconds: seconds, PassIndex: pass, At: beat(pass, beats), Joined: joined}
	}
	// Half as fast as written, the third beat late, then a pause and on from bar 3.
	slow := []listen.Place{place(10, 0, 2, false), place(12, 0, 3, true), place(15, 1, 0, true), place(17, 1, 1, true), place(30, 2, 2, false)}
	half := []listen.Place{place(0, 0, 0, false), place(6, 0, 2, true)}
	for _, c := range []struct {
		path    []listen.Place
		seconds float64
		want    string // mm of a line of bars 1 to 3, "" for none
	}{
		{slow, 10, "40.00"},    // on a pluck
		{slow, 11, "45.00"},    // half-way
		{slow, 13.5, "54.00"},  // in the slow beat
		{slow, 14.97, "57.92"}, // before the barline
		{slow, 15, "60.00"},
		{slow, 16, "65.00"},
		{slow, 8, "30.00"}, // before the first
		{slow, 6, "20.00"},
		{slow, 3, "20.00"},  // before the music: at its beginning
		{slow, 19, "80.00"}, // in the pause
		{slow, 22, "94.00"},
		{slow, 23, "100.00"}, // into the next bar
		{slow, 24, "105.00"},
		{slow, 30, "120.00"}, // on the pluck after the pause
		{slow, 31, "125.00"}, // after the last
		{slow, 33, "134.00"},
		{slow, 34, ""},                                 // bar 4 has its own line
		{slow[4:], 29, "110.00"},                       // one pluck alone: the pace as written
		{slow[4:], 27, "90.00"},                        // before its bar
		{slow[4:], 23, "50.00"},                        // two bars before
		{[]listen.Place{place(5, 3, 1, false)}, 5, ""}, // all in another line
		{[]listen.Place{place(5, 3, 1, false)}, 3, "130.00"}, // but this
		{half, 9, "50.00"}, // three seconds a beat, told by half notes
		{nil, 5, ""},       // nothing was heard
	} {
		v := &listen.Reviewed{Path: c.path, Extra: []listen.Extra{{Onset: c.seconds, Pitch: pitch.Name{Octave: 4}}}}
		for p := range 4 {
			v.Notes = append(v.Notes, played(p, 0))
		}
		got := ""
		for _, g := range look(v, song(t, 4, false), nil, 0, 1, 2).extra {
			m := markOf(g)
			got = fmt.Sprintf("%.2f", m.x)
			if x := texts(g.Items); m.looks != "purple diamond" || len(x) != 1 || x[0].S != "C4" || x[0].X < m.x {
				t.Errorf("at %g s: %s, %v", c.seconds, m.looks, x)
			}
		}
		if got != c.want {
			t.Errorf("at %g s a note too many stands at %q mm, want %q", c.seconds, got, c.want)
		}
	}
}

// TestNoteInABarOfRests: what is played in a bar that has nothing to play stands in it, when the take goes on after it.
func TestNoteInABarOfRests(t *testing.T) {
	v := &listen.Reviewed{Extra: []listen.Extra{{Onset: 6}}, Notes: []listen.Note{played(0, 0), played(2, 0)}, Path: plucks(1, 0)}
	for _, joined := range []bool{true, false} {
		v.Path = append(v.Path[:4], listen.Place{Seconds: 8, PassIndex: 2, At: beat(2, 0), Joined: joined})
		s := look(v, song(t, 3, false), nil, 0, 1, 2)
		if shown := len(s.extra) == 1 && markOf(s.extra[0]).x == 80; shown != joined {
			t.Errorf("played on %v: %d notes too many are shown", joined, len(s.extra))
		}
	}
}

// TestPluckTicks: what was heard has its tick at the lane's foot, with the time of the take, in the line and lane of its bar.
func TestPluckTicks(t *testing.T) {
	v := &listen.Reviewed{Path: plucks(1.5, 0, 1, 2), Notes: []listen.Note{played(0, 0), played(1, 0), played(2, 0)}}
	got := ""
	for _, g := range look(v, song(t, 3, false), nil, 1).ticks {
		r := g.Items[0].(draw.Rule)
		got += fmt.Sprintf("%s s at %s to %.2f; ", key(g, "seconds"), at(r.X1, r.Y1), r.Y2)
	}
	if want := "6.000 s at 20.00 25.37 to 25.95; 7.500 s at 30.00 25.37 to 25.95; 9.000 s at 40.00 25.37 to 25.95; 10.500 s at 50.00 25.37 to 25.95; "; got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// lines writes the level lines of an ink: from where to where, and how many cents up.
func lines(items []draw.Item, ink draw.Ink) (out string) {
	for _, it := range items {
		if r, ok := it.(draw.Rule); ok && r.Ink == ink && r.Y1 == r.Y2 {
			out += fmt.Sprintf("%.1f to %.1f at %.1f; ", r.X1, r.X2, (middleMM-r.Y1)/centMM)
		}
	}
	return out
}

// TestNoteLines: a pale line shows where a note should lie as long as it lasts as the tab has it, a dark one where it lay; a
// dashed one where the chord has it, when that is more than a cent from where the string is meant to be. What lasts
// into the next line or another lane ends with its own.
func TestNoteLines(t *testing.T) {
	just := func(c float64) func(*listen.Note) { return func(n *listen.Note) { n.CentsJust = c } }
	meant := func(c float64) func(*listen.Note) { return func(n *listen.Note) { n.Meant = c } }
	for _, c := range []struct {
		why               string
		note              listen.Note
		pale, dark, chord string
	}{
		{"a quarter", played(0, 1, off(4)), "30.0 to 40.0 at 0.0; ", "30.0 to 40.0 at 4.0; ", ""},
		{"the last quarter of a bar", played(0, 3, off(4)), "50.0 to 58.0 at 0.0; ", "50.0 to 58.0 at 4.0; ", ""},
		{"tied into the next bar", played(0, 3, lasting(2.5)), "50.0 to 75.0 at 0.0; ", "50.0 to 75.0 at 0.0; ", ""},
		{"tied over a whole bar", played(0, 3, lasting(6)), "50.0 to 110.0 at 0.0; ", "50.0 to 110.0 at 0.0; ", ""},
		{"into the repeat", played(2, 2, lasting(4)), "120.0 to 138.0 at 0.0; ", "120.0 to 138.0 at 0.0; ", ""},
		{"past the end", played(5, 3, lasting(4)), "130.0 to 138.0 at 0.0; ", "130.0 to 138.0 at 0.0; ", ""},
		{"a very short one is as long as its mark", played(0, 1, lasting(0.05)), "30.0 to 32.3 at 0.0; ", "30.0 to 32.3 at 0.0; ", ""},
		{"a string meant to be low", played(0, 0, off(-10), meant(-14)), "20.0 to 30.0 at -14.0; ", "20.0 to 30.0 at -10.0; ", ""},
		{"a third of a chord", played(0, 0, off(-10), just(4)), "20.0 to 30.0 at 0.0; ", "20.0 to 30.0 at -10.0; ", "20.0 to 30.0 at -14.0; "},
		{"a fifth of a chord", played(0, 0, off(3), just(1)), "20.0 to 30.0 at 0.0; ", "20.0 to 30.0 at 3.0; ", "20.0 to 30.0 at 2.0; "},
		{"a cent from the chord", played(0, 0, off(3), just(2)), "20.0 to 30.0 at 0.0; ", "20.0 to 30.0 at 3.0; ", ""},
		{"a third where the string is meant so", played(0, 0, off(-10), just(4), meant(-14)), "20.0 to 30.0 at -14.0; ", "20.0 to 30.0 at -10.0; ", ""},
		{"a root where the string is meant low", played(0, 0, off(-10), just(-10), meant(-14)), "20.0 to 30.0 at -14.0; ", "20.0 to 30.0 at -10.0; ", "20.0 to 30.0 at 0.0; "},
		{"a missed one", played(0, 0, missed), "20.0 to 30.0 at 0.0; ", "", ""},
	} {
		v := &listen.Reviewed{Notes: []listen.Note{c.note}}
		if c.note.PassIndex == 2 {
			v.Notes = append(v.Notes, played(0, 0), played(3, 0)) // the repeat has a lane of its own
		}
		s := look(v, song(t, 3, true), nil, 0, 1, 2)
		x0 := s.x(c.note)
		mine := slices.DeleteFunc(slices.Clone(s.loose), func(it draw.Item) bool { return it.Bounds().X0 != x0 || it.Bounds().X1 > 139 })
		if got := lines(mine, draw.Pale); got != c.pale {
			t.Errorf("%s should lie at %q, want %q", c.why, got, c.pale)
		}
		if got := lines(mine, draw.Grey); got != c.chord {
			t.Errorf("%s: the chord's lies at %q, want %q", c.why, got, c.chord)
		}
		if got := lines(s.notes["0"].Items, 0x3A3A3A); got != c.dark {
			t.Errorf("%s lay at %q, want %q", c.why, got, c.dark)
		}
	}
}

// TestNoteIntoARepeat: who begins in the second bar and goes on into the repeat has both bars in one lane, the second played first. Its last
// note, tied over, ends with its bar, and so does its pitch: nothing leads back across the lane.
func TestNoteIntoARepeat(t *testing.T) {
	n := played(1, 3, lasting(3))
	for i := range 200 {
		n.Curve = append(n.Curve, listen.Moment{At: 3 + float64(i)/100})
	}
	v := &listen.Reviewed{Notes: []listen.Note{n, played(2, 2)}, Path: plucks(1, 1, 2)}
	s := look(v, song(t, 2, true), nil, 0, 1)
	if got, want := lines(s.loose, draw.Pale), "90.0 to 98.0 at 0.0; 40.0 to 50.0 at 0.0; "; len(s.takes) != 1 || got != want {
		t.Errorf("%d lanes, the notes should lie at %q, want one and %q", len(s.takes), got, want)
	}
	if got, want := strokes(s.notes["0"]), "90.0 to 97.9, 0 to 0; "; got != want {
		t.Errorf("the pitch went %q, want %q", got, want)
	}
	// Over a jump ahead, to the second ending, it ends with its bar, too.
	tb := song(t, 3, false)
	tb.Performed = tune.Perform(tb.Tune).Rearranged(tune.Span{From: 0, To: 1}, tune.Span{From: 2, To: 3})
	n = played(0, 3, lasting(2))
	s = look(&listen.Reviewed{Notes: []listen.Note{n, played(1, 2)}}, tb, nil, 0, 1, 2)
	if got, want := lines(s.loose, draw.Pale), "50.0 to 58.0 at 0.0; 120.0 to 130.0 at 0.0; "; got != want {
		t.Errorf("before a jump ahead: %q, want %q", got, want)
	}
}

// strokes writes the strokes of a note's curve: from where to where in mm, and from its lowest to its highest cents.
func strokes(g *draw.Group) (out string) {
	for _, it := range g.Items {
		if p, ok := it.(draw.Path); ok && p.Ink == 0x3A3A3A {
			b := draw.Empty
			for _, s := range p.Steps {
				b = b.Union(draw.Rect{X0: s.P[0].X, Y0: s.P[0].Y, X1: s.P[0].X, Y1: s.P[0].Y})
			}
			out += fmt.Sprintf("%.1f to %.1f, %.0f to %.0f; ", b.X0, b.X1, (middleMM-b.Y1)/centMM, (middleMM-b.Y0)/centMM)
		}
	}
	return out
}

// TestPitchCurve: the pitch of a note as it went, until the note is over as the tab has it; a moment's spike is smoothed away; where it was
// not heard for more than 50 ms there is a gap, and a moment alone is no line.
func TestPitchCurve(t *testing.T) {
	moments := func(from, to int, cents func(i int) float64) (out []listen.Moment) {
		for i := from; i < to; i++ {
			out = append(out, listen.Moment{At: float64(i) / 100, Cents: cents(i)})
		}
		return out
	}
	still := func(int) float64 { return 10 }
	join := func(parts ...[]listen.Moment) (out []listen.Moment) {
		for _, p := range parts {
			out = append(out, p...)
		}
		return out
	}
	for _, c := range []struct {
		why   string
		curve []listen.Moment
		want  string // as strokes writes it
	}{
		{"steady", moments(105, 181, still), "30.5 to 38.0, 10 to 10; "},
		{"rising", moments(120, 161, func(i int) float64 { return float64(i - 140) }), "32.0 to 36.0, -19 to 19; "},
		{"ringing on after its time", moments(150, 250, still), "35.0 to 40.0, 10 to 10; "},
		{"begun before its bar's line", moments(110, 112, still), "31.0 to 31.1, 10 to 10; "},
		{"a spike of 20 ms", moments(110, 150, func(i int) float64 {
			if i == 130 || i == 131 {
				return 28
			}
			return 10
		}), "31.0 to 34.9, 10 to 10; "},
		{"a step of 30 ms", moments(110, 150, func(i int) float64 {
			if i >= 130 && i <= 132 {
				return 28
			}
			return 10
		}), "31.0 to 34.9, 10 to 28; "},
		{"not heard for 40 ms", join(moments(110, 121, still), moments(124, 131, still)), "31.0 to 33.0, 10 to 10; "},
		{"not heard for 60 ms", join(moments(110, 121, still), moments(126, 131, still)), "31.0 to 32.0, 10 to 10; 32.6 to 33.0, 10 to 10; "},
		{"a moment alone after a gap", join(moments(110, 121, still), moments(140, 141, still)), "31.0 to 32.0, 10 to 10; "},
		{"two moments", moments(120, 122, still), "32.0 to 32.1, 10 to 10; "},
		{"a spike beside a gap", join(moments(110, 112, still), []listen.Moment{{At: 1.3, Cents: 25}, {At: 1.31, Cents: 25}}), "31.0 to 31.1, 10 to 10; 33.0 to 33.1, 25 to 25; "},
	} {
		v := &listen.Reviewed{Notes: []listen.Note{played(0, 1, off(10), func(n *listen.Note) { n.Curve = c.curve })}, Path: plucks(1, 0)}
		got := strokes(look(v, song(t, 1, false), nil, 0).notes["0"])
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}
