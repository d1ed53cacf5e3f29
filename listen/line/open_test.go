package line

import (
	"math"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
)

// A pluck is of the string that it is nearest to, within 180 cents, and of two strings a minor third apart each has half
// the way. Strings tuned otherwise on purpose are measured from where they should stand.
func TestNearestString(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g") // string 1 is D4, 2 B3, 3 G3, 6 G2
	const d4, b3, g2 = 62.0, 59.0, 43.0
	for _, c := range []struct {
		name   string
		key    float64
		tuned  []float64 // cents
		string int
		cents  float64
	}{
		{"string 1, exact", d4, nil, 1, 0}, {"string 1, sharp", d4 + 1.7, nil, 1, 170}, {"too sharp", d4 + 1.9, nil, 0, 0},
		{"string 1, flat", d4 - 1.4, nil, 1, -140}, {"nearer to string 2", d4 - 1.6, nil, 2, 140},
		{"string 6, flat", g2 - 1.7, nil, 6, -170}, {"too flat", g2 - 1.9, nil, 0, 0},
		{"string 2 tuned a just third", b3 - 0.137, []float64{0, -13.7, 0, 0, 0, 0}, 2, 0},
		{"string 2 stands equal then", b3, []float64{0, -13.7, 0, 0, 0, 0}, 2, 13.7},
		{"string 1 tuned down a tone", d4 - 2, []float64{-200, 0, 0, 0, 0, 0}, 1, 0},
	} {
		v, err := Strings(heard(t, plain(0.9, struck{0.1, 0.8, float64(pitch.Equal(c.key, r.Reference))})), r, c.tuned)
		if err != nil {
			t.Fatal(err)
		}
		if c.string == 0 {
			if !strings.Contains(v.Refused, "None of the rig's open strings") || v.Strings != nil {
				t.Errorf("%s: %+v", c.name, v)
			}
			continue
		}
		if v.Refused != "" || len(v.Strings) != len(r.Strings) {
			t.Errorf("%s: %+v", c.name, v)
			continue
		}
		for _, s := range v.Strings {
			if s.Heard != (s.String == c.string) {
				t.Errorf("%s: string %d heard: %v", c.name, s.String, s.Heard)
			}
			if off := float64(pitch.Between(s.Wanted, s.Hz)); s.Heard && (math.Abs(off-c.cents) > 1 || math.Abs(s.Onset-0.1) > 0.01) {
				t.Errorf("%s: %.2f cents at %.3f s, want %g at 0.1 s", c.name, off, s.Onset, c.cents)
			}
		}
	}
	if v, err := Strings(heard(t, plain(0.9, struck{0.1, 0.8, 294})), r, []float64{0, 0, 0}); v != nil || err == nil || !strings.Contains(err.Error(), "3 strings") || !strings.Contains(err.Error(), "has 6") {
		t.Errorf("three strings tuned of six: %+v, %v", v, err)
	}
}

// Of several plucks of one string the one held longest tells, wherever it comes, and a touch in passing tells nothing.
func TestLongestPluckTells(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	g3 := func(cents float64) float64 { return float64(pitch.Equal(55+cents/100, r.Reference)) }
	for _, c := range []struct {
		name   string
		plucks []struck
		cents  float64
		at     float64
	}{
		{"longer first", []struck{{0.1, 1, g3(20)}, {1.2, 1.5, g3(-20)}}, 20, 0.1},
		{"longer last", []struck{{0.1, 0.4, g3(20)}, {0.6, 1.5, g3(-20)}}, -20, 0.6},
		{"longer last, after a while", []struck{{1.0, 1.3, g3(20)}, {1.4, 1.7, g3(20)}, {1.8, 2.3, g3(-20)}}, -20, 1.8},
		{"longer between", []struck{{0.1, 0.4, g3(20)}, {0.6, 1.2, g3(-20)}, {1.3, 1.6, g3(40)}}, -20, 0.6},
	} {
		v, err := Strings(heard(t, plain(c.plucks[len(c.plucks)-1].until+0.1, c.plucks...)), r, nil)
		if err != nil || v.Refused != "" {
			t.Errorf("%s: %+v, %v", c.name, v, err)
			continue
		}
		s := v.Strings[2]
		if off := float64(pitch.Between(s.Wanted, s.Hz)); !s.Heard || math.Abs(off-c.cents) > 1 || math.Abs(s.Onset-c.at) > 0.01 {
			t.Errorf("%s: %+v, %.2f cents; want %g at %g s", c.name, s, off, c.cents, c.at)
		}
	}
	v, err := Strings(heard(t, plain(1.2, struck{0.1, 0.22, g3(0)}, struck{0.4, 1.1, float64(pitch.Equal(62, r.Reference))})), r, nil)
	if err != nil || v.Refused != "" || v.Strings[2].Heard || !v.Strings[0].Heard {
		t.Errorf("string 3 touched in passing, then string 1: %+v, %v", v, err)
	}
}
