package delay

import (
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// A click of known shape: a tone in the middle of what is compared, under a bell that is as steep as short says.
const (
	bellHz = 1500.0
	long   = 0.002 // seconds, standard deviation of the bell: as long as the page's click
	short  = 0.0005
)

// ring is a click whose middle is heard s seconds from now, its phase turned by so many degrees.
func ring(s, wide, turned float64) float64 {
	return 0.4 * math.Exp(-s*s/(2*wide*wide)) * math.Cos(2*math.Pi*bellHz*s+turned*math.Pi/180)
}

// middle is when click i is at its loudest, in seconds: farther from the next than the longest delay.
func middle(i int) float64 { return 0.1 + 0.6*float64(i) }

// bells sounds one click for each delay in samples, later by it, exactly, between samples too. Where the delay is no
// number there is no click.
func bells(rate, wide, turned float64, delays ...float64) []float32 {
	out := make([]float32, int(middle(len(delays))*rate))
	for i, d := range delays {
		at := middle(i)*rate + d
		if math.IsNaN(at) {
			continue
		}
		reach := 4.5 * wide * rate
		for k := max(0, int(math.Ceil(at-reach))); k <= min(len(out)-1, int(at+reach)); k++ {
			out[k] += float32(ring((float64(k)-at)/rate, wide, turned))
		}
	}
	return out
}

// same is one delay for n clicks.
func same(n int, delay float64) []float64 {
	return slices.Repeat([]float64{delay}, n)
}

// told reports whether a delay in samples was told by so many clicks, to a fiftieth of a sample.
func told(m Measured, rate, delay float64, heard int) bool {
	return m.Refused == "" && m.Heard == heard && math.Abs(m.Seconds*rate-delay) < 0.02
}

// A click that is late by a part of a sample is found there, however the loudspeaker turns its phase: what is
// compared is the envelope. Truth is where the click was computed. A fiftieth of a sample is 2.5 µs here, in which
// sound travels less than a millimetre.
func TestDelayBetweenSamples(t *testing.T) {
	const rate = 8000
	x := bells(rate, long, 0, same(5, 0)...)
	for i, delay := range []float64{0, 0.25, 0.5, 10.75, 100.1, 700.49, 2399.9, 3990.4} {
		for _, turned := range []float64{0, 90, 180, 270 + float64(10*i)} {
			m := Measure(bells(rate, long, turned, same(5, delay)...), x, rate)
			if !told(m, rate, delay, 5) || m.Spread*rate > 0.02 {
				t.Errorf("%g samples late, turned by %g°: %+v, which is %.3f samples", delay, turned, m, m.Seconds*rate)
			}
		}
	}
}

// The top of a parabola is where it was put. The formula is that of J. O. Smith, Spectral Audio Signal Processing,
// chapter "Quadratic Interpolation of Spectral Peaks" (from memory): (a − c)/(2·(a − 2·b + c)).
func TestTopOfAParabola(t *testing.T) {
	for _, top := range []float64{-0.49, -0.25, 0, 0.1, 0.4, 0.5} {
		y := func(x float64) float64 { return 3 - 2*(x-top)*(x-top) }
		a, b, c := y(-1), y(0), y(1)
		if got := peak(a, b, c); math.Abs(got-top) > 1e-12 || math.Abs(got-(a-c)/(2*(a-2*b+c))) > 1e-12 {
			t.Errorf("a parabola with its top at %g: %g", top, got)
		}
	}
}

// In a room and in noise the delay is where the cross-correlation is highest, computed here by definition: sums of
// products lag by lag, with the click and with the click turned by 90°, no Fourier transform.
func TestDelayIsTheHighestCorrelation(t *testing.T) {
	const rate, n = 8000, 4
	rnd := rand.New(rand.NewSource(5))
	x := bells(rate, long, 0, same(n, 0)...)
	for range 3 {
		delay := 20 + 3000*rnd.Float64()
		heard := bells(rate, long, 360*rnd.Float64(), same(n, delay)...)
		for range 3 { // walls
			wall := bells(rate, long, 360*rnd.Float64(), same(n, delay+8+100*rnd.Float64())...)
			for i, v := range wall {
				heard[i] += 0.3 * v
			}
		}
		for i := range heard {
			heard[i] += float32(0.01 * rnd.NormFloat64())
		}
		var tops []float64
		for i := range n {
			best, top := 0.0, 0
			for lag := range 3200 {
				straight, turned := 0.0, 0.0
				for k := -70; k <= 70; k++ {
					if at := int(middle(i)*rate) + k + lag; at < len(heard) {
						straight += float64(heard[at]) * ring(float64(k)/rate, long, 0)
						turned += float64(heard[at]) * ring(float64(k)/rate, long, 90)
					}
				}
				if h := math.Hypot(straight, turned); h > best {
					best, top = h, lag
				}
			}
			tops = append(tops, float64(top))
		}
		slices.Sort(tops)
		want := (tops[n/2-1] + tops[n/2]) / 2
		if m := Measure(heard, x, rate); m.Refused != "" || m.Heard != n || math.Abs(m.Seconds*rate-want) > 1 {
			t.Errorf("%.2f samples late: %+v, which is %.2f samples; the correlation is highest at %g", delay, m, m.Seconds*rate, want)
		}
	}
}

// A delay is looked for from 5 ms too early (40 samples here) to half a second (4,000), and its top must lie within.
func TestBoundsOfTheDelay(t *testing.T) {
	const rate = 8000
	x := bells(rate, short, 0, same(4, 0)...)
	for _, delay := range []float64{-39, 0, 3998} {
		if m := Measure(bells(rate, short, 0, same(4, delay)...), x, rate); !told(m, rate, delay, 4) {
			t.Errorf("%g samples late: %+v", delay, m)
		}
	}
	for _, delay := range []float64{-60, -42, 4002, 4100} {
		m := Measure(bells(rate, short, 0, same(4, delay)...), x, rate)
		if !strings.Contains(m.Refused, "not heard clearly") || m.Seconds != 0 {
			t.Errorf("%g samples late: %+v", delay, m)
		}
	}
}

// A click counts within 4 ms of where most lie: 32 samples, between which its top must lie.
func TestStrayClick(t *testing.T) {
	const rate, delay = 8000, 640
	x := bells(rate, short, 0, same(8, 0)...)
	for _, c := range []struct {
		stray float64
		heard int
	}{{31, 8}, {-31, 8}, {32, 7}, {-32, 7}, {34, 7}, {-34, 7}, {300, 7}} {
		delays := same(8, delay)
		delays[3] += c.stray
		m := Measure(bells(rate, short, 0, delays...), x, rate)
		if !told(m, rate, delay, c.heard) || m.Sounded != 8 {
			t.Errorf("one click %g samples from the others: %+v, want %d heard", c.stray, m, c.heard)
		}
	}
}

// The delay is the median of the clicks', and the spread their standard deviation with n − 1 (any book of statistics).
// From 2 ms on it is refused: a tone and its echo from 70 cm farther are that far apart.
func TestMedianAndSpread(t *testing.T) {
	const rate, delay = 8000, 640
	for _, c := range []struct {
		off            []float64
		median, spread float64
	}{
		{[]float64{-8, -8, -8, -8, 8, 8, 8, 8}, 0, 8 * math.Sqrt(8.0/7)},
		{[]float64{8, -8, 8, -8}, 0, 8 * math.Sqrt(4.0/3)},
		{[]float64{0, 6, 0, 6, 0}, 0, 6 * math.Sqrt(3.0/10)},
		{[]float64{6, 0, 6, 0, 6}, 6, 6 * math.Sqrt(3.0/10)},
		{[]float64{1, 2, 3, 4, 5}, 3, math.Sqrt(2.5)},
		{[]float64{13, 13, -13, 13, -13, -13}, 0, 13 * math.Sqrt(6.0/5)}, // 1.78 ms
	} {
		x := bells(rate, short, 0, same(len(c.off), 0)...)
		delays := same(len(c.off), delay)
		for i, v := range c.off {
			delays[i] += v
		}
		m := Measure(bells(rate, short, 0, delays...), x, rate)
		if !told(m, rate, delay+c.median, len(c.off)) || math.Abs(m.Spread*rate-c.spread) > 0.02 {
			t.Errorf("clicks off by %g: %+v, which is %.3f and %.3f samples; want %g and %.3f", c.off, m, m.Seconds*rate, m.Spread*rate, delay+c.median, c.spread)
		}
	}
	x := bells(rate, short, 0, same(6, 0)...)
	m := Measure(bells(rate, short, 0, delay+15, delay-15, delay+15, delay-15, delay+15, delay-15), x, rate) // 2.05 ms
	if !strings.Contains(m.Refused, "another from click to click") || m.Seconds != 0 || math.Abs(m.Spread*rate-15*math.Sqrt(6.0/5)) > 0.02 {
		t.Errorf("clicks 30 samples apart: %+v", m)
	}
}

// Four clicks are the fewest, and of more three in five must be heard, whatever the microphone leaves out.
func TestHowManyClicksTell(t *testing.T) {
	const rate, delay = 8000, 700.25
	for _, c := range []struct {
		sounded, heard int
		says           string
	}{
		{3, 3, "No clicks were sounded"}, {4, 4, ""}, {4, 3, "not heard clearly"}, {5, 3, "not heard clearly"}, {6, 4, ""},
		{7, 4, "not heard clearly"}, {10, 6, ""}, {10, 5, "not heard clearly"},
	} {
		delays := same(c.sounded, delay)
		for i := range c.sounded - c.heard {
			delays[i] = math.NaN()
		}
		m := Measure(bells(rate, long, 0, delays...), bells(rate, long, 0, same(c.sounded, 0)...), rate)
		if c.says == "" && !told(m, rate, delay, c.heard) || !strings.Contains(m.Refused, c.says) || m.Sounded != c.sounded {
			t.Errorf("%d of %d clicks: %+v, want %q", c.heard, c.sounded, m, c.says)
		}
	}
	// Of a recording that ends early, what was sounded later is no click.
	x := bells(rate, long, 0, same(6, 0)...)
	heard := bells(rate, long, 0, same(6, delay)...)[:int(middle(3)*rate)+2000]
	if m := Measure(heard, x, rate); !told(m, rate, delay, 4) || m.Sounded != 4 {
		t.Errorf("a recording of 4 clicks of 6: %+v", m)
	}
}

// A click that shares its moment with another tone counts while it is half as like the one sounded: the correlation
// of a with a + b is 1/√(1 + b²/a²) where a and b have nothing in common (Cauchy and Schwarz), 1/2 at b = √3·a.
func TestClickUnderAnotherTone(t *testing.T) {
	const rate, delay = 8000, 320
	x := bells(rate, long, 0, same(5, 0)...)
	for _, c := range []struct {
		louder float64
		says   string
	}{{1, ""}, {1.65, ""}, {1.82, "not heard clearly"}, {3, "not heard clearly"}} {
		heard := bells(rate, long, 0, same(5, delay)...)
		for i := range 5 {
			for k := -70; k <= 70; k++ {
				s := float64(k) / rate
				heard[int(middle(i)*rate)+delay+k] += float32(0.4 * c.louder * math.Exp(-s*s/(2*long*long)) * math.Sin(2*math.Pi*2600*s))
			}
		}
		m := Measure(heard, x, rate)
		if c.says == "" && !told(m, rate, delay, 5) || !strings.Contains(m.Refused, c.says) {
			t.Errorf("under a tone %g times as loud: %+v, want %q", c.louder, m, c.says)
		}
	}
}

// How loud a click was sounded or heard says nothing, down to 60 dB below full scale.
func TestSoftClicks(t *testing.T) {
	const rate, delay = 8000, 431.5
	x, heard := bells(rate, long, 0, same(4, 0)...), bells(rate, long, 0, same(4, delay)...)
	times := func(x []float32, gain float32) []float32 {
		out := slices.Clone(x)
		for i := range out {
			out[i] *= gain
		}
		return out
	}
	for _, sounds := range []float32{2.5, 1, 0.01, 0.001} {
		for _, hears := range []float32{2.5, 0.1, 0.0025} {
			if m := Measure(times(heard, hears), times(x, sounds), rate); !told(m, rate, delay, 4) {
				t.Errorf("sounded at %g and heard at %g: %+v", sounds, hears, m)
			}
		}
	}
	if m := Measure(times(heard, 2e-5), x, rate); !strings.Contains(m.Refused, "hears nothing at all") {
		t.Errorf("heard at -102 dB: %+v", m)
	}
}

// Hum of the mains (50 Hz and its third, IEC 60038) and a whistle above all that is compared may be ten times as loud
// as the clicks.
func TestHumAndWhistle(t *testing.T) {
	const rate, delay = 24000, 2000.5
	x := bells(rate, long, 0, same(4, 0)...)
	for _, c := range []struct {
		name string
		hz   []float64
	}{{"hum", []float64{50, 150}}, {"a whistle", []float64{9000}}, {"both", []float64{50, 150, 10500}}} {
		heard := bells(rate, long, 0, same(4, delay)...)
		for i := range heard {
			for _, f := range c.hz {
				heard[i] += float32(4 * math.Sin(2*math.Pi*f*float64(i)/rate))
			}
		}
		if m := Measure(heard, x, rate); m.Refused != "" || m.Heard != 4 || math.Abs(m.Seconds*rate-delay) > 0.5 {
			t.Errorf("under %s: %+v, which is %.3f samples", c.name, m, m.Seconds*rate)
		}
	}
}

// A click may be as short as one sample, and may be the first or the last sample that there is.
func TestClicksAtBothEnds(t *testing.T) {
	const rate = 8000
	x := make([]float32, 4*4600)
	for _, i := range []int{0, 5000, 10000, len(x) - 1} {
		x[i] = 1
	}
	if m := Measure(x, x, rate); !told(m, rate, 0, 4) || m.Spread*rate > 0.02 {
		t.Errorf("one sample a click, at once: %+v", m)
	}
}
