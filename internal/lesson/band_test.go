package lesson

import (
	"context"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc/abctest"
)

// TestBandIsSoundedOnce: two instruments an octave apart have one band, sounded once, where it keeps clear of both with the
// same notes; where the lower has the tune among the guitar's notes, each has its own.
func TestBandIsSoundedOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("sounds a lesson")
	}
	at := func(octave int) arrange.Options { return arrange.Options{Octave: &octave} }
	for _, c := range []struct {
		what, text string
		one        bool
	}{
		{"both over the guitar", "X:1\nT:High\nM:4/4\nL:1/4\nQ:1/4=180\nK:G\n\"G\"g2 b2|\"D\"a2 f2|\"G\"g4|]\n", true},
		{"the lower among its notes", "X:1\nT:Low\nM:4/4\nL:1/4\nQ:1/4=180\nK:G\n\"G\"G2 B2|\"D\"A2 F2|\"G\"G4|]\n", false},
	} {
		l, err := Make(context.Background(), Plan{
			Tune: abctest.Tune(t, c.text), Rigs: rigs(t, "reso-open-g", "lap6-c6"), Recordings: OneRecording,
			Arrange: map[string]arrange.Options{"reso-open-g": at(0), "lap6-c6": at(-1)},
		}, nil)
		if err != nil {
			t.Fatal(err)
		}
		a, b := l.Editions[0], l.Editions[1]
		if apart := a.Result.Transposed - b.Result.Transposed; apart != 12 {
			t.Fatalf("%s: the instruments are %d semitones apart", c.what, apart)
		}
		if len(a.band) == 0 || len(b.band) == 0 {
			t.Fatalf("%s: nobody plays along", c.what)
		}
		if one := &a.band[0] == &b.band[0]; one != c.one {
			t.Errorf("%s: one band for both is %v, want %v", c.what, one, c.one)
		}
	}
}
