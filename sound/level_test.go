package sound

import (
	"math"
	"slices"
	"testing"
)

// bursts are loud crackles and a click track on top of a tone: what a limiter
// has to work on.
func bursts() (lead, tick *Audio) {
	lead = sine(2, 220, 0.25, 0, 2)
	r := noise(77)
	for _, c := range lead.Channels {
		for k := range 41 {
			at := 500 + k*2300
			if k == 40 {
				at = mixChunk - 20 // over the seam between two stretches
			}
			for i := range 90 {
				c[at+i] += float32(3 * r.next() * math.Exp(-float64(i)/25))
			}
		}
	}
	tick = &Audio{Channels: [][]float32{make([]float32, lead.Len())}}
	for at := 700; at+clickLength < lead.Len(); at += 20000 {
		for i := range clickLength {
			tick.Channels[0][at+i] = float32(clickSample(i, 0))
		}
	}
	return lead, tick
}

// However tall the peaks, none is left above the ceiling in lead, click or
// their sum, and the lead is not turned down more than the limiter must.
func TestLimiter(t *testing.T) {
	lead, tick := bursts()
	level(lead, tick, DefaultLoudness)
	sum := &Audio{}
	for _, c := range lead.Channels {
		mixed := slices.Clone(c)
		for i, v := range tick.Channels[0] {
			mixed[i] += v
		}
		sum.Channels = append(sum.Channels, mixed)
	}
	for what, a := range map[string]*Audio{"lead": lead, "click": tick, "sum": sum} {
		if _, peak := Loudness(a); peak > Ceiling+1e-3 {
			t.Errorf("%s: %.3f dBTP", what, peak)
		}
	}
	lufs, peak := Loudness(lead)
	if lufs > DefaultLoudness+0.1 || peak < Ceiling-1.5 {
		t.Errorf("the lead comes out at %.2f LUFS and %.2f dBTP", lufs, peak)
	}
}

// The gain never jumps: over a millisecond it changes by less than 6 dB.
func TestLimiterIsSmooth(t *testing.T) {
	lead, tick := bursts()
	gain := limit(lead, tick)
	if gain == nil {
		t.Fatal("there is nothing to limit")
	}
	for i := 48; i < len(gain); i++ {
		if r := gain[i] / gain[i-48]; r < 0.5 || r > 2 || gain[i] <= 0 || gain[i] > 1 {
			t.Fatalf("the gain goes from %g to %g in a millisecond", gain[i-48], gain[i])
		}
	}
	apply(lead, gain)
	if _, peak := Loudness(lead); peak > Ceiling+0.2 {
		t.Errorf("under the gain the lead still peaks at %.2f dBTP", peak)
	}
}

// Peaks are found alike in a whole signal and in a sum made a stretch at a time.
func TestMixPeaks(t *testing.T) {
	lead, _ := bursts()
	silent := make([]float32, lead.Len())
	type found struct {
		at   int
		peak float32
	}
	collect := func(run func(func(int, float32) float32)) (out []found) {
		run(func(i int, p float32) float32 { out = append(out, found{i, p}); return 0.9 })
		return out
	}
	c := lead.Channels[0]
	whole := collect(func(f func(int, float32) float32) { overPeaks(c, 0.9, f) })
	parts := collect(func(f func(int, float32) float32) { overMixPeaks(c, silent, 0.9, f) })
	if len(whole) == 0 || !slices.Equal(whole, parts) {
		t.Errorf("%d peaks in the whole, %d in parts", len(whole), len(parts))
	}
	// Against every sample looked at.
	var plain []found
	for i := range c {
		if p := peakNear(c, i); p > 0.9 {
			plain = append(plain, found{i, p})
		}
	}
	if !slices.Equal(whole, plain) {
		t.Errorf("%d peaks found, %d are there", len(whole), len(plain))
	}
}
