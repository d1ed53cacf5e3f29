package sound

import (
	"math"
	"math/cmplx"
	"testing"

	"lapwright/rig"
	"lapwright/tab"
)

// bridgeThirds returns the levels of a body's bridge admittance in the third-octave bands from 100 Hz to 8 kHz, in dB against their mean.
func bridgeThirds(v voice) []float64 {
	const steps = 20
	b := newBridge(v, nil)
	var out []float64
	mean := 0.0
	for k := -10; k <= 9; k++ {
		sum := 0.0
		for i := range steps {
			y, _, _ := b.admittance(1000 * math.Exp2((float64(k)+(float64(i)+0.5)/steps-0.5)/3))
			sum += cmplx.Abs(y) * cmplx.Abs(y)
		}
		out = append(out, 10*math.Log10(sum))
		mean += out[len(out)-1] / 20
	}
	for i := range out {
		out[i] -= mean
	}
	return out
}

// Acoustic bodies are told apart at their bridges: no filter colours them, and the resonator's admittance alone lies at least
// 6 dB rms from three cones' and 3 dB from wood. What is heard of a stroke differs by as much (refcheck's TestStrokesAgainstRecorded).
func TestBodiesDifferAtTheBridge(t *testing.T) {
	least := map[rig.Body]float64{rig.Tricone: 6, rig.HollowNeckAcoustic: 3, rig.RoundNeckAcoustic: 3}
	one := bridgeThirds(voices[rig.SquareNeckResonator])
	acoustic := 0
	for kind, v := range voices {
		if v.pickup > 0 {
			continue
		}
		acoustic++
		if len(v.tone) > 0 || v.amp != nil {
			t.Errorf("%s is heard through filters", kind)
		}
		if kind == rig.SquareNeckResonator {
			continue
		}
		sum := 0.0
		for i, x := range bridgeThirds(v) {
			sum += (x - one[i]) * (x - one[i]) / float64(len(one))
		}
		d := math.Sqrt(sum)
		t.Logf("%-22s %.1f dB from the resonator at the bridge", kind, d)
		if d < least[kind] || least[kind] == 0 {
			t.Errorf("%s: its bridge is %.1f dB from the resonator's, want %g", kind, d, least[kind])
		}
	}
	if acoustic != 4 {
		t.Errorf("%d acoustic bodies", acoustic)
	}
}

// The spectrum of a stroke's edges against the integral that defines it: half a cosine as long as a bare finger's slip, and the
// sharp one's share (both of area 1, ∫ cos(2π·f·t)·h(t) dt by the midpoint rule).
func TestEdgesOfAStroke(t *testing.T) {
	of := func(f, length float64) float64 {
		const steps = 4000
		sum, area := 0.0, 0.0
		for i := range steps {
			at := ((float64(i)+0.5)/steps - 0.5) * length
			h := math.Cos(math.Pi * at / length)
			sum, area = sum+h*math.Cos(2*math.Pi*f*at), area+h
		}
		return sum / area
	}
	slip, sharp := pickSlip[tab.NoFinger], sharpShare(1)
	for _, f := range []float64{0, 100, 0.5 / slip, 1 / slip, 1.5 / slip, 0.5 * sharpTimes / slip, 8000} {
		want := math.Abs((1-sharp)*of(f, slip) + sharp*of(f, slip/sharpTimes))
		if got := edgePasses(f); math.Abs(got-want) > 1e-5 {
			t.Errorf("at %.0f Hz %.6f of a stroke's force are left, want %.6f", f, got, want)
		}
	}
}
