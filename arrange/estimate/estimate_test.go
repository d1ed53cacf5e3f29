package estimate_test

import (
	"errors"
	"fmt"
	"testing"

	"lapwright/arrange/estimate"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
)

// never is a watch that nobody gives up.
func never() error { return nil }

// A melody in the tuning's own key lies better than one a semitone off, a narrower region
// never better than a wider one, and a note that no string has is lost.
func TestCost(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	lim := grip.LimitsOf(grip.FirstYear)
	scale := []int{67, 69, 71, 72, 74, 76, 78, 79}
	at := func(o grip.Region, semitones int) int64 {
		c, err := estimate.New(r, 0, lim, o, 4).Cost(never, scale, semitones)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if own, off := at(grip.Region{}, -12), at(grip.Region{}, -11); own >= off {
		t.Errorf("G costs %d and A flat %d", own, off)
	}
	if wide, narrow := at(grip.Region{}, -12), at(grip.Region{Low: 1, High: 5}, -12); narrow < wide {
		t.Errorf("the whole neck costs %d and five frets %d", wide, narrow)
	}
	if c := at(grip.Region{Low: 1, High: 1, Closed: true}, -12); c < int64(grip.Standard().TopLost) {
		t.Errorf("a scale at one fret costs %d, where notes are lost", c)
	}
	e := estimate.New(r, 0, lim, grip.Region{}, 4)
	for text, want := range map[string]bool{"G major": true, "D major": true, "F major": false, "A major": false} {
		k, err := pitch.ParseKey(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := e.Suits(k, 0); got != want {
			t.Errorf("the open strings suit %s: %v", text, got)
		}
	}
}

// hand is the region of the fifth to the seventh fret without open strings, where each note of
// reso-open-g lies on one string alone: 67 to 69 on the first, 64 to 66 on the second,
// 60 to 62, 55 to 57, 52 to 54 and 48 to 50.
var hand = grip.Region{Low: 5, High: 7, Closed: true}

// Each price alone comes to what it does by hand. Places on the neck are those of
// equal temperament, 635 mm (25 in) times 1 − 2^(−fret/12); prices are worked out from
// what stands beside each in grip.Prices.
func TestEachPriceAlone(t *testing.T) {
	open := grip.Region{Low: 5, High: 7}
	octave := grip.Region{Low: 11, High: 13, Closed: true}
	upper := grip.Region{Low: 8, High: 10, Closed: true}
	for _, c := range []struct {
		say    string
		prices grip.Prices
		region grip.Region
		melody []int
		want   int64 // hundredths of a point
	}{
		{"a note alone is no journey", grip.Prices{Move: 100}, hand, []int{69}, 0},
		{"the fifth fret to the seventh, 51.9 mm", grip.Prices{}, hand, []int{67, 69}, 103},
		{"and back", grip.Prices{}, hand, []int{69, 67}, 103},
		{"there and back", grip.Prices{}, hand, []int{67, 69, 67}, 206},
		{"across the strings at one fret", grip.Prices{Move: 100}, hand, []int{67, 64}, 0},
		{"the octave is found half as easily, 18.9 mm up", grip.Prices{Move: 100}, octave, []int{73, 74}, 237},
		{"and 17.8 mm down", grip.Prices{Move: 100}, octave, []int{75, 74}, 235},
		{"in a third of a second", grip.Prices{MoveQuick: 10}, octave, []int{73, 74}, 97},
		{"an open string, then the steel laid on", grip.Prices{Lift: 45}, open, []int{59, 67}, 45},
		{"the steel lifted off", grip.Prices{Lift: 45}, open, []int{67, 59}, 45},
		{"two frets above the third", grip.Prices{LiftHigh: 170}, open, []int{59, 67}, 340},
		{"likewise off", grip.Prices{LiftHigh: 170}, open, []int{67, 59}, 340},
		{"from open string to open string nothing is lifted", grip.Prices{Lift: 45}, open, []int{59, 62}, 0},
		{"two strings on", grip.Prices{Skip: 45}, hand, []int{67, 60}, 0},
		{"three strings on", grip.Prices{Skip: 45}, hand, []int{67, 55}, 45},
		{"from the sixth string to the first", grip.Prices{Skip: 45}, hand, []int{48, 67}, 135},
		{"two frets above the fifth", grip.Prices{Up: 4}, hand, []int{69}, 8},
		{"the fourth string suits a melody", grip.Prices{Thick: 25}, hand, []int{55}, 0},
		{"the sixth is two beyond", grip.Prices{Thick: 25}, hand, []int{48}, 50},
		{"the third string is not dull", grip.Prices{Dull: 10}, upper, []int{63}, 0},
		{"the sixth is at the tenth fret", grip.Prices{Dull: 10}, upper, []int{53}, 30},
		{"open strings are welcome", grip.Prices{OpenSparing: 25, OpenAvoided: 380}, open, []int{59, 59}, 0},
		{"a note that the hand can't reach", grip.Prices{TopLost: 60000}, hand, []int{70}, 60000},
		{"and what is left", grip.Prices{TopLost: 60000}, hand, []int{67, 70, 69}, 60103},
		{"the first is lost", grip.Prices{TopLost: 60000}, hand, []int{70, 67, 69}, 60103},
		{"closed, an open string is lost", grip.Prices{TopLost: 60000}, hand, []int{59}, 60000},
		{"no melody", grip.Prices{TopLost: 60000}, hand, nil, 0},
	} {
		r, _ := rig.Builtin("reso-open-g")
		lim := grip.LimitsOf(grip.Steady)
		lim.Prices = &c.prices
		if got, err := estimate.New(r, 0, lim, c.region, 4).Cost(never, c.melody, 0); err != nil || got != c.want {
			t.Errorf("%s: %v costs %d (%v), by hand %d", c.say, c.melody, got, err, c.want)
		}
	}
}

// Where open strings are avoided each of them costs, and a stopped string is taken instead.
func TestOpenStringsAvoided(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	r.Habits.Open = rig.OpenAvoided
	lim := grip.LimitsOf(grip.Steady)
	lim.Prices = &grip.Prices{OpenAvoided: 380}
	for _, c := range []struct {
		melody []int
		want   int64
	}{
		{[]int{43, 43}, 760}, // the lowest string's own note lies nowhere else
		{[]int{62, 62}, 0},   // D4 is on the third string's seventh fret too
	} {
		if got, err := estimate.New(r, 0, lim, grip.Region{}, 4).Cost(never, c.melody, 0); err != nil || got != c.want {
			t.Errorf("%v costs %d (%v), by hand %d", c.melody, got, err, c.want)
		}
	}
}

// The neck ends where it does, with a capo and without; a player's own last fret counts
// from the capo. Nothing is lower than the lowest open string.
func TestCompass(t *testing.T) {
	plain, _ := rig.Builtin("reso-open-g") // G2 to D4, 24 frets
	placed, err := plain.WithCapo(3)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		say     string
		rig     *rig.Rig
		capo    int
		level   grip.Level
		low, hi int
	}{
		{"24 frets", plain, 0, grip.Steady, 43, 86},
		{"24 frets, a capo at the third to come", plain, 3, grip.Steady, 46, 86},
		{"24 frets, a capo at the third in place", placed, 3, grip.Steady, 46, 86},
		{"24 frets, the capo to be taken off", placed, 0, grip.Steady, 43, 86},
		{"15 frets for a first year", plain, 0, grip.FirstYear, 43, 77},
		{"15 frets for a first year, a capo at the third", plain, 3, grip.FirstYear, 46, 80},
	} {
		lim := grip.LimitsOf(c.level)
		lim.Prices = &grip.Prices{TopLost: 1}
		for key := 30; key < 100; key++ {
			lost, err := estimate.New(c.rig, c.capo, lim, grip.Region{}, 4).Cost(never, []int{key}, 0)
			if err != nil {
				t.Fatal(err)
			}
			if want := key < c.low || key > c.hi; (lost == 1) != want {
				t.Errorf("%s: key %d is lost: %v", c.say, key, lost == 1)
			}
		}
	}
}

// A capo to come costs what one in place does, and a melody moved what it does written there.
// With a capo at the fifth fret its second to fourth are the neck's seventh to
// ninth, 46.2 mm apart.
func TestCapoAndMove(t *testing.T) {
	plain, _ := rig.Builtin("reso-open-g")
	placed, err := plain.WithCapo(5)
	if err != nil {
		t.Fatal(err)
	}
	lim := grip.LimitsOf(grip.Steady)
	lim.Prices = &grip.Prices{}
	for _, r := range []*rig.Rig{plain, placed} {
		e := estimate.New(r, 5, lim, grip.Region{Low: 2, High: 4, Closed: true}, 4)
		for _, semitones := range []int{0, 7, -12} {
			melody := []int{69 - semitones, 71 - semitones}
			if got, err := e.Cost(never, melody, semitones); err != nil || got != 92 {
				t.Errorf("%v moved by %d costs %d (%v), by hand 92", melody, semitones, got, err)
			}
		}
	}
}

// The open strings G, B and D suit keys that have them all and whose tonic is one of them; the
// key may be moved, and a capo moves the strings.
func TestSuits(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	for _, c := range []struct {
		key             string
		semitones, capo int
		want            bool
	}{
		{"G major", 0, 0, true},
		{"G mixolydian", 0, 0, true},
		{"B minor", 0, 0, true},
		{"C major", 0, 0, false}, // has all three, but no string is C
		{"E minor", 0, 0, false},
		{"A major", -2, 0, true},
		{"A major", 2, 0, false},
		{"F major", 2, 0, true},
		{"G major", 12, 0, true},
		{"G major", 0, 2, false},
		{"A major", 0, 2, true},
		{"G major", 2, 2, true},
		{"Bb major", 0, 3, true},
	} {
		k, err := pitch.ParseKey(c.key)
		if err != nil {
			t.Fatal(err)
		}
		if got := estimate.New(r, c.capo, grip.LimitsOf(grip.Steady), grip.Region{}, 4).Suits(k, c.semitones); got != c.want {
			t.Errorf("%s moved by %d with the capo at %d: %v", c.key, c.semitones, c.capo, got)
		}
	}
}

// The watch is asked at every note, and its error ends the work.
func TestGivenUp(t *testing.T) {
	r, _ := rig.Builtin("reso-open-g")
	e := estimate.New(r, 0, grip.LimitsOf(grip.Steady), grip.Region{}, 4)
	enough := errors.New("enough")
	asked := 0
	if _, err := e.Cost(func() error {
		if asked++; asked == 2 {
			return enough
		}
		return nil
	}, []int{67, 69, 71}, 0); err != enough || asked != 2 {
		t.Errorf("asked %d times, gave up with %v", asked, err)
	}
}

// Two octaves for a melody are compared.
func Example() {
	r, _ := rig.Builtin("reso-open-g")
	e := estimate.New(r, 0, grip.LimitsOf(grip.Steady), grip.Region{}, 4)
	low, _ := e.Cost(func() error { return nil }, []int{67, 71, 74}, -12)
	high, _ := e.Cost(func() error { return nil }, []int{67, 71, 74}, 0)
	fmt.Println(low < high)
	// Output: true
}
