package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// plucksOf returns the samples at which each string is plucked, string 1 first.
func plucksOf(sc *score) [][]int {
	out := make([][]int, len(sc.parts))
	for s, p := range sc.parts {
		for _, a := range p.actions {
			if a.kind == pluck {
				out[s] = append(out[s], a.at)
			}
		}
	}
	return out
}

// A chord of more than three strings is brushed by the thumb from the lowest up (common practice, no source): string after
// string, 7 ms apart, all within 35 ms and within the first third of the stroke. Three strings are plucked at once, and what is only held on isn't brushed.
func TestChordsAreBrushed(t *testing.T) {
	for _, c := range []struct {
		perMinute int64
		strings   []int
		held      int // a string whose note is tied on; 0 for none
		apart     int // samples
	}{
		{60, []int{1, 2, 3}, 0, 0},
		{60, []int{1, 2, 3, 4}, 0, 336},
		{60, []int{1, 2, 3, 4, 5, 6}, 0, 336},
		{600, []int{1, 2, 3, 4, 5, 6}, 0, 320},      // a stroke of 100 ms, a third of it over five steps
		{60, []int{1, 2, 3, 4, 5, 6, 7, 8}, 0, 240}, // 35 ms over seven
		{60, []int{1, 2, 3, 4, 5}, 3, 336},
		{60, []int{1, 2, 3, 4}, 3, 0},
	} {
		first := note{str: c.held, fret: 5, len: 1}
		if c.held == 0 {
			first.str = 1
		}
		tb := makeTab(t, rigtest.Builtin(t, "lap8-c13"), c.perMinute, first, note{str: c.strings[0], fret: 5, len: 1})
		st := &tb.Strokes[1]
		one := st.Plucks[0]
		st.Plucks = nil
		for _, s := range c.strings {
			p := one
			p.String = s
			if s == c.held {
				p.Attack = tab.Tied
			}
			st.Plucks = append(st.Plucks, p)
		}
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		var at []int
		for s, all := range slices.Backward(plucksOf(sc)) {
			if slices.Contains(c.strings, s+1) && s+1 != c.held {
				at = append(at, all[len(all)-1])
			}
		}
		for i := 1; i < len(at); i++ {
			if d := at[i] - at[i-1]; d < c.apart-1 || d > c.apart+1 {
				t.Errorf("strings %v at %d a minute, string %d held: plucked at %v from the lowest up, want %d apart", c.strings, c.perMinute, c.held, at, c.apart)
				break
			}
		}
	}
}

// Vibrato on a note that is tied on goes on as one: from the first note's beginning to the last one's end. A note that is begun anew
// has its own.
func TestVibratoGoesOverTies(t *testing.T) {
	begun := func(a tab.Attack) func(*tab.Stroke, *tab.Pluck) {
		return func(_ *tab.Stroke, p *tab.Pluck) { p.Vibrato, p.Attack = true, a }
	}
	for a, want := range map[tab.Attack][][2]int{
		tab.Tied:   {{0, 3 * Rate}},
		tab.Picked: {{0, Rate}, {Rate, 2 * Rate}, {2 * Rate, 3 * Rate}},
	} {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60,
			note{str: 2, fret: 7, len: 1, more: begun(tab.Picked)}, note{str: 2, fret: 7, len: 1, more: begun(a)}, note{str: 2, fret: 7, len: 1, more: begun(a)})
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		var got [][2]int
		for _, w := range sc.parts[1].wobbles {
			got = append(got, [2]int{w.from, w.to})
		}
		if !slices.Equal(got, want) {
			t.Errorf("attack %d: shaken over the samples %v, want %v", a, got, want)
		}
	}
}

// Plucked while it glides, a string is brought to the new note's pitch before the finger lands on it.
func TestPluckEndsAGlide(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	tb := makeTab(t, r, 60, note{str: 2, fret: 5, len: 1, glide: true}, note{str: 2, fret: 9, len: 1})
	sc, err := write(tb, Options{Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	key := tab.Key(steel.New(r), &tb.Strokes[1], &tb.Strokes[1].Plucks[0])
	if i := slices.IndexFunc(sc.parts[1].sweeps, func(w sweep) bool {
		return w.to == Rate && w.from < Rate && math.Abs(w.key-key) < 0.01 && w.from > Rate/2
	}); i < 0 {
		t.Errorf("no move of the steel ends with the second note at key %.2f: %v", key, sc.parts[1].sweeps)
	}
}

// The stretches that foretell how loud a piece is are whole bars, four of them where there are as many, spread evenly, each as long
// as it must be and no longer; a piece that they would be most of has none.
func TestStretchesAreSpreadEvenly(t *testing.T) {
	var notes []note
	for range 24 {
		notes = append(notes, note{str: 1, fret: 5, len: 4})
	}
	p := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 240, notes...).Performance() // a second a bar
	for _, c := range []struct {
		seconds float64
		want    []tune.Span
	}{
		{1, []tune.Span{{From: 0, To: 1}, {From: 6, To: 7}, {From: 12, To: 13}, {From: 18, To: 19}}},
		{1.5, []tune.Span{{From: 0, To: 2}, {From: 6, To: 8}, {From: 12, To: 14}, {From: 18, To: 20}}},
		{2, []tune.Span{{From: 0, To: 2}, {From: 6, To: 8}, {From: 12, To: 14}, {From: 18, To: 20}}},
		{4, []tune.Span{{From: 0, To: 4}, {From: 6, To: 10}, {From: 12, To: 16}, {From: 18, To: 22}}}, // 24 seconds: just 1.5 times all of it
		{4.01, nil},
	} {
		if got := stretches(p, c.seconds); !slices.Equal(got, c.want) {
			t.Errorf("stretches of %g s: %v, want %v", c.seconds, got, c.want)
		}
	}
	// Twelve bars of four seconds and twelve of a tenth of one: the third stretch takes all that is left.
	tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, notes...)
	tb.Tune.Bars[12].Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 2400 * 1000}}
	if got, want := stretches(tb.Performance(), 8), []tune.Span{{From: 0, To: 2}, {From: 6, To: 8}, {From: 12, To: 24}}; !slices.Equal(got, want) {
		t.Errorf("stretches of a piece that ends fast: %v, want %v", got, want)
	}
}

// What is foretold of a piece of one loudness is its gain, whatever the click and the count-in; a short piece's is its gain to the bit.
func TestForetoldOfAnEvenPiece(t *testing.T) {
	var notes []note
	for range 18 {
		notes = append(notes, note{str: 1, fret: 5, len: 2}, note{str: 3, fret: 5, len: 2})
	}
	for _, c := range []struct{ notes, speed, within float64 }{{36, 1, 0.7}, {36, 0.5, 0.7}, {36, 2, 0}, {6, 1, 0}} { // twice as fast the stretches would be most of it
		tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 240, notes[:int(c.notes)]...)
		o := Options{CountIn: 1, Click: true, Dry: true, Speed: c.speed}
		soon, err := ForetoldGain(tb, o)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := Gain(tb, o)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(soon-whole) > c.within || c.within > 0 && soon == whole {
			t.Errorf("%g notes at speed %g: %.3f dB foretold, %.3f measured", c.notes, c.speed, soon, whole)
		}
	}
	if _, err := ForetoldGain(makeTab(t, rigtest.Builtin(t, "reso-open-g"), 240, notes...), Options{Speed: 99}); err == nil {
		t.Error("a speed of 99 is taken")
	}
}

// A piece of a quarter of an hour to the second is sounded, and a bar more is not.
func TestLongestPiece(t *testing.T) {
	for bars, fits := range map[int]bool{MaxSeconds / 4: true, MaxSeconds/4 + 1: false} {
		notes := make([]note, bars)
		for i := range notes {
			notes[i] = note{str: 1, fret: 5, len: 4}
		}
		if _, err := write(makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, notes...), Options{Speed: 1}); (err == nil) != fits {
			t.Errorf("%d bars of four seconds: %v", bars, err)
		}
	}
}

// What a grace note plays is no event of the tune's: marks and rests are those of the note that it ornaments.
func TestGracesHaveNoEvent(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "reso-open-g"), 60, note{str: 1, fret: 5, len: 2})
	e := &tb.Tune.Bars[0].Lines[0][0]
	e.Graces = []tune.Grace{{Notes: slices.Clone(e.Notes)}}
	w := &scribe{t: tb}
	for grace, want := range map[int]*tune.Event{-1: e, 0: nil} {
		if got := w.event(tune.Ref{Grace: grace}); got != want {
			t.Errorf("grace %d: %v", grace, got)
		}
	}
}

// A volume pedal is closed as a swell begins and opens by the square of the time; before and after it is open.
func TestPedalOpens(t *testing.T) {
	s := &stringModel{stringPart: stringPart{swells: []swell{{100, 200}, {200, 300}}}}
	for _, c := range []struct {
		at   int
		want float64
	}{{0, 1}, {99, 1}, {100, 0}, {150, 0.25}, {175, 0.5625}, {200, 0}, {250, 0.25}, {300, 1}, {400, 1}} {
		if got := s.pedal(c.at); got != c.want {
			t.Errorf("at sample %d the pedal is open by %g, want %g", c.at, got, c.want)
		}
	}
}
