package sound

import (
	"math"
	"testing"
)

func sine(seconds, hz, amplitude, phase float64, sides int) *Audio {
	a := &Audio{}
	for range sides {
		c := make([]float32, int(seconds*Rate))
		for i := range c {
			c[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/Rate+phase))
		}
		a.Channels = append(a.Channels, c)
	}
	return a
}

// Loudness of tones: ITU-R BS.1770-4, annex 1: a 0 dB full-scale 997 Hz sine in
// one channel reads −3.01 LKFS; EBU Tech 3341, case 1: −23 dBFS in both, −23.0.
func TestLoudnessOfTones(t *testing.T) {
	for _, c := range []struct {
		what string
		a    *Audio
		want float64
	}{
		{"full scale, one channel", sine(3, 997, 1, 0, 1), -3.01},
		{"-23 dBFS, both channels", sine(3, 1000, math.Pow(10, -23.0/20), 0, 2), -23.0},
		{"-33 dBFS, both channels", sine(3, 1000, math.Pow(10, -33.0/20), 0, 2), -33.0},
	} {
		got, _ := Loudness(c.a)
		if math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: %.3f LUFS, want %.2f", c.what, got, c.want)
		}
	}
}

// Gating: EBU Tech 3341, case 3: 10 s at −36, 60 s at −23, 10 s at −36 dBFS reads
// −23.0; shortened here in proportion.
func TestLoudnessGate(t *testing.T) {
	a := sine(16, 1000, math.Pow(10, -23.0/20), 0, 2)
	soft := float32(math.Pow(10, -13.0/20))
	for _, c := range a.Channels {
		for i := range c {
			if i < 2*Rate || i >= 14*Rate {
				c[i] *= soft
			}
		}
	}
	if got, _ := Loudness(a); math.Abs(got+23) > 0.1 {
		t.Errorf("%.3f LUFS, want -23", got)
	}
}

// True peak: EBU Tech 3341, cases 15 to 18: a sine of a quarter of the rate read
// at 45° has samples at −9 dBFS and peaks at −6; tolerance +0.2, −0.4 dB.
func TestTruePeakBetweenSamples(t *testing.T) {
	for _, c := range []struct{ hz, phase float64 }{
		{Rate / 4, math.Pi / 4}, {Rate / 4, 0}, {Rate / 6, math.Pi / 3}, {Rate / 8, math.Pi / 8},
	} {
		a := sine(0.5, c.hz, 0.5, c.phase, 1)
		ramp := a.Channels[0] // start and stop gently, so that only the tone counts
		for i := range 2400 {
			g := float32(0.5 - 0.5*math.Cos(math.Pi*float64(i)/2400))
			ramp[i] *= g
			ramp[len(ramp)-1-i] *= g
		}
		_, got := Loudness(a)
		if got > -6.02+0.2 || got < -6.02-0.4 {
			t.Errorf("%g Hz at %.2f rad: %.2f dBTP, want -6.02", c.hz, c.phase, got)
		}
	}
}

func TestLoudnessOfSilence(t *testing.T) {
	lufs, peak := Loudness(&Audio{Channels: [][]float32{make([]float32, Rate)}})
	if !math.IsInf(lufs, -1) || !math.IsInf(peak, -1) {
		t.Errorf("silence reads %g LUFS and %g dBTP, want -Inf for both", lufs, peak)
	}
}
