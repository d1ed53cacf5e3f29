package rig

import (
	"math"
	"testing"

	"lapwright/pitch"
)

// Every move of every bender is listed once, and draws the string by what its
// rise in pull stretches it.
func TestBends(t *testing.T) {
	r, _ := Builtin("pedal10-e9")
	all := r.Bends()
	n := 0
	for _, b := range r.Benders {
		n += len(b.Moves)
	}
	if len(all) != n || n == 0 {
		t.Fatalf("%d bends, want %d", len(all), n)
	}
	for _, b := range all {
		s := r.Strings[b.String-1]
		up := b.Key - s.Open.Key()
		if up == 0 || (up > 0) != (b.Travel > 0) {
			t.Errorf("%s moves string %d by %d semitones with %g mm of travel", r.Benders[b.BenderIndex].Name, b.String, up, b.Travel)
		}
		open := s.Wire.Tension(r.Scale, s.Open.Hz(440))
		if want := float64(open) * math.Exp2(float64(up)/6); math.Abs(float64(b.Pull)-want) > 1e-9*want {
			t.Errorf("string %d pulls %g N at %+d, want %g", b.String, b.Pull, up, want)
		}
		if want := s.Wire.Stretch(r.Scale, b.Pull-open); math.Abs(float64(b.Travel-want)) > 1e-12 {
			t.Errorf("string %d travels %g mm, want %g", b.String, b.Travel, want)
		}
		if math.Abs(b.Share-float64(b.Pull/s.Wire.BreakingLoad())) > 1e-12 {
			t.Errorf("string %d carries %g", b.String, b.Share)
		}
	}
	if plain, _ := Builtin("lap6-c6"); plain.Bends() != nil {
		t.Error("a rig without benders bends")
	}
}

// A string's behaviour is that of its wire at its pitch and length.
func TestBehaviour(t *testing.T) {
	r, _ := Builtin("reso-open-g")
	b := r.Behaviour(1, 0)
	w, f := r.Strings[0].Wire, pitch.Hz(293.6648)
	if b.Pressed != 0 || math.Abs(float64(b.Stretch-w.Stretch(r.Scale, w.Tension(r.Scale, f)))) > 1e-5 {
		t.Errorf("stretch %g mm, pressed %g cents", b.Stretch, b.Pressed)
	}
	// A semitone is 12.2 % more pull.
	if ratio := float64(b.Semitone / b.Stretch); math.Abs(ratio-(math.Exp2(1.0/6)-1)) > 1e-9 {
		t.Errorf("a semitone takes %g of the stretch", ratio)
	}
	if b.Sharp10 <= b.Sharp5 || b.Sharp5 <= 0 {
		t.Errorf("partials 5 and 10 lie %g and %g cents sharp", b.Sharp5, b.Sharp10)
	}
}
