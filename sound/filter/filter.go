package filter

import "math"

// Rate is the sample rate of all sound here, in samples a second.
const Rate = 48000

// Biquad is a second-order filter in transposed direct form II.
type Biquad struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64
}

// Next takes a sample and gives the next.
func (q *Biquad) Next(x float64) float64 {
	y := q.b0*x + q.z1
	q.z1 = q.b1*x - q.a1*y + q.z2
	q.z2 = q.b2*x - q.a2*y
	return y
}

// Clear forgets what went in.
func (q *Biquad) Clear() { q.z1, q.z2 = 0, 0 }

// NewBiquad returns the filter of given coefficients, a0 being 1.
func NewBiquad(b0, b1, b2, a1, a2 float64) Biquad {
	return Biquad{b0: b0, b1: b1, b2: b2, a1: a1, a2: a2}
}

// The filter designs are those of R. Bristow-Johnson, Cookbook formulae for
// audio EQ Biquad filter coefficients (W3C note, 2021), at Rate.

func corner(f, q float64) (sin, cos, alpha float64) {
	w := 2 * math.Pi * f / Rate
	return math.Sin(w), math.Cos(w), math.Sin(w) / (2 * q)
}

// LowPass lets what lies below f hertz through; q is 0.7 for the flattest.
func LowPass(f, q float64) Biquad {
	_, c, a := corner(f, q)
	n := 1 + a
	return Biquad{b0: (1 - c) / 2 / n, b1: (1 - c) / n, b2: (1 - c) / 2 / n, a1: -2 * c / n, a2: (1 - a) / n}
}

// HighPass lets what lies above f hertz through.
func HighPass(f, q float64) Biquad {
	_, c, a := corner(f, q)
	n := 1 + a
	return Biquad{b0: (1 + c) / 2 / n, b1: -(1 + c) / n, b2: (1 + c) / 2 / n, a1: -2 * c / n, a2: (1 - a) / n}
}

// Peak raises (or, with negative decibels, lowers) the band around f.
func Peak(f, q, decibels float64) Biquad {
	_, c, a := corner(f, q)
	g := math.Pow(10, decibels/40)
	n := 1 + a/g
	return Biquad{b0: (1 + a*g) / n, b1: -2 * c / n, b2: (1 - a*g) / n, a1: -2 * c / n, a2: (1 - a/g) / n}
}

// Resonance is one mode of a body: a band-pass of gain 1 at its own frequency.
// Its numerator is a·(1 − z⁻²), so three multiplications do.
type Resonance struct {
	Gain, A1, A2 float64
	z1, z2       float64
}

// NewResonance returns a mode at f hertz of quality q.
func NewResonance(f, q float64) Resonance {
	_, c, a := corner(f, q)
	n := 1 + a
	return Resonance{Gain: a / n, A1: -2 * c / n, A2: (1 - a) / n}
}

// Next takes a sample and gives the next.
func (r *Resonance) Next(x float64) float64 {
	x *= r.Gain
	y := x + r.z1
	r.z1 = r.z2 - r.A1*y
	r.z2 = -x - r.A2*y
	return y
}

// Clear forgets what went in.
func (r *Resonance) Clear() { r.z1, r.z2 = 0, 0 }
