package refcheck

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"lapwright/internal/further"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// The measures of this file are taken alike of what is sounded and of recorded
// strings (see recorded_test.go). All samples are at sound.Rate.

// stroke cuts a sound where its first stroke begins: 2 ms before it first
// reaches a fiftieth of the loudest of its first 0.3 s.
func stroke(x []float64) []float64 {
	most := 0.0
	for _, v := range x[:min(len(x), sound.Rate*3/10)] {
		most = max(most, math.Abs(v))
	}
	for i, v := range x {
		if math.Abs(v) >= most/50 {
			return x[max(0, i-96):]
		}
	}
	return x
}

// powers returns the power spectrum of the first n samples, the last fifth of
// them faded out, and the width of a bin in hertz.
func powers(x []float64, n int) (p []float64, bin float64) {
	size := 1 << 15
	for size < n {
		size *= 2
	}
	w := make([]float64, size)
	copy(w, x[:n])
	for i := range n / 5 {
		w[n-1-i] *= 0.5 - 0.5*math.Cos(math.Pi*float64(i)/float64(n/5))
	}
	c := fourier.NewFFT(size).Coefficients(nil, w)
	p = make([]float64, len(c))
	for i, v := range c {
		p[i] = real(v)*real(v) + imag(v)*imag(v)
	}
	return p, sound.Rate / float64(size)
}

func decibels(ratio float64) float64 { return 10 * math.Log10(ratio+1e-12) }

// topShare returns the share of the power above 5 kHz in the first 30 ms of a stroke, in dB.
func topShare(x []float64) float64 {
	p, bin := powers(x, sound.Rate*30/1000)
	all, top := 0.0, 0.0
	for i, v := range p {
		all += v
		if float64(i)*bin > 5000 {
			top += v
		}
	}
	return decibels(top / all)
}

// band leaves only what lies between two frequencies.
func band(x []float64, lo, hi float64) []float64 {
	n := 1
	for n < len(x)+4800 {
		n *= 2
	}
	w := make([]float64, n)
	copy(w, x)
	fft := fourier.NewFFT(n)
	c := fft.Coefficients(nil, w)
	for i := range c {
		if f := float64(i) * sound.Rate / float64(n); f < lo || f > hi {
			c[i] = 0
		}
	}
	w = fft.Sequence(nil, c)[:len(x)]
	for i := range w {
		w[i] /= float64(n)
	}
	return w
}

// unevenShare returns the share of the power above 2 kHz in the first 40 ms that
// does not come back one period later, in dB: 1 − ρ, with ρ the best correlation
// within 3 per cent of the period of hz.
func unevenShare(x []float64, hz float64) float64 {
	best, _ := uneven(x, hz)
	return decibels(1 - best)
}

// uneven returns the best correlation ρ of what lies above 2 kHz in the first 40 ms with itself a period later, and what is left of the
// later when as much of the earlier as is in it is taken off.
func uneven(x []float64, hz float64) (best float64, rest []float64) {
	n := sound.Rate * 40 / 1000
	w := band(x[:4*n], 2000, 24000)[:n]
	for lag := int(0.97 * sound.Rate / hz); lag <= int(1.03*sound.Rate/hz)+1; lag++ {
		a, b := w[:n-lag], w[lag:]
		var ab, aa, bb float64
		for i := range a {
			ab += a[i] * b[i]
			aa += a[i] * a[i]
			bb += b[i] * b[i]
		}
		if r := ab / math.Sqrt(aa*bb+1e-30); r > best || rest == nil {
			best, rest = max(best, r), make([]float64, len(a))
			for i := range a {
				rest[i] = b[i] - ab/(aa+1e-30)*a[i]
			}
		}
	}
	return best, rest
}

// unevenThirds are the middles of the third-octave bands, in Hz, in which the uneven part of a stroke is looked at.
var unevenThirds = []float64{2500, 3150, 4000, 5000, 6300, 8000, 10000}

// unevenSpectrum returns the uneven part's levels in those bands against their power together, in dB, in the mean over some notes.
func unevenSpectrum(notes [][]float64, hz []float64) []float64 {
	out := make([]float64, len(unevenThirds))
	for i, x := range notes {
		_, rest := uneven(x, hz[i])
		p, bin := powers(rest, len(rest))
		all := 0.0
		sums := make([]float64, len(out))
		for k, mid := range unevenThirds {
			for j := int(mid*math.Exp2(-1./6)/bin) + 1; j <= int(mid*math.Exp2(1./6)/bin); j++ {
				sums[k] += p[j]
			}
			all += sums[k]
		}
		for k, v := range sums {
			out[k] += decibels(v/all) / float64(len(notes))
		}
	}
	return out
}

// levels returns the level of each window of so many milliseconds, in dB.
func levels(x []float64, ms int) []float64 {
	n := sound.Rate * ms / 1000
	var out []float64
	for i := 0; i+n <= len(x); i += n {
		sum := 0.0
		for _, v := range x[i : i+n] {
			sum += v * v
		}
		out = append(out, decibels(sum/float64(n)))
	}
	return out
}

// fallTime returns the time of 60 dB of decay of what lies between two
// frequencies: a line through its levels from 60 ms after the stroke until it is
// 25 dB down or 0.7 s have passed.
func fallTime(x []float64, lo, hi float64) float64 {
	l := levels(band(x[:min(len(x), sound.Rate)], lo, hi), 20)
	var t, y []float64
	for i := 3; i < len(l) && i < 35 && l[i] > l[3]-25; i++ {
		t = append(t, 0.02*float64(i))
		y = append(y, l[i])
	}
	if len(t) < 3 {
		return 0.02
	}
	_, slope := stat.LinearRegression(t, y, nil, false)
	return -60 / slope
}

// highPartials returns the power from 4.5 to 9 kHz from 0.1 to 0.3 s after the stroke, when its click is over, against all of its first
// 0.1 s, in dB.
func highPartials(x []float64) float64 {
	high := band(x[:sound.Rate], 4500, 9000)[sound.Rate/10 : sound.Rate*3/10]
	return decibels(floats.Dot(high, high) / floats.Dot(x[:sound.Rate/10], x[:sound.Rate/10]))
}

// twoFalls returns the times of 60 dB of decay of the fundamental early (60 to 400 ms)
// and late (0.8 to 1.6 s) in a note.
func twoFalls(x []float64, hz float64) (early, late float64) {
	l := levels(band(x[:sound.Rate*18/10], 0.96*hz, 1.04*hz), 40)
	line := func(from, to int) float64 {
		var t, y []float64
		for i := from; i < to; i++ {
			t = append(t, 0.04*float64(i))
			y = append(y, l[i])
		}
		_, slope := stat.LinearRegression(t, y, nil, false)
		return 60 / max(-slope, 60./99)
	}
	return line(2, 10), line(20, 40)
}

// after1s returns the level a second after the stroke against the loudest, in windows of 50 ms, in dB.
func after1s(x []float64) float64 {
	l := levels(x, 50)
	return l[20] - slices.Max(l[:6])
}

// thirds returns the levels in the third-octave bands from 100 Hz to 8 kHz of a sound's
// first so many seconds, in dB against their mean.
func thirds(x []float64, seconds float64) []float64 {
	p, bin := powers(x, int(seconds*sound.Rate))
	var out []float64
	for k := -10; k <= 9; k++ {
		mid := 1000 * math.Exp2(float64(k)/3)
		sum := 0.0
		for i := int(mid*math.Exp2(-1./6)/bin) + 1; i <= int(mid*math.Exp2(1./6)/bin); i++ {
			sum += p[i]
		}
		out = append(out, decibels(sum/p[slices.Index(p, slices.Max(p))]))
	}
	mean := stat.Mean(out, nil)
	for i := range out {
		out[i] -= mean
	}
	return out
}

// rms returns the root mean square of the differences of two lists.
func rms(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += (a[i] - b[i]) * (a[i] - b[i])
	}
	return math.Sqrt(sum / float64(len(a)))
}

// longNote is a tab of one note that sounds for four seconds.
func longNote(r *rig.Rig, str int, fret float64) *tab.Tab {
	tb := everyFret(r, []float64{fret}, str)
	tb.Tune.Bars[0].Tempos[0].PerMinute = 60_000
	st := &tb.Strokes[0]
	st.Len = tune.Whole
	st.Plucks[0].Len, st.Plucks[0].Damp = tune.Whole, false
	tb.Tune.Bars[0].Lines[0][0].Len, tb.Tune.Bars[0].Lines[0][0].Value = tune.Whole, tune.Value{}
	return tb
}

// sounded gives one note on a body as heard without the room, quiet enough
// that no limiter touches it.
func sounded(t *testing.T, body rig.Body, str int, fret float64) (x []float64, hz float64) {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	r = r.Clone()
	r.Body = body
	return soundedOn(t, r, str, fret)
}

// soundedOn gives one note on a rig as sounded does.
func soundedOn(t *testing.T, r *rig.Rig, str int, fret float64) (x []float64, hz float64) {
	t.Helper()
	tb := longNote(r, str, fret)
	a, _ := hearTab(t, tb, sound.Options{Dry: true, Loudness: -36})
	hz = 440 * math.Exp2((tab.Key(steel.New(r), &tb.Strokes[0], &tb.Strokes[0].Plucks[0])-69)/12)
	return stroke(mono(a, 0, a.Seconds())), hz
}

var allBodies = []rig.Body{rig.SquareNeckResonator, rig.Tricone, rig.HollowNeckAcoustic, rig.RoundNeckAcoustic, rig.LapSteel, rig.PedalSteel}

// strokesOf sounds the six strings of a body at fret 5, one by one.
func strokesOf(t *testing.T, body rig.Body) (notes [][]float64, hz []float64) {
	t.Helper()
	for s := 1; s <= 6; s++ {
		x, f := sounded(t, body, s, 5)
		notes, hz = append(notes, x), append(hz, f)
	}
	return notes, hz
}

// recordings decodes all recorded strings.
func recordings(t *testing.T) (notes [][]float64, hz []float64) {
	t.Helper()
	for _, r := range recordedStrings {
		notes = append(notes, stroke(recorded(t, r.name)))
		hz = append(hz, 440*math.Exp2(float64(r.key-69)/12))
	}
	return notes, hz
}

// spread is the median of a measure over some notes, with its least and most.
type spread struct{ min, median, max float64 }

func spreadOf(notes [][]float64, hz []float64, measure func(x []float64, hz float64) float64) spread {
	var out []float64
	for i, x := range notes {
		out = append(out, measure(x, hz[i]))
	}
	slices.Sort(out)
	return spread{out[0], out[len(out)/2], out[len(out)-1]}
}

// What a stroke is made of, measured alike on recorded plucked steel strings
// and on what is sounded. The bounds are set round what the recorded strings show (a share of
// −9 to −19 dB above 5 kHz, T60 of 0.7 to 2.0 s at 4 to 6 kHz, −5 dB of uneven share in
// the median) and from what a resonator is by players held to be against them: its top as strong, a
// hollow neck's weaker. The first row of each measure holds the recordings to the same bound, so that
// a measure that reads nonsense is seen.
func TestStrokesAgainstRecorded(t *testing.T) {
	type strokes struct {
		notes [][]float64
		hz    []float64
	}
	heard := map[string]strokes{}
	for _, b := range allBodies {
		n, hz := strokesOf(t, b)
		heard[string(b)] = strokes{n, hz}
	}
	n, hz := recordings(t)
	heard["recorded"] = strokes{n, hz}
	top := func(x []float64, _ float64) float64 { return topShare(x) }
	long := func(x []float64, _ float64) float64 { return fallTime(x, 4000, 6000) }
	high := func(x []float64, _ float64) float64 { return highPartials(x) }
	longer := func(x []float64, _ float64) float64 { return fallTime(x, 6000, 8000) }
	second := func(x []float64, _ float64) float64 { return after1s(x) }
	for _, c := range []struct {
		what    string
		measure func(x []float64, hz float64) float64
		body    rig.Body
		lo, hi  float64 // of the median
	}{
		{"share above 5 kHz in 30 ms, dB", top, "recorded", -20, -8},
		{"share above 5 kHz in 30 ms, dB", top, rig.SquareNeckResonator, -30, -10},
		{"share above 5 kHz in 30 ms, dB", top, rig.Tricone, -30, -10},
		{"share above 5 kHz in 30 ms, dB", top, rig.HollowNeckAcoustic, -35, -20},
		{"share above 5 kHz in 30 ms, dB", top, rig.RoundNeckAcoustic, -35, -10},
		{"uneven share above 2 kHz in 40 ms, dB", unevenShare, "recorded", -8, 0},
		{"uneven share above 2 kHz in 40 ms, dB", unevenShare, rig.SquareNeckResonator, -8, 0},
		{"uneven share above 2 kHz in 40 ms, dB", unevenShare, rig.Tricone, -8, 0},
		{"uneven share above 2 kHz in 40 ms, dB", unevenShare, rig.HollowNeckAcoustic, -8, 0},
		{"uneven share above 2 kHz in 40 ms, dB", unevenShare, rig.RoundNeckAcoustic, -8, 0},
		{"T60 at 4 to 6 kHz, s", long, "recorded", 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.SquareNeckResonator, 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.Tricone, 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.HollowNeckAcoustic, 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.RoundNeckAcoustic, 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.LapSteel, 0.7, 1.9},
		{"T60 at 4 to 6 kHz, s", long, rig.PedalSteel, 0.7, 1.9},
		{"T60 at 6 to 8 kHz, s", longer, "recorded", 0.6, 1.4},
		{"T60 at 6 to 8 kHz, s", longer, rig.SquareNeckResonator, 0.6, 1.4},
		{"T60 at 6 to 8 kHz, s", longer, rig.Tricone, 0.6, 1.4},
		{"T60 at 6 to 8 kHz, s", longer, rig.HollowNeckAcoustic, 0.6, 1.4},
		{"T60 at 6 to 8 kHz, s", longer, rig.RoundNeckAcoustic, 0.6, 1.4},
		{"partials at 4.5 to 9 kHz after 0.1 s, dB", high, "recorded", -26, -14},
		{"partials at 4.5 to 9 kHz after 0.1 s, dB", high, rig.SquareNeckResonator, -35, -14},
		{"partials at 4.5 to 9 kHz after 0.1 s, dB", high, rig.Tricone, -35, -14},
		{"partials at 4.5 to 9 kHz after 0.1 s, dB", high, rig.HollowNeckAcoustic, -40, -14},
		{"partials at 4.5 to 9 kHz after 0.1 s, dB", high, rig.RoundNeckAcoustic, -35, -14},
		{"level after 1 s, dB", second, "recorded", -20, -10},
		{"level after 1 s, dB", second, rig.SquareNeckResonator, -25, -15},
	} {
		h := heard[string(c.body)]
		f := spreadOf(h.notes, h.hz, c.measure)
		t.Logf("%-42s %-22s %6.2f  (%.1f to %.1f)", c.what, c.body, f.median, f.min, f.max)
		if f.median < c.lo || f.median > c.hi {
			t.Errorf("%s, %s: %.2f, want %g to %g", c.what, c.body, f.median, c.lo, c.hi)
		}
	}
	want := unevenSpectrum(heard["recorded"].notes, heard["recorded"].hz)
	t.Logf("uneven part by third octaves, dB       recorded               %.1f", want)
	for _, b := range allBodies {
		got := unevenSpectrum(heard[string(b)].notes, heard[string(b)].hz)
		t.Logf("uneven part by third octaves, dB       %-22s %.1f", b, got)
		for k, v := range got {
			// What lies over 5 kHz a steel guitar's loudspeaker does not give.
			if (b == rig.LapSteel || b == rig.PedalSteel) && unevenThirds[k] > 5000 {
				continue
			}
			if math.Abs(v-want[k]) > 6 {
				t.Errorf("%s: the uneven part at %g Hz is at %.1f dB, that of recorded strings at %.1f", b, unevenThirds[k], v, want[k])
			}
		}
	}
	third := func(b rig.Body) []float64 {
		sum := make([]float64, 20)
		for _, x := range heard[string(b)].notes {
			for i, v := range thirds(x, 1) {
				sum[i] += v / 6
			}
		}
		return sum
	}
	for i, b := range allBodies {
		for _, other := range allBodies[i+1:] {
			d := rms(third(b), third(other))
			t.Logf("third-octave distance %-22s %-22s %.1f dB", b, other, d)
			least := leastApart[[2]rig.Body{b, other}]
			if d < least || least == 0 {
				t.Errorf("%s and %s are only %.2f dB apart, want %g", b, other, d, least)
			}
		}
	}
}

// leastApart is how far third octaves of two bodies are to lie apart, in dB: as far as in the model of one loss filter and bodies that no
// string felt, its notes measured by this same code; for a resonator against three cones and a lap steel, which were too alike in it, 6.
var leastApart = map[[2]rig.Body]float64{
	{rig.SquareNeckResonator, rig.Tricone}:            6,
	{rig.SquareNeckResonator, rig.HollowNeckAcoustic}: 9.6,
	{rig.SquareNeckResonator, rig.RoundNeckAcoustic}:  5.7,
	{rig.SquareNeckResonator, rig.LapSteel}:           6,
	{rig.SquareNeckResonator, rig.PedalSteel}:         2.5,
	{rig.Tricone, rig.HollowNeckAcoustic}:             12.5,
	{rig.Tricone, rig.RoundNeckAcoustic}:              8.6,
	{rig.Tricone, rig.LapSteel}:                       7.1,
	{rig.Tricone, rig.PedalSteel}:                     3.9,
	{rig.HollowNeckAcoustic, rig.RoundNeckAcoustic}:   5.0,
	{rig.HollowNeckAcoustic, rig.LapSteel}:            8.0,
	{rig.HollowNeckAcoustic, rig.PedalSteel}:          10.4,
	{rig.RoundNeckAcoustic, rig.LapSteel}:             5.1,
	{rig.RoundNeckAcoustic, rig.PedalSteel}:           6.4,
	{rig.LapSteel, rig.PedalSteel}:                    3.9,
}

// On an acoustic body no two frets last alike, and some notes die in two stages
// (only a few near strong resonances on a guitar, often on banjo and mandolin: Journal of the Acoustical Society of
// America 150, 2021, 4375): the standard deviation of the fundamental's early decay time over frets 1 to 12, in octaves,
// and the share of notes whose late decay is more than twice as slow as the early.
func TestFretsDecayApart(t *testing.T) {
	for _, b := range allBodies[:further.Few(2, 4)] {
		var deviations []float64
		double, notes := 0, 0
		for _, s := range []int{2, 4} {
			var logs []float64
			for f := 1.0; f <= 12; f++ {
				r := rigtest.Builtin(t, "reso-open-g")
				// The other strings are taken off: what they answer has some partial
				// beside every fundamental, and rings on.
				r = r.Clone()
				r.Body, r.Strings = b, r.Strings[s-1:s]
				x, hz := soundedOn(t, r, 1, f)
				early, late := twoFalls(x, hz)
				logs = append(logs, math.Log2(early))
				notes++
				if late > 2*early {
					double++
				}
			}
			deviations = append(deviations, stat.StdDev(logs, nil))
		}
		scatter, share := stat.Mean(deviations, nil), 100*float64(double)/float64(notes)
		t.Logf("%-22s scatter %.2f octaves, double decay on %.0f %%", b, scatter, share)
		if scatter < 0.3 || scatter > 1 {
			t.Errorf("%s: decay scatters by %.2f octaves from fret to fret, want 0.3 to 1", b, scatter)
		}
		if share < 5 || share > 40 {
			t.Errorf("%s: %.0f %% of the notes decay in two stages, want 5 to 40", b, share)
		}
	}
}
