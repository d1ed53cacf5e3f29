package listen

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// series returns a harmonic tone whose pitch at a time hz gives, exact in phase,
// with partials falling by 1/n as far as the rate holds them.
func series(rate, seconds float64, partials int, hz func(at float64) float64) []float32 {
	out := make([]float32, int(rate*seconds))
	phase := 0.0
	for i := range out {
		// Simpson's rule over the sample keeps the phase right through a glide.
		a, b := float64(i)/rate, (float64(i)+1)/rate
		v := 0.0
		for n := 1; n <= partials && float64(n)*hz(a) < 0.45*rate; n++ {
			v += math.Sin(float64(n)*phase+float64(n*n)) / float64(n)
		}
		out[i] = float32(0.3 * v)
		phase += 2 * math.Pi * (hz(a) + 4*hz((a+b)/2) + hz(b)) / 6 / rate
	}
	return out
}

func hear(t testing.TB, samples []float32, rate float64) *Take {
	t.Helper()
	take, err := NewTake(samples, rate)
	if err != nil {
		t.Fatal(err)
	}
	return take
}

// The frequencies are known because the signal is made of them.
func TestPitchOfSteadyTonesIsExact(t *testing.T) {
	t.Parallel()
	for _, rate := range []float64{8000, 22050, 44100, 48000, 96000} {
		for _, hz := range []float64{73.42, 98, 146.83, 220.37, 440, 587.33, 987.77, 1318.5} {
			for _, partials := range []int{1, 6} {
				take := hear(t, series(rate, 0.6, partials, func(float64) float64 { return hz }), rate)
				worst, seen := 0.0, 0
				for _, f := range take.Pitches() {
					if f.At < 0.1 || f.At > 0.5 {
						continue
					}
					if !f.Voiced {
						t.Errorf("%g Hz, %d partials at rate %g: not voiced at %.3f", hz, partials, rate, f.At)
						break
					}
					worst = max(worst, math.Abs(1200*math.Log2(float64(f.Hz)/hz)))
					seen++
				}
				if seen < 70 || worst > 0.1 {
					t.Errorf("%g Hz, %d partials at rate %g: %.3f cents off at worst in %d frames, want below 0.1", hz, partials, rate, worst, seen)
				}
			}
		}
	}
}

func TestPitchFollowsGlidesAndVibrato(t *testing.T) {
	curves := map[string]func(at float64) float64{
		"glide of a fourth in 0.3 s": func(at float64) float64 {
			u := min(1, max(0, (at-0.3)/0.3))
			return 196 * math.Exp2(5*u*u*u*(10+u*(6*u-15))/12)
		},
		"slow glide of an octave":      func(at float64) float64 { return 147 * math.Exp2(at/1.2) },
		"vibrato of 30 cents, 5.5 a s": func(at float64) float64 { return 330 * math.Exp2(30*math.Sin(2*math.Pi*5.5*at)/1200) },
	}
	for name, hz := range curves {
		take := hear(t, series(48000, 1.2, 6, hz), 48000)
		worst, at, seen := 0.0, 0.0, 0
		for _, f := range take.Pitches() {
			if f.At < 0.06 || f.At > 1.14 || !f.Voiced {
				continue
			}
			seen++
			if d := math.Abs(1200 * math.Log2(float64(f.Hz)/hz(f.At))); d > worst {
				worst, at = d, f.At
			}
		}
		t.Logf("%s: %.2f cents off at worst", name, worst)
		if worst > 3 || seen < 210 {
			t.Errorf("%s: %.2f cents off at %.3f s, in %d frames; want within 3", name, worst, at, seen)
		}
	}
}

// The bound is that of D. C. Rife and R. R. Boorstyn, Single-tone parameter
// estimation from discrete-time observations, IEEE Transactions on Information
// Theory 20(5), 1974, eq. 14: var ω = 12σ²/(A²·N·(N² − 1)) for a complex tone; a real
// one of amplitude A in white noise of variance σ² has 24σ²/(A²·N·(N² − 1)).
func TestToneAgainstTheCramerRaoBound(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	const rate, f, amplitude = 12000.0, 440.3, 0.5
	for _, snr := range []float64{10, 20, 30} {
		sigma := amplitude / math.Sqrt2 * math.Pow(10, -snr/20)
		var off []float64
		n := 0
		for range 300 {
			x := make([]float64, 1200)
			phase := r.Float64() * 7
			for i := range x {
				x[i] = amplitude*math.Sin(2*math.Pi*f*float64(i)/rate+phase) + sigma*r.NormFloat64()
			}
			take := &Take{rate: rate, inRate: rate, x: x, n: len(x)}
			l := newLook(rate)
			l.pointAt(take, 0.05, 0.08)
			n = len(l.windowed)
			got, _ := l.near(f*1.002, 60)
			off = append(off, got.hz-f)
		}
		sum := 0.0
		for _, d := range off {
			sum += d * d
		}
		rms := math.Sqrt(sum / float64(len(off)))
		m := float64(n)
		bound := math.Sqrt(24*sigma*sigma/(amplitude*amplitude*m*(m*m-1))) * rate / (2 * math.Pi)
		t.Logf("%.0f dB: %.4f Hz rms, %.2f times the bound of %.4f Hz", snr, rms, rms/bound, bound)
		// The window costs a factor of about 2.5 against the bound for the bare stretch.
		if ratio := rms / bound; ratio > 2.6 || ratio < 1 {
			t.Errorf("%.0f dB: %.2f times the Cramér–Rao bound, want 1 to 2.6", snr, ratio)
		}
	}
}

func TestBlocksDoNotMatter(t *testing.T) {
	samples := series(44100, 0.7, 5, func(at float64) float64 { return 200 + 40*at })
	whole := hear(t, samples, 44100)
	want := whole.Pitches()
	for _, size := range []int{1, 64, 479, 4096} {
		e, err := NewEar(44100)
		if err != nil {
			t.Fatal(err)
		}
		for at := 0; at < len(samples); at += size {
			e.Hear(samples[at:min(at+size, len(samples))])
		}
		take := e.Take()
		if !slices.Equal(take.x, whole.x) || !slices.Equal(take.Pitches(), want) || take.Level() != whole.Level() {
			t.Errorf("blocks of %d give another take", size)
		}
	}
}

func TestNoPitchInNoiseAndSilence(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	noise := make([]float32, 48000)
	for i := range noise {
		noise[i] = float32(0.2 * r.NormFloat64())
	}
	for name, samples := range map[string][]float32{"silence": make([]float32, 48000), "noise": noise} {
		take := hear(t, samples, 48000)
		voiced := 0
		frames := take.Pitches()
		for _, f := range frames {
			if f.Voiced {
				voiced++
			}
		}
		if len(frames) < 200 || voiced > len(frames)/20 {
			t.Errorf("%s: %d of %d frames are voiced", name, voiced, len(frames))
		}
	}
}

func TestImpossibleRates(t *testing.T) {
	for _, rate := range []float64{0, -1, 7999, 1e9, math.NaN(), math.Inf(1)} {
		if _, err := NewEar(rate); err == nil {
			t.Errorf("a rate of %g was taken", rate)
		}
	}
}
