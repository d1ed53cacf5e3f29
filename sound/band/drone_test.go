package band

import (
	"math"
	"testing"

	"lapwright/pitch"
	"lapwright/sound"
)

func drone(tonic string, t Tones, a4 pitch.Hz, seconds float64, block int) []float32 {
	c, _ := pitch.ParseClass(tonic)
	n := int(seconds * sound.Rate)
	d := NewDrone(c, t, a4, n)
	out := make([]float32, n)
	for at := 0; at < n; at += block {
		d.Add(out[at:min(at+block, n)])
	}
	return out
}

// strength is how much of a frequency there is: the discrete Fourier transform at just
// that frequency under a Hann window (textbook formula).
func strength(x []float32, hz float64) float64 {
	re, im := 0.0, 0.0
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		p := 2 * math.Pi * hz * float64(i) / sound.Rate
		re += w * float64(v) * math.Cos(p)
		im -= w * float64(v) * math.Sin(p)
	}
	return math.Hypot(re, im)
}

// The drone is within a cent of what ISO 16 and equal temperament give from A4: the
// frequency of most strength near each tone, found by narrowing in, is compared with a
// table reckoned by hand: G2 is 97.9989 Hz at 440, D3 146.8324, G3 195.9977.
func TestDroneIsInTune(t *testing.T) {
	for _, c := range []struct {
		a4   pitch.Hz
		want []float64
	}{{440, []float64{97.99886, 146.83238, 195.99772}}, {432, []float64{97.99886 * 432 / 440, 146.83238 * 432 / 440, 195.99772 * 432 / 440}}} {
		x := drone("G", TonicFifth, c.a4, 4, 4096)[sound.Rate : 5*sound.Rate/2]
		for _, hz := range c.want {
			best, at := 0.0, 0.0
			for cents := -3.0; cents <= 3; cents += 0.25 {
				if s := strength(x, hz*math.Exp2(cents/1200)); s > best {
					best, at = s, cents
				}
			}
			if math.Abs(at) > 0.5 {
				t.Errorf("at A4 = %g the tone at %.3f Hz is %.1f cents off", float64(c.a4), hz, at)
			}
		}
	}
	with, without := drone("G", TonicFifth, 440, 3, 4096), drone("G", Tonic, 440, 3, 4096)
	if a, b := strength(with[sound.Rate:2*sound.Rate], 146.832), strength(without[sound.Rate:2*sound.Rate], 146.832); a < 100*b {
		t.Errorf("the fifth has %.3g with it and %.3g without", a, b)
	}
}

// The same samples whatever the blocks; never louder than DronePeak; silent at both
// ends.
func TestDroneBlocks(t *testing.T) {
	want := drone("D", TonicFifth, 440, 1.9, 1<<20)
	for _, block := range []int{1, 64, 479, 4096} {
		for i, v := range drone("D", TonicFifth, 440, 1.9, block) {
			if v != want[i] {
				t.Fatalf("blocks of %d: sample %d is %g, want %g", block, i, v, want[i])
			}
		}
	}
	most := 0.0
	for _, v := range want {
		most = max(most, math.Abs(float64(v)))
	}
	if most > DronePeak || most < DronePeak/4 {
		t.Errorf("the largest sample is %g", most)
	}
	if want[0] != 0 || math.Abs(float64(want[len(want)-1])) > 1e-4 {
		t.Errorf("it begins with %g and ends with %g", want[0], want[len(want)-1])
	}
}

func TestUnder(t *testing.T) {
	ceiling := math.Pow(10, sound.Ceiling/20)
	if sum := float64(Under())*ceiling + DronePeak; math.Abs(sum-ceiling) > 1e-6 {
		t.Errorf("instrument and drone reach %g, over %g", sum, ceiling)
	}
}

func TestParseTones(t *testing.T) {
	for s, want := range map[string]Tones{"": NoDrone, "none": NoDrone, "tonic": Tonic, "fifth": TonicFifth} {
		if got, err := ParseTones(s); err != nil || got != want {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	if _, err := ParseTones("bagpipe"); err == nil {
		t.Error("an unknown drone")
	}
}
