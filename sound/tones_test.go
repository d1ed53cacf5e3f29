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

// A tone's first partial lies at −20 dB of full scale and the n-th, of six, at a part in n of it; it fades
// in and out evenly over 30 ms.
func TestToneLevels(t *testing.T) {
	const f = 200.0
	x := Tones([]pitch.Hz{f}).Channels[0]
	amplitudeAt := func(hz float64, from int) float64 { // over 5 ms, one period of f
		re, im := 0.0, 0.0
		for i := from; i < from+Rate/200; i++ {
			s, c := math.Sincos(2 * math.Pi * hz * float64(i) / Rate)
			re, im = re+float64(x[i])*c, im+float64(x[i])*s
		}
		return math.Hypot(re, im) * 2 / (Rate / 200)
	}
	for n := 1; n <= 8; n++ {
		want := 0.1 / float64(n)
		if n > 6 {
			want = 0
		}
		if got := amplitudeAt(float64(n)*f, Rate); math.Abs(got-want) > 1e-4 {
			t.Errorf("partial %d has %.4f, want %.4f", n, got, want)
		}
	}
	for _, from := range []int{12 * Rate / 1000, 2983 * Rate / 1000} { // around the middle of a fade
		if got := amplitudeAt(f, from); math.Abs(got-0.05) > 0.004 {
			t.Errorf("from sample %d it has %.4f, want half of 0.1", from, got)
		}
	}
}

// What would lie above half the sample rate is left out: there it would be heard as another tone (26 kHz at 22, 39 at 9).
func TestHighTonesHaveNoMirror(t *testing.T) {
	x := Tones([]pitch.Hz{13000}).Channels[0][Rate : 2*Rate]
	for hz, want := range map[float64]float64{13000: toneLevel, 22000: 0, 9000: 0} {
		re, im := 0.0, 0.0
		for i, v := range x {
			s, c := math.Sincos(2 * math.Pi * hz * float64(i) / Rate)
			re, im = re+float64(v)*c, im+float64(v)*s
		}
		if got := 2 * math.Hypot(re, im) / Rate; math.Abs(got-want) > 1e-6 {
			t.Errorf("a tone of 13 kHz has %g at %g Hz, want %g", got, hz, want)
		}
	}
}
