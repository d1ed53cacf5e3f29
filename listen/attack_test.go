package listen

import (
	"math"
	"testing"
)

// Plucks half a second apart, each of six partials that die away within a second, begin where they begin, within 5 ms: less than what the
// ear takes apart (common practice, no source); a soft one of a fifth of the others' height is found as well, as a weaker one; nothing is
// found between them, nor in silence before the first.
func TestAttacksAreWhereTheyBegin(t *testing.T) {
	plucks := []struct{ at, hz, height float64 }{{0.4, 196, 0.3}, {0.9, 247, 0.3}, {1.4, 294, 0.06}, {1.9, 392, 0.3}, {2.4, 147, 0.3}}
	x := make([]float32, 3*testRate)
	for _, p := range plucks {
		for i := int(p.at * testRate); i < len(x); i++ {
			s := float64(i)/testRate - p.at
			for k := 1.0; k <= 6; k++ {
				x[i] += float32(p.height / k * math.Exp(-3*k*s) * math.Cos(2*math.Pi*k*p.hz*s))
			}
		}
	}
	take, err := NewTake(x, testRate)
	if err != nil {
		t.Fatal(err)
	}
	found := take.Onsets()
	if len(found) != len(plucks) {
		t.Fatalf("%d plucks are found, want %d: %+v", len(found), len(plucks), found)
	}
	for i, p := range plucks {
		if off := found[i].At - p.at; math.Abs(off) > 0.005 {
			t.Errorf("the pluck at %.1f s is found %+.1f ms off", p.at, 1000*off)
		}
		if soft := found[i].Strength < 0.6; soft != (p.height < 0.1) {
			t.Errorf("the pluck at %.1f s, %.2f high, has strength %.2f", p.at, p.height, found[i].Strength)
		}
	}
	silence, err := NewTake(make([]float32, testRate), testRate)
	if err != nil {
		t.Fatal(err)
	}
	if found := silence.Onsets(); len(found) > 0 {
		t.Errorf("in silence %+v is found", found)
	}
}
