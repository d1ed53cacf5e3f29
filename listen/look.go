package listen

import (
	"math"

	"lapwright/pitch"
)

// look is one windowed stretch of a take, ready to be asked for the strength and
// the exact frequency of whatever sounds near a frequency in it.
type look struct {
	rate     float64
	half     int
	windowed []float64 // x·w
	slope    []float64 // x·w′, w′ a sample
	sum      float64   // of w
	windows  map[int]*window
}

// window is cos⁴ over 2·half+1 points, and its derivative: a Hann window squared, whose side lobes fall by 30 dB an
// octave (F. J. Harris, On the use of windows, Proceedings of the IEEE 66(1), 1978, section V.C). Its first null lies
// 3/T from the middle for a window of T seconds, and the others every 1/T.
type window struct{ w, slope []float64 }

func newWindow(half int) *window {
	n := 2*half + 1
	v := &window{make([]float64, n), make([]float64, n)}
	length := float64(half)
	for i := range n {
		d := float64(i-half) / length
		v.w[i] = 3.0/8 + math.Cos(math.Pi*d)/2 + math.Cos(2*math.Pi*d)/8
		v.slope[i] = -math.Pi / length * (math.Sin(math.Pi*d)/2 + math.Sin(2*math.Pi*d)/4)
	}
	return v
}

func newLook(rate float64) *look {
	return &look{rate: rate, windows: map[int]*window{}}
}

// pointAt points the look at a stretch of so many seconds centred on a time. Beyond the take's ends there is silence.
func (l *look) pointAt(t *Take, centre, seconds float64) {
	l.half = max(8, int(math.Round(seconds*l.rate/2)))
	v := l.windows[l.half]
	if v == nil {
		v = newWindow(l.half)
		l.windows[l.half] = v
	}
	n := 2*l.half + 1
	if cap(l.windowed) < n {
		l.windowed, l.slope = make([]float64, n), make([]float64, n)
	}
	l.windowed, l.slope = l.windowed[:n], l.slope[:n]
	l.sum = 0.75 * float64(l.half)
	from := t.sample(centre) - l.half
	for i := range n {
		x := 0.0
		if at := from + i; at >= 0 && at < len(t.x) {
			x = t.x[at]
		}
		l.windowed[i] = x * v.w[i]
		l.slope[i] = x * v.slope[i]
	}
}

// tone is what sounds near a frequency.
type tone struct {
	hz        float64 // reassigned
	amplitude float64 // of a sinusoid there
}

// speaks reports whether a tone is loud enough to say anything of a string.
func (t tone) speaks() bool { return t.amplitude >= 1e-5 }

// tone asks for what sounds near f: its amplitude, and its frequency by reassignment, ω − Im(X_w′/X_w) (Auger and
// Flandrin 1995, eq. 21), which for a steady sinusoid is exact and for one that glides evenly is that at the window's
// centre.
func (l *look) tone(f float64) tone {
	w := 2 * math.Pi * f / l.rate
	sr, cr := math.Sincos(w)
	var a, b, c, d float64 // Re and Im of both transforms
	re, im := math.Cos(w*float64(l.half)), math.Sin(w*float64(l.half))
	for i, x := range l.windowed {
		s := l.slope[i]
		a += x * re
		b += x * im
		c += s * re
		d += s * im
		re, im = re*cr+im*sr, im*cr-re*sr
	}
	power := a*a + b*b
	if power < 1e-24 {
		return tone{f, 0}
	}
	return tone{f - (d*a-c*b)/power*l.rate/(2*math.Pi), 2 * math.Sqrt(power) / l.sum}
}

// near looks for a tone from where f says it is, moving to it at most twice.
// ok is false when what is found lies farther away than so many cents.
func (l *look) near(f, cents float64) (tone, bool) {
	first := l.tone(f)
	if first.amplitude == 0 || !within(first.hz, f, cents) {
		return first, false
	}
	second := l.tone(first.hz)
	return second, within(second.hz, f, cents)
}

// within reports whether a lies no more than so many cents from b; what is no frequency lies near none.
func within(a, b, cents float64) bool { return math.Abs(centsOver(b, a)) <= cents }

// centsOver returns how far hz lies over another frequency, in cents.
func centsOver(below, hz float64) float64 {
	return float64(pitch.Between(pitch.Hz(below), pitch.Hz(hz)))
}

// factor returns the frequency ratio of so many cents.
func factor(cents float64) float64 { return pitch.Cents(cents).Factor() }

// strength asks only for the amplitude at f.
func (l *look) strength(f float64) float64 {
	w := 2 * math.Pi * f / l.rate
	k := 2 * math.Cos(w)
	var s1, s2 float64
	for _, x := range l.windowed {
		s1, s2 = x+k*s1-s2, s1
	}
	return 2 * math.Sqrt(max(0, s1*s1+s2*s2-k*s1*s2)) / l.sum
}
