package refcheck

import (
	"math"
	"testing"

	"lapwright/pitch"
	"lapwright/sound"
)

// Every string of the band's instruments, at every fret they are stopped at, sounds within a cent of equal temperament from the
// tune's A4 (ISO 16). Witness: the estimate by autocorrelation that the lead's pitches are read by, which knows
// nothing of what was meant.
func TestBackingPitch(t *testing.T) {
	notes, worst := 0, 0.0
	for _, frame := range []sound.Frame{sound.BandGuitar, sound.BandBass} {
		for _, a4 := range []pitch.Hz{440, 432} {
			open, frets := frame.Strings()
			for s := range open {
				for fret := 0; fret <= frets; fret += 1 + fret%2 {
					f := sound.NewFretted(frame, a4, 1)
					f.Play([]sound.Struck{{At: 100, StringIndex: s, Key: open[s] + fret, Strength: sound.UsualStrength}}, 0, 0)
					x := make([]float64, sound.Rate/2)
					f.Add(x, make([]float64, len(x)), 1, 0)
					want := float64(pitch.Equal(float64(open[s]+fret), a4))
					off := 1200 * math.Log2(heardPitch(x[sound.Rate/10:])/want)
					notes++
					worst = max(worst, math.Abs(off))
					if !(math.Abs(off) <= 1) {
						t.Errorf("instrument %d, A4 = %g, string %d, fret %d: %+.2f cents off %.2f Hz", frame, float64(a4), s+1, fret, off, want)
					}
				}
			}
		}
	}
	if notes < 100 {
		t.Fatalf("only %d notes were tried", notes)
	}
	t.Logf("%d notes, worst %.2f cents", notes, worst)
}
