package tab

import (
	"math"
	"testing"

	"lapwright/rig/rigtest"
)

// In a note of a second the steel rolls 1.8 mm, which moves the pitch by 1200/ln 2 · 1.8/length cents: on
// the 600 mm of the rig 1731.234·1.8/600 = 5.1937, on the 300 mm left at fret 12
// twice that, on the 75 mm at fret 36 41.55, which is more than the hand lets. A short note has three
// quarters of it, a long one four thirds.
func TestVibratoWidth(t *testing.T) {
	r := rigtest.OpenD()
	for _, c := range []struct{ fret, seconds, want float64 }{
		{0, 1, 5.1937}, {12, 1, 10.3874}, {24, 1, 20.7748}, {36, 1, 40}, {12, 0.2, 7.7905}, {12, 2, 13.8499}, {12, 9, 13.8499},
	} {
		if got := float64(VibratoOf(r, &Pluck{Fret: c.fret}, c.seconds).Width); math.Abs(got-c.want) > 1e-3 {
			t.Errorf("at fret %g for %g s: %.4f cents, want %.4f", c.fret, c.seconds, got, c.want)
		}
	}
}

// Each note swings 4.5 to 6 times a second, about as far up as down and never as one sine: the
// times between its crossings and its crests differ. It is straight for 0.22 s, grows for 0.3 s and is
// still at its end; the same note swings the same, others otherwise.
func TestVibratoAt(t *testing.T) {
	r := rigtest.OpenD()
	seen := map[float64]bool{}
	for event := range 40 {
		p := &Pluck{Fret: 7, String: 1 + event%6}
		p.Ref.Event = event
		v := VibratoOf(r, p, 4)
		if v != VibratoOf(r, p, 4) {
			t.Fatal("a note does not swing as it did")
		}
		if v.At(0.21, 3) != 0 || v.At(0.3, 0) != 0 || v.At(1, -1) != 0 {
			t.Error("it swings before it starts or after it ends")
		}
		var crossings, crests []float64
		crest := 0.0
		const step = 0.0005
		for at := VibratoDelay + step; at < 4-VibratoFade; at += step {
			a, b := float64(v.At(at-step, 4-at)), float64(v.At(at, 4-at))
			if crest = max(crest, math.Abs(b)); a < 0 && b >= 0 {
				crossings = append(crossings, at)
			}
			if a*b < 0 {
				if at > VibratoDelay+VibratoGrow+0.2 {
					crests = append(crests, crest)
				}
				crest = 0
			}
		}
		least, most := math.Inf(1), 0.0
		for i := 1; i < len(crossings); i++ {
			hz := 1 / (crossings[i] - crossings[i-1])
			least, most = min(least, hz), max(most, hz)
		}
		if least < VibratoSlowest || most > VibratoFastest || most < least*1.03 {
			t.Errorf("note %d swings %.2f to %.2f times a second", event, least, most)
		}
		lo, hi := math.Inf(1), 0.0
		for _, c := range crests {
			lo, hi = min(lo, c), max(hi, c)
		}
		if w := float64(v.Width); lo < 0.85*w || hi > 1.15*w || hi < 1.05*lo {
			t.Errorf("note %d is %.2f to %.2f cents wide, %.2f on the whole", event, lo, hi, w)
		}
		seen[float64(v.At(2, 2))] = true
	}
	if len(seen) < 38 {
		t.Errorf("40 notes swing in %d ways", len(seen))
	}
}
