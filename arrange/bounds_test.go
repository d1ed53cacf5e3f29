package arrange

import (
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// A note that is tied back over a repeat keeps its string where it can: the cheapest way
// through each of these, each note a whole one, would have it on two strings.
func TestHeldOverARepeat(t *testing.T) {
	g, _ := pitch.NewKey(pitch.Class{Letter: pitch.G}, pitch.Major)
	for _, c := range []struct {
		rig, notes string
		closed     bool
	}{
		{"lap6-c6", "D5 B4 A4 B4 G4 D5", true},
		{"reso-open-g", "B3 G5 E4 G4 G4 B3", false},
		{"lap6-c6", "A4 D5 B4 G4 D5 A4", false},
		{"lap6-c6", "G4 E4 A4 G5 E4 G4", true},
	} {
		tn := &tune.Tune{Voices: []tune.Voice{{ID: "1"}}}
		words := strings.Fields(c.notes)
		for i, w := range words {
			name, err := pitch.ParseName(w)
			if err != nil {
				t.Fatal(err)
			}
			note := tune.Note{Name: name, Tie: i == len(words)-1}
			tn.Bars = append(tn.Bars, tune.Bar{Number: i + 1, Key: g, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{{{Len: tune.Whole, Notes: []tune.Note{note}}}}})
		}
		tn.Bars[0].Left.Repeat, tn.Bars[len(words)-1].Right.Repeat = 1, 1
		r := rigtest.Builtin(t, c.rig)
		o := Options{Octave: Octaves(0), Key: &pitch.Class{Letter: pitch.G}, Closed: c.closed}
		s, err := searchAt(t, tn, r, o, Setting{})
		if err != nil {
			t.Fatal(err)
		}
		way, cost, err := s.find()
		if err != nil {
			t.Fatal(err)
		}
		plain, err := s.result(way, cost, 0)
		if err != nil {
			t.Fatal(err)
		}
		if len(tab.HoldOverJumps(plain.Tab)) != 1 {
			t.Errorf("%s on %s: the cheapest way holds the tie as it is", c.notes, c.rig)
		}
		res, err := Arrange(t.Context(), tn, r, o)
		if err != nil {
			t.Fatal(err)
		}
		first, last := res.Tab.Strokes[0].Plucks[0], res.Tab.Strokes[len(words)-1].Plucks[0]
		if len(res.Tab.Compromises) != 0 || first.String != last.String {
			t.Errorf("%s on %s: %v; from string %d to %d", c.notes, c.rig, res.Tab.Compromises, last.String, first.String)
		}
	}
}

// What is asked for ends where the bounds say.
func TestOptionBounds(t *testing.T) {
	key, _ := pitch.NewKey(pitch.Class{Letter: pitch.G}, pitch.Major)
	tn := &tune.Tune{Bars: []tune.Bar{{Key: key}}}
	r := rigtest.OpenD() // three benders, six strings
	major, minor := pitch.Major, pitch.Minor
	fret := func(n int) *int { return &n }
	set := func(b rig.BenderSet) *rig.BenderSet { return &b }
	pin := func(p Pin) Options { return Options{Pins: []Pin{{}, p}} }
	for _, c := range []struct {
		what string
		o    Options
		ok   bool
	}{
		{"nothing", Options{}, true},
		{"the mode that it has", Options{Mode: &major}, true},
		{"another", Options{Mode: &minor}, false},
		{"the last level", Options{Level: grip.Seasoned}, true},
		{"one beyond", Options{Level: grip.Seasoned + 1}, false},
		{"the last grade", Options{Grade: ThirdGrade}, true},
		{"one beyond", Options{Grade: ThirdGrade + 1}, false},
		{"the last touch", Options{Touch: FullTouch}, true},
		{"one beyond", Options{Touch: FullTouch + 1}, false},
		{"one fret", Options{Low: 5, High: 5}, true},
		{"up from the fifth", Options{Low: 5}, true},
		{"down from it", Options{High: 5}, true},
		{"frets the wrong way round", Options{Low: 6, High: 5}, false},
		{"from before the nut", Options{Low: -1}, false},
		{"to before it", Options{High: -1}, false},
		{"a pin on one bar", pin(Pin{FromBarNumber: 2, ToBarNumber: 2}), true},
		{"on two", pin(Pin{FromBarNumber: 2, ToBarNumber: 3}), true},
		{"backwards", pin(Pin{FromBarNumber: 2, ToBarNumber: 1}), false},
		{"the lowest string", pin(Pin{String: 6}), true},
		{"a lower one", pin(Pin{String: 7}), false},
		{"one above the first", pin(Pin{String: -1}), false},
		{"pinned to one fret's region", pin(Pin{Low: 5, High: 5}), true},
		{"to none", pin(Pin{Low: 6, High: 5}), false},
		{"from the sixth up", pin(Pin{Low: 6}), true},
		{"from before the nut", pin(Pin{Low: -1}), false},
		{"to before it", pin(Pin{High: -1}), false},
		{"open", pin(Pin{Fret: fret(0)}), true},
		{"before the nut", pin(Pin{Fret: fret(-1)}), false},
		{"every bender", pin(Pin{Benders: set(7)}), true},
		{"a fourth", pin(Pin{Benders: set(8)}), false},
		{"a grip from end to end", pin(Pin{Grip: []Stop{{String: 1, Fret: 0}, {String: 6, Fret: 3}}}), true},
		{"beyond the strings", pin(Pin{Grip: []Stop{{String: 1}, {String: 7}}}), false},
		{"above them", pin(Pin{Grip: []Stop{{String: 0}}}), false},
		{"before the nut", pin(Pin{Grip: []Stop{{String: 1, Fret: -1}}}), false},
	} {
		if err := c.o.check(tn, r); (err == nil) != c.ok {
			t.Errorf("%s: %v", c.what, err)
		}
	}
}

// Names are read as they are written, and others refused.
func TestNamesOfChoices(t *testing.T) {
	for touch := GradeTouch; touch <= FullTouch; touch++ {
		if got, err := ParseTouch(touch.String()); err != nil || got != touch {
			t.Errorf("%q is read as %v, %v", touch, got, err)
		}
	}
	for h := GradeHarmony; h <= FullChords; h++ {
		if got, err := ParseHarmony(h.String()); err != nil || got != h {
			t.Errorf("%q is read as %v, %v", h, got, err)
		}
	}
	if got, err := ParseTouch("heavy"); err == nil {
		t.Errorf("a touch %v", got)
	}
	if got, err := ParseHarmony("fourths"); err == nil {
		t.Errorf("a harmony %v", got)
	}
}

// A harmony is told with where it comes from.
func TestHarmonisedWords(t *testing.T) {
	const told = "harmony under 3 of the melody's 4 notes; 1 stay single"
	for h, want := range map[Harmonised]string{
		{Notes: 4, Under: 3, Single: 1, Symbols: true}:             told,
		{Notes: 4, Under: 3, Single: 1, Symbols: true, FromKey: 1}: told + "; for want of a chord symbol 1 of them are taken from the key",
		{Notes: 4, Under: 3, Single: 1, FromKey: 3}:                told + "; there are no chord symbols, so it is taken from the key",
	} {
		if got := h.Words(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
