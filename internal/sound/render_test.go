package sound

import (
	"testing"
)

// Each built-in rig sounds, at the loudness asked for and under the ceiling.
func TestLevelOfEveryRig(t *testing.T) {
	for _, name := range []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d", "lap6-c6", "lap8-c13"} {
		tb := makeTab(t, builtin(t, name), 90,
			note{str: 1, fret: 5, len: 2}, note{str: 2, fret: 7, len: 2}, note{str: 3, len: 4}, note{str: 1, fret: 12, len: 2}, note{str: 4, len: 2})
		a, err := Render(tb, Options{CountIn: 1})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		lufs, peak := Loudness(a)
		if lufs < -17 || lufs > -15 || peak > Ceiling {
			t.Errorf("%s: %.2f LUFS, %.2f dBTP; want -16 within 1, at most %v", name, lufs, peak, Ceiling)
		}
	}
}
