package sound

import "math"

// biquad is a second-order filter in transposed direct form II.
type biquad struct {
	b0, b1, b2, a1, a2 float64
	z1, z2             float64
}

func (q *biquad) next(x float64) float64 {
	y := q.b0*x + q.z1
	q.z1 = q.b1*x - q.a1*y + q.z2
	q.z2 = q.b2*x - q.a2*y
	return y
}

// The filter designs are those of R. Bristow-Johnson, Cookbook formulae for
// audio EQ biquad filter coefficients (W3C note, 2021), at Rate.

func corner(f, q float64) (sin, cos, alpha float64) {
	w := 2 * math.Pi * f / Rate
	return math.Sin(w), math.Cos(w), math.Sin(w) / (2 * q)
}

func lowPass(f, q float64) biquad {
	_, c, a := corner(f, q)
	n := 1 + a
	return biquad{b0: (1 - c) / 2 / n, b1: (1 - c) / n, b2: (1 - c) / 2 / n, a1: -2 * c / n, a2: (1 - a) / n}
}

func highPass(f, q float64) biquad {
	_, c, a := corner(f, q)
	n := 1 + a
	return biquad{b0: (1 + c) / 2 / n, b1: -(1 + c) / n, b2: (1 + c) / 2 / n, a1: -2 * c / n, a2: (1 - a) / n}
}

// peak raises (or, with negative decibels, lowers) the band around f.
func peak(f, q, decibels float64) biquad {
	_, c, a := corner(f, q)
	g := math.Pow(10, decibels/40)
	n := 1 + a/g
	return biquad{b0: (1 + a*g) / n, b1: -2 * c / n, b2: (1 - a*g) / n, a1: -2 * c / n, a2: (1 - a/g) / n}
}

// resonance is one mode of a body: a band-pass of gain 1 at its own frequency.
// Its numerator is a·(1 − z⁻²), so three multiplications do.
type resonance struct {
	gain, a1, a2 float64
	z1, z2       float64
}

func newResonance(f, q float64) resonance {
	_, c, a := corner(f, q)
	n := 1 + a
	return resonance{gain: a / n, a1: -2 * c / n, a2: (1 - a) / n}
}

func (r *resonance) next(x float64) float64 {
	x *= r.gain
	y := x + r.z1
	r.z1 = r.z2 - r.a1*y
	r.z2 = -x - r.a2*y
	return y
}
