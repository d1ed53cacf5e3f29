package sound

import (
	"math"
	"testing"

	"lapwright/pitch"
)

// Each tone's frequency, read back from the phase of its fundamental half a
// second apart, is right to a thousandth of a cent; nothing clips, and
// there is silence between.
func TestTones(t *testing.T) {
	freqs := []pitch.Hz{97.99885899543733, 146.8323839587038, 293.996576986312, 415.3046975799451}
	a := Tones(freqs)
	if len(a.Channels) != 1 || math.Abs(a.Seconds()-4*(toneSeconds+toneGap)) > 1e-3 {
		t.Fatalf("%d channels of %g s", len(a.Channels), a.Seconds())
	}
	span := int((toneSeconds + toneGap) * Rate)
	for k, f := range freqs {
		one := a.Channels[0][k*span : (k+1)*span]
		// The phase against a tone a little off, at two moments, gives the rest.
		phase := func(from int) float64 {
			re, im := 0.0, 0.0
			for i := from; i < from+Rate/2; i++ {
				w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i-from)/(Rate/2))
				arg := 2 * math.Pi * (float64(f) + 0.2) * float64(i) / Rate
				re += w * float64(one[i]) * math.Cos(arg)
				im -= w * float64(one[i]) * math.Sin(arg)
			}
			return math.Atan2(im, re)
		}
		turn := math.Remainder(phase(2*Rate)-phase(Rate), 2*math.Pi)
		got := float64(f) + 0.2 + turn/(2*math.Pi)
		if off := pitch.Between(f, pitch.Hz(got)); math.Abs(float64(off)) > 0.001 {
			t.Errorf("tone %d sounds %.5f Hz, want %.5f (%.4f cents off)", k, got, f, off)
		}
		for i := int(toneSeconds * Rate); i < span; i++ {
			if one[i] != 0 {
				t.Fatalf("tone %d does not end in silence", k)
			}
		}
	}
	for i, v := range a.Channels[0] {
		if v > 0.3 || v < -0.3 {
			t.Fatalf("sample %d is %g: louder than a reference tone should be", i, v)
		}
	}
}
