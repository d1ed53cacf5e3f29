package sound

import (
	"math"
	"slices"
	"testing"

	"lapwright/pitch"
)

// strummed is a fourth of a second or more of one note of an instrument of the band.
func strummed(kind Frame, n Struck, samples int) []float64 {
	f := NewFretted(kind, 440, 1)
	f.Play([]Struck{n}, 0, 0)
	x := make([]float64, samples)
	f.Add(x, make([]float64, samples), 1, 0)
	return x
}

// A note of the band's guitar and bass is stopped when it ends (30 dB down a fifth of a second
// later, where one left to ring is not 12 dB down); a stroke of full
// strength is the 10 dB louder that half of the hand's 20 dB is, within 4, since it bites, too.
func TestBandNotesEnd(t *testing.T) {
	for _, kind := range []Frame{BandGuitar, BandBass} {
		open, _ := kind.Strings()
		n := Struck{At: 4800, StringIndex: 1, Key: open[1] + 5, Strength: UsualStrength}
		f := float64(pitch.Equal(float64(n.Key), 440))
		const length = Rate * 9 / 10
		ringing := strummed(kind, n, length)
		n.End = 4800 + Rate*3/10
		ended := strummed(kind, n, length)
		n.End, n.Strength = 0, 1
		strong := strummed(kind, n, length)
		for i, v := range ringing[:4800] {
			if v != 0 {
				t.Fatalf("instrument %d sounds %d samples before it is struck", kind, 4800-i)
			}
		}
		from, to := levelAt(ringing, f, 0.3), levelAt(ringing, f, 0.6)
		if down := from - to; down < 0 || down > 12 {
			t.Errorf("instrument %d, left to ring, falls by %.1f dB in 0.3 s", kind, down)
		}
		if down := levelAt(ended, f, 0.3) - levelAt(ended, f, 0.6); down < 30 {
			t.Errorf("instrument %d, stopped, falls by %.1f dB", kind, down)
		}
		if more := levelAt(strong, f, 0.3) - from; math.Abs(more-10) > 4 {
			t.Errorf("instrument %d, struck with all strength, is %+.1f dB louder", kind, more)
		}
	}
}

// A chopped note is gone, 30 dB under one left to ring a fifth of a second after the stroke, on every string at every
// fifth fret: a chop is a knock, not a note (common practice, no source).
func TestBandChopsAreShort(t *testing.T) {
	for _, kind := range []Frame{BandGuitar, BandBass} {
		open, _ := kind.Strings()
		for s, key := range open {
			for fret := 0; fret <= 10; fret += 5 {
				n := Struck{At: 4800, StringIndex: s, Key: key + fret, Strength: UsualStrength}
				f := float64(pitch.Equal(float64(n.Key), 440))
				ringing := strummed(kind, n, Rate/2)
				n.Chopped = true
				if down := levelAt(ringing, f, 0.3) - levelAt(strummed(kind, n, Rate/2), f, 0.3); down < 30 {
					t.Errorf("instrument %d, string %d, fret %d: chopped, it lies %.1f dB under what rings", kind, s+1, fret, down)
				}
			}
		}
	}
}

// A pick stands where a player's hand is: 150 mm from the bridge of a guitar of 645, 330 mm from that of a
// bass of 1050, nearer when it plays louder. What a wave needs from there to the bridge and back is that share of the
// open string's period (Fletcher and Rossing, section 2.9), whatever the fret; the hand is off by at most 6 %.
func TestBandIsPickedWhereTheHandIs(t *testing.T) {
	for kind, share := range map[Frame]float64{BandGuitar: 150.0 / 645, BandBass: 330.0 / 1050} {
		open, frets := kind.Strings()
		f := NewFretted(kind, 440, 1)
		for s, key := range open {
			period := Rate / float64(pitch.Equal(float64(key), 440))
			for strength, nearer := range map[float64]float64{UsualStrength: 1, 1: 0.75, 0: 1.25} {
				a := f.pluck(Struck{At: 7, StringIndex: s, Key: key + frets, Strength: strength})
				if got := a.from / period / nearer; math.Abs(got/share-1) > unevenness || a.at != 7 {
					t.Errorf("instrument %d, string %d, strength %g: picked at %.3f of the string, want %.3f", kind, s+1, strength, got, share)
				}
				if level := 20*math.Log10(a.level) - strengthRange*(strength-UsualStrength); math.Abs(level) > 0.6 {
					t.Errorf("instrument %d, string %d, strength %g: %+.2f dB off", kind, s+1, strength, level)
				}
			}
		}
	}
}

// What stands in the middle comes from both sides alike, what stands aside from one; the power stays.
func TestPlaced(t *testing.T) {
	for _, place := range []float64{-1, -0.5, 0, 0.3, 1} {
		l, r := Placed(place)
		if power := l*l + r*r; math.Abs(power-2) > 1e-9 || (l > r+1e-9) != (place < 0) || (r > l+1e-9) != (place > 0) {
			t.Errorf("at %g: %.3f left, %.3f right, power %.3f", place, l, r, power)
		}
	}
	if l, r := Placed(-1); math.Abs(l-math.Sqrt2) > 1e-9 || math.Abs(r) > 1e-9 {
		t.Errorf("at the left: %.3f and %.3f", l, r)
	}
}

// What the band's hands write for a string: a stop before it is struck anew, but not before what it plays began; the end of a note
// where it has one; a chop's own.
func TestBandStopsItsStrings(t *testing.T) {
	open, _ := BandGuitar.Strings()
	for _, c := range []struct {
		first, second Struck
		stops         []int
	}{
		{Struck{At: 4800}, Struck{At: 9600}, []int{9120}},
		{Struck{At: 4800}, Struck{At: 5000}, []int{4801}},
		{Struck{At: 4800, End: 4801}, Struck{At: 9600}, []int{9120}},
		{Struck{At: 4800, End: 4802}, Struck{At: 9600}, []int{4802, 9120}},
		{Struck{At: 4800, Chopped: true}, Struck{At: 9600}, []int{4992, 9120}},
	} {
		f := NewFretted(BandGuitar, 440, 1)
		c.first.Key, c.second.Key = open[0], open[0]+2
		f.Play([]Struck{c.first, c.second}, 0, 0)
		round := func(n Struck) int { return n.At + int(Rate/float64(pitch.Equal(float64(n.Key), 440))) } // the hand's own damping
		var stops []int
		for _, a := range f.m.strings[0].actions {
			if a.kind == damp && a.at != round(c.first) && a.at != round(c.second) {
				stops = append(stops, a.at)
			}
		}
		if !slices.Equal(stops, c.stops) {
			t.Errorf("%+v and %+v: stopped at %v, want %v", c.first, c.second, stops, c.stops)
		}
	}
}
