package sound

import "math"

// decay says how long a string rings.
//
// The decay rate of a partial of frequency f is σ = σ₁ + σ₂·(f/4 kHz)², the
// sum of what the bridge takes (about the same for all partials) and of air and
// inner friction, which grow with frequency (Fletcher and Rossing, sections
// 2.14 and 9.6, where the laws are given; our figures are chosen so that the
// decay times come out as tabled in docs/sound.md).
type decay struct {
	// open is the time in seconds in which the fundamental of an open string at
	// 196 Hz falls by 60 dB.
	open float64
	// slope is how fast that time shrinks with pitch: T ∝ (f/196)^−slope.
	slope float64
	// high is the same time for a partial at 4 kHz, the bridge's part not counted.
	high float64
	// bar is how much of the open string's time is left when the steel is the
	// end of the string instead of the nut, between 0 and 1: the bar is held by
	// a hand and gives a little.
	bar float64
}

// ln1000 is the natural logarithm of 60 dB: σ = ln1000 / T60.
const ln1000 = 6.907755278982137

// rate returns σ in 1/s for a partial at f hertz of a string whose fundamental is
// f1.
func (d decay) rate(f1, f float64, barred bool) float64 {
	t := d.open * math.Pow(f1/196, -d.slope)
	if barred {
		t *= d.bar
	}
	r := f / 4000
	return ln1000/t + ln1000/d.high*r*r
}

// lossFilter returns the gain and pole of the one-pole filter that makes a loop
// of fundamental f1 decay at rate(f1) and, high up, at rate(fh). With the
// wanted round-trip gains G₁ and G_h, and R = (G_h/G₁)², the pole solves
// (1−R)·a² + 2(cos ω₁ − R·cos ω_h)·a + (1−R) = 0.
func (d decay) lossFilter(f1 float64, barred bool, longer float64) (gain, pole float64) {
	fh := min(max(4000, 2.5*f1), 12000)
	g1 := math.Exp(-d.rate(f1, f1, barred) / longer / f1)
	gh := math.Exp(-d.rate(f1, fh, barred) / longer / f1)
	r := gh / g1 * (gh / g1)
	w1, wh := 2*math.Pi*f1/Rate, 2*math.Pi*fh/Rate
	if r < 1 {
		b := (math.Cos(w1) - r*math.Cos(wh)) / (1 - r)
		pole = -b + math.Sqrt(b*b-1)
	}
	// The filter's own magnitude at ω₁ is made good so that G₁ is met exactly.
	at1 := (1 + pole) / math.Sqrt(1+pole*pole+2*pole*math.Cos(w1))
	return g1 / at1, pole
}

// stiffness returns the allpass coefficient that stretches the partials of a loop
// of fundamental f1 as a string of inharmonicity b does: fₙ ∝ n·sqrt(1 + b·n²)
// (Fletcher and Rossing, eq. 2.67). A golden-section search weighs the first
// partials, up to 20 of them and 9 kHz, by how loud they are.
func stiffness(f1, b float64) float64 {
	if b < 1e-6 {
		return 0
	}
	count := int(min(20, 9000/f1))
	// The sections may not take more than half of the round trip.
	room := 0.5 * (Rate/f1 - minDelay) / dispersers
	lowest := -0.85
	if room > 1 {
		lowest = max(lowest, (1-room)/(1+room))
	}
	if count < 3 || room <= 1 {
		return 0
	}
	w1 := 2 * math.Pi * f1 / Rate
	miss := func(a float64) float64 {
		at1 := allpassPhaseDelay(a, w1)
		sum := 0.0
		for n := 2; n <= count; n++ {
			stretch := math.Sqrt((1 + b*float64(n*n)) / (1 + b))
			w := w1 * float64(n) * stretch
			want := Rate / f1 * (1/stretch - 1)
			e := (allpassPhaseDelay(a, w) - at1 - want) * f1 / Rate
			sum += e * e / float64(n)
		}
		return sum
	}
	lo, hi := lowest, 0.0
	const golden = 0.6180339887498949
	x1, x2 := hi-golden*(hi-lo), lo+golden*(hi-lo)
	m1, m2 := miss(x1), miss(x2)
	for hi-lo > 1e-3 {
		if m1 < m2 {
			hi, x2, m2 = x2, x1, m1
			x1 = hi - golden*(hi-lo)
			m1 = miss(x1)
		} else {
			lo, x1, m1 = x1, x2, m2
			x2 = lo + golden*(hi-lo)
			m2 = miss(x2)
		}
	}
	return (lo + hi) / 2
}
