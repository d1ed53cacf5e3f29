package retune

import (
	"math"
	"testing"
)

// TestGaugesAsPacketsPrintThem: the inch is 25.4 mm (ISO 31-1); how packets print
// gauges is common practice, no source.
func TestGaugesAsPacketsPrintThem(t *testing.T) {
	for text, want := range map[string]struct {
		mm    float64
		wound bool
	}{
		"14": {0.3556, false}, ".014": {0.3556, false}, "0.014": {0.3556, false}, "0.36 mm": {0.36, false}, "0.36mm": {0.36, false},
		".042w": {1.0668, true}, "42w": {1.0668, true}, "42 w": {1.0668, true}, "42W": {1.0668, true}, "1.07 mm w": {1.07, true},
	} {
		got, err := ParseGauges(text)
		if err != nil || len(got) != 1 || math.Abs(float64(got[0].Diameter)-want.mm) > 1e-9 || got[0].Wound != want.wound {
			t.Errorf("%q is %v, %v, want %v", text, got, err, want)
		}
	}
	// Low to high, string 1 first in what comes of it.
	got, err := ParseGauges(".056 w .042w 0.61 mm 14")
	if err != nil || len(got) != 4 || math.Abs(float64(got[0].Diameter)-0.3556) > 1e-9 || !got[3].Wound {
		t.Errorf("a set is %v, %v", got, err)
	}
	for _, bad := range []string{"w", "14x", "1 4 w x", "0.36 m", "-14"} {
		if got, err := ParseGauges(bad); err == nil {
			t.Errorf("%q is %v", bad, got)
		}
	}
}
