package amp

import (
	"math"
	"testing"

	"lapwright/sound/filter"
)

// sn is Jacobi's elliptic sine, and quarter the period K, by the arithmetic-geometric mean and descending Landen transformation
// (Abramowitz and Stegun, Handbook of Mathematical Functions, 16.4 and 17.6).
func sn(u, k float64) float64 {
	var a, c [12]float64
	a[0], c[0] = 1, k
	b := math.Sqrt(1 - k*k)
	for i := 1; i < len(a); i++ {
		a[i], c[i] = (a[i-1]+b)/2, (a[i-1]-b)/2
		b = math.Sqrt(a[i-1] * b)
	}
	n := len(a) - 1
	phi := math.Ldexp(a[n]*u, n)
	for i := n; i > 0; i-- {
		phi = (math.Asin(c[i]/a[i]*math.Sin(phi)) + phi) / 2
	}
	return math.Sin(phi)
}

func quarter(k float64) float64 {
	a, b := 1.0, math.Sqrt(1-k*k)
	for range 12 {
		a, b = (a+b)/2, math.Sqrt(a*b)
	}
	return math.Pi / 2 / a
}

// TestHalfBandsAreElliptic: the poles of a half-band filter lie where the elliptic sine has them, w = √k·sn(2iK/n), of which the design takes the
// series of theta functions: from a wide transition to one so narrow that the series' later terms count.
func TestHalfBandsAreElliptic(t *testing.T) {
	for _, c := range []struct {
		sections   int
		transition float64
	}{{9, 4. / 48}, {4, 28. / 96}, {3, 76. / 192}, {12, 0.01}, {16, 0.004}} {
		h := newHalf(c.sections, c.transition)
		if len(h.a)+len(h.b) != c.sections || len(h.a)-len(h.b) != c.sections%2 {
			t.Fatalf("%d sections become %d and %d", c.sections, len(h.a), len(h.b))
		}
		k := math.Pow(math.Tan((1-2*c.transition)*math.Pi/4), 2)
		for i := 1; i <= c.sections; i++ {
			w := math.Sqrt(k) * sn(2*quarter(k)*float64(i)/float64(2*c.sections+1), k)
			x := math.Sqrt((1-w*w*k)*(1-w*w/k)) / (1 + w*w)
			list := h.a
			if i%2 == 0 {
				list = h.b
			}
			if got, want := list[(i-1)/2].a, (1-x)/(1+x); math.Abs(got-want) > 2e-9 {
				t.Errorf("%d sections over %.4f: section %d has %.12f, want %.12f", c.sections, c.transition, i, got, want)
			}
		}
	}
}

// TestSilenceIsForgotten: when nothing has gone in for half a second, with springs for six, nothing comes out, exactly; what goes in then sounds as it did
// the first time, to the last bit.
func TestSilenceIsForgotten(t *testing.T) {
	tone := []filter.Biquad{filter.HighPass(4, 0.7)}
	speaker := []filter.Biquad{filter.HighPass(3, 0.7)}
	for what, c := range map[string]struct {
		v       Voicing
		silence float64
	}{
		"nothing": {Voicing{}, 0.5}, "filters": {Voicing{Tone: tone, Speaker: speaker}, 0.5}, "drive": {Voicing{Drive: 0.6, Peak: 1, Tone: tone}, 0.5},
		"springs": {Voicing{Spring: 0.7, Speaker: speaker}, 6}, "all": {Voicing{Drive: 0.6, Peak: 1, Spring: 0.7, Tone: tone, Speaker: speaker}, 6},
	} {
		const burst = filter.Rate / 20
		again := burst + int(c.silence*filter.Rate) + filter.Rate/10
		x := make([]float64, again+burst)
		for i := range burst {
			x[i] = math.Sin(float64(i) / 9)
			x[again+i] = x[i]
		}
		New(c.v).Process(x)
		for i := range burst {
			if x[i] != x[again+i] {
				t.Fatalf("%s: sample %d is %g the first time and %g the second", what, i, x[i], x[again+i])
			}
		}
		end := burst + int(c.silence*filter.Rate)
		for i := end + 1; i < again; i++ {
			if x[i] != 0 {
				t.Fatalf("%s: %g comes %d samples after it should be still", what, x[i], i-end)
			}
		}
		if what != "nothing" && what != "drive" && x[end-filter.Rate/20] == 0 {
			t.Errorf("%s: it is still before its time", what)
		}
	}
}

// TestDriveGoesByItsPeak: strokes twice as high on an amplifier set up for twice the height come out the same, twice as high; springs half up
// answer half as high.
func TestDriveGoesByItsPeak(t *testing.T) {
	one, two := NewDrive(0.7, 1), NewDrive(0.7, 2)
	half, full := New(Voicing{Spring: 0.5}), New(Voicing{Spring: 1})
	worst, wet := 0.0, 0.0
	for i := range 4800 {
		x := math.Sin(float64(i) / 15)
		worst = max(worst, math.Abs(2*one.Next(x)-two.Next(2*x)))
		a, b := []float64{x}, []float64{x}
		half.Process(a)
		full.Process(b)
		wet = max(wet, math.Abs(2*(a[0]-x)-(b[0]-x)))
	}
	if worst > 1e-12 || wet > 1e-12 {
		t.Errorf("drives differ by %g, springs by %g", worst, wet)
	}
}

// TestSpringComesBackUpsideDown: what is low comes round a spring in two transits, 52 and 61 ms, with four fifths of its height, upside down: the answer
// of a spring alone agrees best with itself after just so long, with the other sign.
func TestSpringComesBackUpsideDown(t *testing.T) {
	for k, transit := range Transits {
		s := NewSpring()
		s.wires[1-k].there.line = make([]float64, 1<<16) // the other is too long to be heard
		x := make([]float64, filter.Rate/2)
		for i := range x {
			in := 0.0
			if i == 0 {
				in = 1
			}
			x[i] = s.Next(in)
		}
		x = octave(x, 300)
		best, at, own := 0.0, 0, 0.0
		for lag := 40 * filter.Rate / 1000; lag < 70*filter.Rate/1000; lag++ {
			sum := 0.0
			for i := lag; i < len(x); i++ {
				sum += x[i] * x[i-lag]
			}
			if math.Abs(sum) > math.Abs(best) {
				best, at = sum, lag
			}
		}
		for _, v := range x {
			own += v * v
		}
		want := 2 * float64(transit) / 8000
		if got := float64(at) / filter.Rate; math.Abs(got-want) > 0.0007 || best > 0 || best/own > -0.6 || best/own < -0.9 {
			t.Errorf("spring %d comes round in %.2f ms with %.2f of its height, want %.2f ms and about −0.8", k+1, 1000*got, best/own, 1000*want)
		}
	}
}
