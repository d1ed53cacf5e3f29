package tab

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tune"
)

// twoBars is A4 (quarter note), D4 and A4 together (half note), A4 tied over the barline
// to a half note, and a rest.
func twoBars(t testing.TB) *tune.Tune {
	t.Helper()
	key, err := pitch.ParseKey("D")
	if err != nil {
		t.Fatal(err)
	}
	a, d := pitch.Note(pitch.A, 0, 4), pitch.Note(pitch.D, 0, 4)
	q := tune.Whole / 4
	note := func(at, length tune.Ticks, log int8, notes ...tune.Note) tune.Event {
		return tune.Event{At: at, Len: length, Kind: tune.Sounding, Notes: notes, Value: tune.Value{Log2: log}}
	}
	t1 := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
	meter := tune.Meter{Beats: 4, Unit: 4}
	t1.Bars = []tune.Bar{
		{Number: 1, Key: key, Meter: meter, Len: tune.Whole, Lines: [][]tune.Event{{
			note(0, q, 2, tune.Note{Name: a}), note(q, 2*q, 1, tune.Note{Name: d}, tune.Note{Name: a}), note(3*q, q, 2, tune.Note{Name: a, Tie: true}),
		}}},
		{Number: 2, Key: key, Meter: meter, Len: tune.Whole, Lines: [][]tune.Event{{
			note(0, 2*q, 1, tune.Note{Name: a}), {At: 2 * q, Len: 2 * q, Kind: tune.Rest, Value: tune.Value{Log2: 1}},
		}}},
	}
	if l := t1.Check(); len(l) > 0 {
		t.Fatal(l)
	}
	return t1
}

// played is a right tab of twoBars.
func played(t testing.TB) *Tab {
	ref := func(bar, event, note int) tune.Ref { return tune.Ref{Bar: bar, Event: event, Grace: -1, Note: note} }
	q := tune.Whole / 4
	seven := steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 7, LastFret: 7}
	twelve := steel.Placement{Kind: steel.Straight, First: 2, Last: 6, FirstFret: 12, LastFret: 12}
	return &Tab{Tune: twoBars(t), Rig: rigtest.OpenD(), Strokes: []Stroke{
		{BarIndex: 0, At: 0, Len: q, Placement: seven, Plucks: []Pluck{{Ref: ref(0, 0, 0), String: 1, Fret: 7, Len: q, Finger: Middle}}},
		{BarIndex: 0, At: q, Len: 2 * q, Placement: twelve, Plucks: []Pluck{{Ref: ref(0, 1, 0), String: 1, Fret: 0, Len: 2 * q, Finger: Middle}, {Ref: ref(0, 1, 1), String: 2, Fret: 12, Len: 2 * q, Finger: Index}}},
		{BarIndex: 0, At: 3 * q, Len: q, Placement: seven, Plucks: []Pluck{{Ref: ref(0, 2, 0), String: 1, Fret: 7, Len: q, Finger: Middle}}},
		{BarIndex: 1, At: 0, Len: 2 * q, Placement: seven, Plucks: []Pluck{{Ref: ref(1, 0, 0), String: 1, Fret: 7, Len: 2 * q, Attack: Tied}}},
	}}
}

func sounds(t *tune.Tune) string {
	var out []string
	for _, s := range tune.Sound(t) {
		out = append(out, fmt.Sprintf("%s@%s+%s", s.Name, s.At, s.Len))
	}
	return strings.Join(out, " ")
}

// TestSounding reads a tab back and compares with the notes worked out by hand:
// string 1 at fret 7 is D4 and a fifth, string 2 at fret 12 A3 and an octave.
func TestSounding(t *testing.T) {
	const want = "A4@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"
	if got := sounds(Sounding(played(t))); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	for _, c := range []struct {
		what   string
		change func(*Tab)
		want   string
	}{
		{"the steel a fret higher", func(x *Tab) {
			x.Strokes[0].Placement.FirstFret, x.Strokes[0].Placement.LastFret = 8, 8
		}, "A#4@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"the tune's own pitches do not count", func(x *Tab) {
			x.Tune.Bars[0].Lines[0][0].Notes[0].Name = pitch.Note(pitch.C, 0, 3)
		}, want},
		{"another string", func(x *Tab) { x.Strokes[0].Plucks[0].String = 2 }, "E4@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"a note that nothing plays", func(x *Tab) { x.Strokes[1].Plucks = x.Strokes[1].Plucks[1:] }, "A4@0+1/4 A4@1/4+1/2 A4@3/4+3/4"},
		{"the tie plucked again", func(x *Tab) { x.Strokes[3].Plucks[0].Attack = Picked }, "A4@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+1/4 A4@1+1/2"},
		{"a natural harmonic", func(x *Tab) {
			x.Strokes[0].Placement = steel.Placement{}
			x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node, x.Strokes[0].Plucks[0].Fret = Harmonic, 3, 7
		}, "A5@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"a palm harmonic", func(x *Tab) {
			x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node = PalmHarmonic, 2
		}, "A5@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"a natural harmonic under a laid steel", func(x *Tab) {
			x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node, x.Strokes[0].Plucks[0].Fret = Harmonic, 2, 12
		}, "D5@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"a palm harmonic on the string's third", func(x *Tab) {
			x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node = PalmHarmonic, 3
		}, "E6@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
		{"a bender", func(x *Tab) { x.Strokes[0].Benders, x.Strokes[0].Plucks[0].String = 1, 3 }, "D4@0+1/4 A4@1/4+1/2 D4@1/4+1/2 A4@3/4+3/4"},
	} {
		x := played(t)
		c.change(x)
		if got := sounds(Sounding(x)); got != c.want {
			t.Errorf("%s: got %s, want %s", c.what, got, c.want)
		}
	}
}

// TestCheck breaks a right tab in every way that Check promises to find.
func TestCheck(t *testing.T) {
	if l := played(t).Check(); len(l) > 0 {
		t.Fatalf("a right tab has faults: %v", l)
	}
	for _, c := range []struct {
		want   string
		change func(*Tab)
	}{
		{"4 moments and the tab 3 strokes", func(x *Tab) { x.Strokes = x.Strokes[:3] }},
		{"a stroke stands at 1/8", func(x *Tab) { x.Strokes[0].At = tune.Whole / 8 }},
		{"neither played nor a listed compromise", func(x *Tab) { x.Strokes[0].Plucks = nil }},
		{"not there, or a second time", func(x *Tab) { x.Strokes[2].Plucks[0].Ref = x.Strokes[0].Plucks[0].Ref }},
		{"played twice in one stroke", func(x *Tab) { x.Strokes[1].Plucks[0].String = 2 }},
		{"fret 5 is written and the steel is at 7", func(x *Tab) { x.Strokes[0].Plucks[0].Fret = 5 }},
		{"sounds 100 cents from A4", func(x *Tab) {
			x.Strokes[0].Placement.FirstFret, x.Strokes[0].Placement.LastFret, x.Strokes[0].Plucks[0].Fret = 8, 8, 8
		}},
		{"does not reach", func(x *Tab) { x.Rig.Steel.Length = 20 }},
		{"no such string", func(x *Tab) { x.Strokes[0].Plucks[0].String = 7 }},
		{"no bender set", func(x *Tab) { x.Strokes[0].Benders = 8 }},
		{"held on in the tune", func(x *Tab) { x.Strokes[3].Plucks[0].Attack = Picked }},
		{"begun anew in the tune", func(x *Tab) { x.Strokes[2].Plucks[0].Attack = Tied }},
		{"nothing is sounding A4", func(x *Tab) {
			x.Strokes[3].Plucks[0].String, x.Strokes[3].Plucks[0].Fret = 3, 15
			x.Strokes[3].Placement.FirstFret, x.Strokes[3].Placement.LastFret = 15, 15
		}},
		{"harmonic number 2 does not go", func(x *Tab) { x.Strokes[0].Plucks[0].Node = 2 }},
		{"nowhere to begin", func(x *Tab) { x.Strokes[0].Plucks[0].Scoop = -8 }},
		{"a scoop from fret 0 to 7 has nowhere", func(x *Tab) { x.Strokes[0].Plucks[0].Scoop = -7 }},
		{"a scoop from fret 2 to 0 has nowhere", func(x *Tab) { x.Strokes[1].Plucks[0].Scoop = 2 }},
		{"harmonic number 1 does not go", func(x *Tab) { x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node = PalmHarmonic, 1 }},
	} {
		x := played(t)
		c.change(x)
		if l := x.Check(); !strings.Contains(fmt.Sprint(messages(x)), c.want) {
			t.Errorf("got %v, want a fault with %q", l, c.want)
		}
	}
	// A scoop from the steel's side of the nut is none.
	fine := played(t)
	fine.Strokes[0].Plucks[0].Scoop = -6
	if l := fine.Check(); len(l) > 0 {
		t.Errorf("a scoop from the first fret is a fault: %v", l)
	}
	// What is listed as a compromise is no fault.
	x := played(t)
	x.Strokes[0].Plucks = nil
	x.Compromises = []Compromise{{Ref: tune.Ref{Grace: -1}, BarNumber: 1, Wanted: "A4", Got: "nothing"}}
	if l := x.Check(); len(l) > 0 {
		t.Errorf("a listed compromise is a fault: %v", l)
	}
}

// TestCheckHolds moves the steel under a note that is held by another voice.
func TestCheckHolds(t *testing.T) {
	x := played(t)
	q := tune.Whole / 4
	x.Tune.Voices = append(x.Tune.Voices, tune.Voice{ID: "2"})
	low := tune.Event{Len: tune.Whole, Kind: tune.Sounding, Notes: []tune.Note{{Name: pitch.Note(pitch.A, 0, 2)}}, Value: tune.Value{}}
	rest := tune.Event{Len: tune.Whole, Kind: tune.Rest, Value: tune.Value{BarRest: true}}
	x.Tune.Bars[0].Lines = append(x.Tune.Bars[0].Lines, []tune.Event{low})
	x.Tune.Bars[1].Lines = append(x.Tune.Bars[1].Lines, []tune.Event{rest})
	// String 6 at fret 7 sounds A2; the steel then goes to 12.
	x.Strokes[0].Plucks = append(x.Strokes[0].Plucks, Pluck{Ref: tune.Ref{Voice: 1, Grace: -1}, String: 6, Fret: 7, Len: 4 * q})
	if l := messages(x); !strings.Contains(l, "a held note is moved from 7.00 to 12.00") {
		t.Errorf("got %s", l)
	}
	// On the open string 5, out of the steel's way, it holds.
	x.Strokes[0].Plucks[1].String, x.Strokes[0].Plucks[1].Fret = 5, 0
	for i := range x.Strokes {
		p := &x.Strokes[i].Placement
		p.Last = 4
	}
	if l := x.Check(); len(l) > 0 {
		t.Errorf("a held open string has faults: %v", l)
	}
}

// TestCheckHeldOpen goes on with a low note held open on string 5, and what may
// not be done to it, unless it is listed.
func TestCheckHeldOpen(t *testing.T) {
	held := tune.Ref{Voice: 1, Grace: -1}
	base := func() *Tab {
		x := played(t)
		x.Tune.Voices = append(x.Tune.Voices, tune.Voice{ID: "2"})
		low := tune.Event{Len: tune.Whole, Kind: tune.Sounding, Notes: []tune.Note{{Name: pitch.Note(pitch.A, 0, 2)}}, Value: tune.Value{}}
		rest := tune.Event{Len: tune.Whole, Kind: tune.Rest, Value: tune.Value{BarRest: true}}
		x.Tune.Bars[0].Lines = append(x.Tune.Bars[0].Lines, []tune.Event{low})
		x.Tune.Bars[1].Lines = append(x.Tune.Bars[1].Lines, []tune.Event{rest})
		x.Strokes[0].Plucks = append(x.Strokes[0].Plucks, Pluck{Ref: held, String: 5, Len: tune.Whole})
		for i := range x.Strokes {
			x.Strokes[i].Placement.Last = 4
		}
		return x
	}
	if l := base().Check(); len(l) > 0 {
		t.Fatalf("held open: %v", l)
	}
	for _, c := range []struct {
		want   string
		change func(*Tab)
	}{
		{"a held note is moved from 0.00 to 12.00", func(x *Tab) { x.Strokes[1].Placement.Last = 6 }},
		{"plucked while it holds another note", func(x *Tab) { x.Strokes[1].Plucks[0].String = 5 }},
	} {
		x := base()
		c.change(x)
		if l := messages(x); !strings.Contains(l, c.want) {
			t.Errorf("got %s; want a fault with %q", l, c.want)
		}
		x.Compromises = append(x.Compromises, Compromise{Ref: held, BarNumber: 1, Wanted: "A2", Got: "let go early"})
		if l := messages(x); strings.Contains(l, c.want) {
			t.Errorf("listed, and yet: %s", l)
		}
	}
	// The next bar's steel may lie on the string: the note is over.
	x := base()
	x.Strokes[3].Placement.Last = 6
	if l := x.Check(); len(l) > 0 {
		t.Errorf("the note is over, and yet: %v", l)
	}
}

// A note that is held on must go on where it was, the string stopped or open as
// before: G3 stopped at fret 1 of string 3 is not held by the bender on it open.
func TestCheckHeldByAnotherStop(t *testing.T) {
	for _, c := range []struct {
		what   string
		at     float64
		bent   bool
		faulty bool
	}{
		{"where it was", 1, false, false},
		{"open, with the bender", 0, true, true},
	} {
		x := played(t)
		q := tune.Whole / 4
		g := pitch.Note(pitch.G, 0, 3)
		x.Tune.Bars[0].Lines[0][2].Notes[0].Name, x.Tune.Bars[1].Lines[0][0].Notes[0].Name = g, g
		one := steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 1, LastFret: 1}
		x.Strokes[2].Placement, x.Strokes[3].Placement = one, one
		x.Strokes[2].Plucks[0].String, x.Strokes[2].Plucks[0].Fret = 3, 1
		x.Strokes[3].Plucks[0] = Pluck{Ref: x.Strokes[3].Plucks[0].Ref, String: 3, Fret: c.at, Len: 2 * q, Attack: Tied}
		if c.bent {
			x.Strokes[3].Placement, x.Strokes[3].Benders = steel.Placement{}, 1
		}
		if got := strings.Contains(messages(x), "nothing is sounding G3 that could be held on"); got != c.faulty {
			t.Errorf("%s: faulty %v: %s", c.what, got, messages(x))
		}
	}
}

// Stops 15.5 cents apart, the loosest tolerance of any player, are one.
func TestSameStop(t *testing.T) {
	for off, want := range map[float64]bool{0: true, 0.15: true, -0.15: true, 0.16: false, -0.16: false, 1: false} {
		if got := SameStop(60, 60+off); got != want {
			t.Errorf("%g apart are one: %v", off, got)
		}
	}
}

// A tie over a repeat sounds where both its notes are played on one string at
// one place: D4 open on string 1 both times; not from string 2, from another
// fret or from a harmonic.
func TestSoundingOverARepeat(t *testing.T) {
	base := func() *Tab {
		d, high := pitch.Note(pitch.D, 0, 4), pitch.Note(pitch.G, 0, 4)
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		x := &Tab{Tune: tn, Rig: rigtest.OpenD()}
		five := steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}
		for i, n := range []pitch.Name{d, high, d} {
			tn.Bars = append(tn.Bars, tune.Bar{
				Number: i + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole,
				Lines: [][]tune.Event{{{Len: tune.Whole, Notes: []tune.Note{{Name: n, Tie: i == 2}}}}},
			})
			s := Stroke{BarIndex: i, Len: tune.Whole, Plucks: []Pluck{{Ref: tune.Ref{Bar: i, Grace: -1}, String: 1, Len: tune.Whole}}}
			if i == 1 {
				s.Placement, s.Plucks[0].Fret = five, 5
			}
			x.Strokes = append(x.Strokes, s)
		}
		tn.Bars[0].Left.Repeat, tn.Bars[2].Right.Repeat = 1, 1
		return x
	}
	five := steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: 5, LastFret: 5}
	for _, c := range []struct {
		what   string
		change func(*Tab)
		want   bool
	}{
		{"on one string, open both times", func(*Tab) {}, true},
		{"from another string", func(x *Tab) {
			x.Strokes[2].Placement, x.Strokes[2].Plucks[0].String, x.Strokes[2].Plucks[0].Fret = five, 2, 5
		}, false},
		{"to another fret", func(x *Tab) { x.Strokes[0].Placement, x.Strokes[0].Plucks[0].Fret = five, 5 }, false},
		{"to a harmonic", func(x *Tab) {
			x.Strokes[0].Plucks[0].Attack, x.Strokes[0].Plucks[0].Node, x.Strokes[0].Plucks[0].Fret = Harmonic, 2, 12
		}, false},
	} {
		x := base()
		c.change(x)
		if got := Sounding(x).Bars[2].Lines[0][0].Notes[0].Tie; got != c.want {
			t.Errorf("%s: tied %v", c.what, got)
		}
	}
}

func messages(x *Tab) string {
	var out []string
	for _, f := range x.Check() {
		out = append(out, f.Error())
	}
	return strings.Join(out, "\n")
}

// TestNodeFret returns where players touch (common practice, no source).
func TestNodeFret(t *testing.T) {
	for n, want := range map[int]float64{0: 0, 1: 0, 2: 12, 3: 7, 4: 5, 5: 4} {
		if got := NodeFret(n); got != want {
			t.Errorf("harmonic %d: fret %g, want %g", n, got, want)
		}
	}
}

// A tie goes on from the note on its own string, though another sounds the same.
func TestSoundingTiesByString(t *testing.T) {
	x := played(t)
	e := &x.Tune.Bars[0].Lines[0][2]
	e.Notes = append(e.Notes, e.Notes[0])
	s := &x.Strokes[2]
	s.Placement = steel.Placement{Kind: steel.Reverse, First: 1, Last: 2, FirstFret: 7, LastFret: 12}
	second := s.Plucks[0]
	second.Ref.Note, second.String, second.Fret = 1, 2, 12
	s.Plucks = append(s.Plucks, second)
	for _, on := range []struct {
		str  int
		fret float64
		want [2]bool // the note on string 2 comes first, that on string 1 second
	}{{1, 7, [2]bool{false, true}}, {2, 12, [2]bool{true, false}}} {
		last := &x.Strokes[3]
		last.Placement = steel.Placement{Kind: steel.Straight, First: 1, Last: 6, FirstFret: on.fret, LastFret: on.fret}
		last.Plucks[0].String, last.Plucks[0].Fret = on.str, on.fret
		notes := Sounding(x).Bars[0].Lines[0][2].Notes
		if got := [2]bool{notes[0].Tie, notes[1].Tie}; got != on.want {
			t.Errorf("held on string %d: ties %v, want %v", on.str, got, on.want)
		}
	}
}

// A glide sounds as one only where the tune asks for it: elsewhere it is how the
// player joins two notes. A grace note that nothing plays is left out, its event
// stays.
func TestSoundingGlidesAndGraces(t *testing.T) {
	x := played(t)
	events := x.Tune.Bars[0].Lines[0]
	events[0].Notes[0].Glide = true
	events[1].Graces = []tune.Grace{
		{Notes: []tune.Note{{Name: pitch.Note(pitch.G, 0, 4)}}}, {Notes: []tune.Note{{Name: pitch.Note(pitch.G, 1, 4)}}},
	}
	x.Strokes[0].Plucks[0].Glide, x.Strokes[2].Plucks[0].Glide = true, true
	grace := Stroke{At: tune.Whole / 4, Grace: true, Placement: x.Strokes[0].Placement, Plucks: []Pluck{
		{Ref: tune.Ref{Event: 1, Grace: 1}, String: 1, Fret: 6},
	}}
	grace.Placement.FirstFret, grace.Placement.LastFret = 6, 6
	x.Strokes = append(x.Strokes, grace, Stroke{Placement: grace.Placement, Plucks: []Pluck{{Ref: tune.Ref{Event: 9, Grace: -1}, String: 1, Glide: true}}})
	got := Sounding(x).Bars[0].Lines[0]
	if !got[0].Notes[0].Glide {
		t.Error("the glide that the tune asks for does not sound")
	}
	if got[2].Notes[0].Glide {
		t.Error("a glide that the tune does not ask for sounds as one")
	}
	if len(got[1].Graces) != 1 || got[1].Graces[0].Notes[0].Name.Key() != 68 {
		t.Errorf("the graces sound %v; want G#4 alone", got[1].Graces)
	}
	if len(got[1].Notes) != 2 {
		t.Errorf("the event after the graces sounds %v", got[1].Notes)
	}
}

// What is known of a tune in time is used while it is of this tune.
func TestPerformance(t *testing.T) {
	x := played(t)
	x.Performed = tune.Perform(x.Tune)
	if x.Performance() != x.Performed {
		t.Error("the performance is worked out again")
	}
	x.Tune = twoBars(t)
	if got := x.Performance(); got == x.Performed || got.Tune != x.Tune {
		t.Error("the performance of another tune is used")
	}
	x.Performed = nil
	if got := x.Performance(); got == nil || got.Tune != x.Tune {
		t.Error("no performance where none is known")
	}
}

// What is beyond the tune, or missing from it, changes nothing of the rest.
func TestSoundingOfAnOddTab(t *testing.T) {
	want := sounds(Sounding(played(t)))
	for what, change := range map[string]func(*Tab){
		"a stroke after the last bar": func(x *Tab) {
			x.Strokes = append(x.Strokes, Stroke{BarIndex: 2, Plucks: []Pluck{{Ref: tune.Ref{Bar: 2, Grace: -1}, String: 1}}})
		},
		"a stroke before the first": func(x *Tab) {
			x.Strokes = append(x.Strokes, Stroke{BarIndex: -1, Plucks: []Pluck{{Ref: tune.Ref{Bar: -1, Grace: -1}, String: 1}}})
		},
		"a voice that no bar has": func(x *Tab) { x.Tune.Voices = append(x.Tune.Voices, tune.Voice{ID: "2"}) },
	} {
		x := played(t)
		change(x)
		if got := sounds(Sounding(x)); got != want {
			t.Errorf("%s: got %s, want %s", what, got, want)
		}
	}
}
