package filter

import "math"

// Sinc returns a low-pass as a sinc in a Kaiser window (J. F. Kaiser, Nonrecursive
// digital filter design using the I0-sinh window function, 1974: β = 0.1102·(A −
// 8.7) for a stop band A dB down, A above 50), half samples to each side of its middle. cutoff is a share of
// half the sample rate. Its taps add up to 1.
func Sinc(half int, cutoff, db float64) []float64 {
	taps := make([]float64, 2*half+1)
	sum := 0.0
	for i := range taps {
		taps[i] = sincAt(float64(i-half), float64(half), cutoff, db)
		sum += taps[i]
	}
	for i := range taps {
		taps[i] /= sum
	}
	return taps
}

// sincAt returns the windowed sinc of Sinc at any place d from its middle, not yet
// scaled.
func sincAt(d, half, cutoff, db float64) float64 {
	u := d / half
	if u*u >= 1 {
		return 0
	}
	w := Bessel0(0.1102 * (db - 8.7) * math.Sqrt(1-u*u))
	if d == 0 {
		return w
	}
	return w * math.Sin(math.Pi*cutoff*d) / (math.Pi * cutoff * d)
}

// Bessel0 returns the modified Bessel function of the first kind and order 0 by its power
// series: the Kaiser window is made of it.
func Bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

// Resample returns samples as they would have been taken `ratio` times as often, ratio
// from 1/64 to 64: band-limited interpolation by a windowed sinc (J. O. Smith and P. Gossett, A flexible
// sampling-rate conversion method, ICASSP 1984), 80 dB down. The pass band is flat to
// nine tenths of half the lower rate. Played at the old rate, the result sounds lower by the ratio.
func Resample(x []float32, ratio float64) []float32 {
	const zeros, db, fine = 32, 80, 512
	cutoff := 0.95 * min(1, ratio)
	half := zeros / min(1, ratio)
	// The kernel in steps of 1/fine sample, between which it is straight.
	kernel := make([]float64, int(half*fine)+2)
	for i := range kernel {
		kernel[i] = cutoff * sincAt(float64(i)/fine, half, cutoff, db) / Bessel0(0.1102*(db-8.7))
	}
	out := make([]float32, int(float64(len(x))*ratio+0.5))
	for i := range out {
		at := float64(i) / ratio
		lo, hi := max(0, int(math.Ceil(at-half))), min(len(x)-1, int(math.Floor(at+half)))
		sum := 0.0
		for k := lo; k <= hi; k++ {
			d := math.Abs(float64(k)-at) * fine
			j := int(d)
			if j+1 < len(kernel) {
				sum += float64(x[k]) * (kernel[j] + (d-float64(j))*(kernel[j+1]-kernel[j]))
			}
		}
		out[i] = float32(sum)
	}
	return out
}
