package tab

import (
	"math"
	"testing"

	"lapwright/pitch"
)

// Rolling the steel by 1.8 mm moves the pitch by 1200/ln 2 · 1.8/length cents: on
// the 600 mm of the rig 1731.234·1.8/600 = 5.1937, on the 300 mm left at fret 12
// twice that, on the 75 mm at fret 36 41.55, which is more than the hand lets.
func TestVibratoWidth(t *testing.T) {
	r := openD(t)
	for fret, want := range map[float64]float64{0: 5.1937, 12: 10.3874, 24: 20.7748, 36: 40} {
		if got := float64(VibratoWidth(r, fret)); math.Abs(got-want) > 1e-3 {
			t.Errorf("at fret %g: %.4f cents, want %.4f", fret, got, want)
		}
	}
}

// 5.2 swings a second from 0.22 s after the onset: the first crest comes a
// quarter of 1/5.2 s later, at 0.048077/0.3 of the full width; at the third the
// vibrato is full. In the last 0.05 s it dies away.
func TestVibratoAt(t *testing.T) {
	const quarter = 0.25 / 5.2
	for _, c := range []struct {
		what    string
		t, left float64
		want    pitch.Cents
	}{
		{"before it starts", 0.1, 1, 0},
		{"as it starts", 0.22, 1, 0},
		{"the first crest", 0.22 + quarter, 1, 10 * quarter / 0.3},
		{"the first trough", 0.22 + 3*quarter, 1, -10 * 3 * quarter / 0.3},
		{"a full crest", 0.22 + 9*quarter, 1, 10},
		{"a full trough", 0.22 + 11*quarter, 1, -10},
		{"between", 0.22 + 10*quarter, 1, 0},
		{"dying away", 0.22 + 9*quarter, 0.025, 5},
		{"at the end", 0.22 + 9*quarter, 0, 0},
		{"after it", 0.22 + 9*quarter, -0.01, 0},
	} {
		if got := VibratoAt(c.t, c.left, 10); math.Abs(float64(got-c.want)) > 1e-9 {
			t.Errorf("%s: %g cents, want %g", c.what, got, c.want)
		}
	}
}
