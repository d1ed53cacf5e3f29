package sound

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// loudBetween returns the root mean square of the left side between two times in
// seconds.
func loudBetween(a *Audio, from, to float64) float64 {
	sum, n := 0.0, 0
	for _, v := range a.Channels[0][sampleAt(from):sampleAt(to)] {
		sum += float64(v) * float64(v)
		n++
	}
	return math.Sqrt(sum / float64(n))
}

// A chop is over when a plucked string still rings: 130 ms on, it is 15 dB softer,
// and what is left is what body and other strings answered.
func TestChopHasNoPitchLeft(t *testing.T) {
	left := func(a tab.Attack) float64 {
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60, note{str: 3, fret: 5, len: 2}, note{str: 3, fret: 5, len: 2, attack: a})
		if a == tab.Chopped {
			tb.Tune.Bars[0].Lines[0][1].Notes[0].Chop, tb.Strokes[1].Plucks[0].Fret = true, 0
		}
		out, err := Render(tb, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return 20 * math.Log10(loudBetween(out, 2.13, 2.2)/loudBetween(out, 1, 1.9))
	}
	plucked, chopped := left(tab.Picked), left(tab.Chopped)
	if chopped > plucked-15 {
		t.Errorf("%.1f dB of a chop are left and %.1f of a pluck", chopped, plucked)
	}
}

// A swell is heard growing where there is a pickup and a pedal after it; on an
// acoustic body it is a plain pluck.
func TestSwellGrows(t *testing.T) {
	rise := func(rig string, swells bool) float64 {
		tb := makeTab(t, rigtest.Builtin(t, rig), 60, note{str: 2, fret: 5, len: 4})
		if swells {
			tb.Tune.Bars[0].Lines[0][0].Marks = []tune.Mark{tune.Swell}
		}
		out, err := Render(tb, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return 20 * math.Log10(loudBetween(out, 0.8, 1)/loudBetween(out, 0.05, 0.25))
	}
	if plain, swelled := rise("pedal10-e9", false), rise("pedal10-e9", true); swelled < plain+10 || swelled < 6 {
		t.Errorf("a swell rises by %.1f dB and a plain note by %.1f", swelled, plain)
	}
	if plain, swelled := rise("reso-open-g", false), rise("reso-open-g", true); plain != swelled {
		t.Errorf("a swell on a body without a pickup changes the sound: %.1f dB for %.1f", swelled, plain)
	}
}

// The palm is on a ringing string before the pick chops it, by as much as a finger that plucks it anew; a note that began a
// moment before is not stopped before it began.
func TestChopStopsWhatRang(t *testing.T) {
	for _, c := range []struct{ perMinute, early int64 }{{60, 480}, {30000, 96}} { // samples: 10 ms, and a quarter of 2 ms
		tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), c.perMinute, note{str: 3, fret: 5, len: 1}, note{str: 3, len: 1, attack: tab.Chopped})
		tb.Tune.Bars[0].Lines[0][1].Notes[0].Chop = true
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		var plucks, damps []int
		for _, a := range sc.parts[2].actions {
			switch a.kind {
			case pluck:
				plucks = append(plucks, a.at)
			case damp:
				damps = append(damps, a.at)
			}
		}
		if len(plucks) != 2 || len(damps) != 2 || plucks[1]-damps[0] != int(c.early) || damps[1] <= plucks[1] {
			t.Errorf("%d a minute: plucked at %v and damped at %v, want the first stop %d samples before the chop", c.perMinute, plucks, damps, c.early)
		}
	}
}
