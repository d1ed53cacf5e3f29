package grip

import (
	"math"
	"testing"

	"lapwright/rig"
)

func FuzzName(f *testing.F) {
	for _, s := range []string{"1:5,2:5,3:4", "3:0A,2:0B,4:0", "1:0", "2:3,1:0,3:0", "1:13,3:12", "1:12.5", "", "1:5,1:5", "9:1", "1:NaN", "1:5Z"} {
		f.Add(s, uint8(0))
		f.Add(s, uint8(3))
	}
	rigs := rig.Builtins()
	f.Fuzz(func(t *testing.T, s string, which uint8) {
		r := rigs[int(which)%len(rigs)]
		stops, set, err := ParseStops(r, s)
		if err != nil {
			if stops != nil || err.Error() == "" {
				t.Fatalf("%q: %v with %v", s, err, stops)
			}
			return
		}
		n, err := Name(r, stops, set)
		if err != nil {
			return
		}
		if len(n.Notes) != len(stops) {
			t.Fatalf("%q: %d strings sound %d notes", s, len(stops), len(n.Notes))
		}
		for _, x := range n.Notes {
			if math.IsNaN(float64(x.CentsOff)) || math.Abs(float64(x.CentsOff)) > 50.01 || x.Label == "" {
				t.Fatalf("%q: %+v", s, x)
			}
		}
	})
}

func FuzzParseWant(f *testing.F) {
	for _, s := range []string{"A7", "G sixth", "F# m3", "G3 B3 D4", "G B D", "C/E", "", "H", "C-1 C10", "G,B,D", "D/C"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		w, err := ParseWant(s)
		if err == nil && (len(w.Tones) == 0 || w.Bass >= len(w.Tones) || len(w.Tones) > 2*MaxTones) {
			t.Fatalf("%q is read as %+v", s, w)
		}
	})
}
