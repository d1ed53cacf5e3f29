package sound

import (
	"reflect"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
)

// A string that goes on elsewhere in the piece does at its new time what was written for the old one: what is over stays
// away, the move of the steel that is under way is carried to its end, and a hand lifts what lay on the string when it was laid.
func TestStringGoesOnElsewhere(t *testing.T) {
	v := voices[rig.SquareNeckResonator]
	playing := func(wobbles ...wobble) *stringModel {
		return newString(stringPart{first: 50, wobbles: wobbles}, 440, wiringOf(rigtest.Builtin(t, "reso-open-g"), 1, v), newBridge(v, nil).answers(), 5, nil)
	}
	s := playing()
	s.take(stringPart{
		first:   50,
		actions: []action{{at: 79, kind: pluck}, {at: 80, kind: pluck, since: 80}, {at: 300, kind: lift, since: 200}},
		sweeps:  []sweep{{10, 70, 52, true, true}, {60, 120, 55, true, true}, {500, 600, 57, true, false}},
		wobbles: []wobble{{from: 20, to: 80}, {from: 90, to: 400}},
		swells:  []swell{{0, 80}, {70, 81}, {100, 200}},
	}, 80, 10080)
	want := stringPart{
		first:   50,
		actions: []action{{at: 10080, kind: pluck, since: 10080}, {at: 10300, kind: lift, since: 10200}},
		sweeps:  []sweep{{10080, 10120, 55, true, true}, {10500, 10600, 57, true, false}},
		wobbles: []wobble{{from: 10090, to: 10400}},
		swells:  []swell{{10070, 10081}, {10100, 10200}},
	}
	if !reflect.DeepEqual(s.stringPart, want) {
		t.Errorf("the string does\n%+v, want\n%+v", s.stringPart, want)
	}
	// Vibrato that is under way swings on from where it began, and vibrato to come begins in its time.
	for _, c := range []struct{ began, from int }{{9000, 9000}, {10080, 10060}, {10081, 10060}} {
		s := playing(wobble{from: c.began, to: 10500})
		s.take(stringPart{first: 50, wobbles: []wobble{{from: 60, to: 400}, {from: 500, to: 600}}}, 80, 10080)
		if want := []wobble{{from: c.from, to: 10400}, {from: 10500, to: 10600}}; !reflect.DeepEqual(s.wobbles, want) {
			t.Errorf("vibrato since %d goes on as %v, want %v", c.began, s.wobbles, want)
		}
	}
	// A string that has its pitch already stays as it is.
	s = playing()
	if s.take(stringPart{first: 47, sweeps: []sweep{{10, 70, 50, false, false}}}, 80, 10080); len(s.sweeps) > 0 {
		t.Errorf("a string at its pitch is moved: %v", s.sweeps)
	}
	// Where no move is under way the string comes to its pitch at once, in a millisecond or before the next move.
	for _, c := range []struct{ next, until int }{{1000, 10048}, {30, 10030}} {
		s := playing()
		s.take(stringPart{first: 50, sweeps: []sweep{{10, 70, 52, true, true}, {80 + c.next, 80 + c.next + 9, 55, true, true}}}, 80, 10000)
		if got := s.sweeps[0]; got != (sweep{10000, c.until, 52, true, false}) || len(s.sweeps) != 2 {
			t.Errorf("the next move %d samples on: %+v", c.next, s.sweeps)
		}
	}
}

// A move of no length, as a grace note's at a great speed, takes a sample; one that is asked for before the last has ended waits for it.
func TestMovesFollowEachOther(t *testing.T) {
	w := &scribe{sc: &score{parts: make([]stringPart, 1)}, hands: make([]ringing, 1)}
	w.sweep(0, 0.01, 0.01, 52, true, true)
	w.sweep(0, 0.005, 0.02, 53, true, true)
	w.sweep(0, 0.015, 0.0199, 54, true, false)
	want := []sweep{{480, 481, 52, true, true}, {481, 960, 53, true, true}, {960, 961, 54, true, false}}
	if got := w.sc.parts[0].sweeps; !reflect.DeepEqual(got, want) {
		t.Errorf("moves %v, want %v", got, want)
	}
}

// Each round of a loop is played by a hand that is never twice the same, and the same at every hearing.
func TestRoundsOfALoopDiffer(t *testing.T) {
	levels := func(round uint64) (out []float64) {
		l := newLive(t, fourBars(t), Options{Dry: true, Seed: 3})
		l.round = round
		sc, err := l.write()
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range sc.parts {
			for _, a := range p.actions {
				if a.kind == pluck {
					out = append(out, a.level)
				}
			}
		}
		return out
	}
	first, again, second, third := levels(1), levels(1), levels(2), levels(3)
	if len(first) < 4 || !reflect.DeepEqual(first, again) {
		t.Errorf("a round is played with the levels %v and then %v", first, again)
	}
	if reflect.DeepEqual(first, second) || reflect.DeepEqual(second, third) {
		t.Errorf("rounds are played with the same levels: %v, %v, %v", first, second, third)
	}
}
