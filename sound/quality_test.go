package sound

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/internal/further"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sound/loss"
	"lapwright/tab"
)

// one sounds a single note on a body, without the room, and gives what its
// string alone gives and what is heard.
func one(t *testing.T, kind rig.Body, n note, seconds float64) (pull, heard []float64) {
	t.Helper()
	return played(t, kind, n, seconds, 0)
}

// played is one by a hand of a seed.
func played(t *testing.T, kind rig.Body, n note, seconds float64, seed uint64) (pull, heard []float64) {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g").Clone()
	r.Body = kind
	tb := makeTab(t, r, 60, n)
	sc, err := write(tb, Options{Speed: 1, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	m := assemble(r, sc, Options{Dry: true})
	size := int(seconds * Rate)
	heard = make([]float64, size)
	m.next(make([]float64, size), heard, make([]float64, size), make([]float64, size), 0)
	// The string alone, with no bridge for the others to answer through.
	pull = make([]float64, size)
	s := assemble(r, sc, Options{}).strings[n.str-1]
	alone(s, pull, 0)
	return pull, heard
}

// alone sounds a string from sample at on at a bridge that does not give way, the
// pick's burst left out.
func alone(s *stringModel, out []float64, at int) {
	for i := range out {
		if (at+i)%grid == 0 {
			s.control(at+i, false)
		}
		if s.active {
			s.arrive(at + i)
			out[i] = s.arrivedUp + 0.26*s.arrivedAlong
			s.burst.left = 0
			s.leave(0, 0)
			if s.history != nil {
				out[i] = s.sense(s.arrivedUp)
			}
		}
	}
}

// levelAt gives the level in dB of the partial at f around a time, through a
// Hann window of 80 ms.
func levelAt(x []float64, f, when float64) float64 {
	const n = 3840
	re, im := 0.0, 0.0
	lo := int(when*Rate) - n/2
	for i := range n {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n)
		a := 2 * math.Pi * f * float64(lo+i) / Rate
		re += w * x[lo+i] * math.Cos(a)
		im += w * x[lo+i] * math.Sin(a)
	}
	return 10 * math.Log10(re*re+im*im+1e-30)
}

// decayTime measures the time of 60 dB of decay from what happens between two
// times.
func decayTime(x []float64, f, from, to float64) float64 {
	return 60 * (to - from) / (levelAt(x, f, from) - levelAt(x, f, to))
}

// Strings at a bridge that does not give way ring as long as the law of their losses
// says: open and barred, low and high. Two polarisations half a cent apart leave a fifth.
func TestDecayTimes(t *testing.T) {
	for kind := range voices {
		for _, c := range []struct {
			str  int
			fret float64
		}{{1, 0}, {1, 5}, {1, 12}, {4, 0}, {6, 5}} {
			r := rigtest.Builtin(t, "reso-open-g")
			f := 440 * math.Exp2((float64(r.OpenKey(c.str, 0))+c.fret-69)/12)
			pull, _ := one(t, kind, note{str: c.str, fret: c.fret, len: 4}, 1.5)
			l := wiringOf(r, c.str-1, voice{}).loss
			want := loss.Ln1000 / l.Rate(f, f, c.fret > 0)
			got := decayTime(pull, f, 0.15, 1.2)
			if got < 0.8*want || got > 1.25*want {
				t.Errorf("%s, string %d fret %g: rings %.2f s, want %.2f", kind, c.str, c.fret, got, want)
			}
		}
	}
}

// The higher a partial, the sooner it dies.
func TestHighPartialsDieFirst(t *testing.T) {
	for kind := range voices {
		pull, _ := one(t, kind, note{str: 4, fret: 5, len: 4}, 1)
		f := 440 * math.Exp2((float64(rigtest.Builtin(t, "reso-open-g").OpenKey(4, 0))+5-69)/12)
		last := math.Inf(1)
		for _, n := range []float64{1, 3, 6, 10} {
			got := decayTime(pull, n*f, 0.1, 0.4)
			if got >= last {
				t.Errorf("%s: partial %g rings %.2f s, a lower one %.2f", kind, n, got, last)
			}
			last = got
		}
	}
}

// brightness returns the centre of gravity of the magnitude spectrum in Hz, from
// 50 to 390 ms after the pluck.
func brightness(x []float64) float64 {
	const n = 16384
	w := make([]float64, n)
	for i := range w {
		w[i] = x[2400+i] * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/n))
	}
	sum, moment := 0.0, 0.0
	for k, c := range fourier.NewFFT(n).Coefficients(nil, w) {
		m := math.Hypot(real(c), imag(c))
		sum += m
		moment += m * float64(k) * Rate / n
	}
	return moment / sum
}

// Each kind of instrument is as bright as docs/sound.md says, on the same note
// (B3 on string 2), within a tenth: the two wooden acoustics darkest, then the
// resonator and the steels, the pickup nearer the bridge the brighter, and the three cones
// brightest. A finger pick is brighter than a thumb pick.
func TestBrightness(t *testing.T) {
	want := map[rig.Body]float64{
		rig.HollowNeckAcoustic: 700, rig.RoundNeckAcoustic: 993, rig.SquareNeckResonator: 1126,
		rig.LapSteel: 1376, rig.Tricone: 1751, rig.PedalSteel: 1564,
	}
	for kind := range voices {
		_, heard := one(t, kind, note{str: 2, len: 4}, 1)
		got := brightness(heard)
		t.Logf("%-22s %.0f Hz", kind, got)
		if math.Abs(got-want[kind]) > 0.1*want[kind] {
			t.Errorf("%s: centre of the spectrum at %.0f Hz, want %.0f", kind, got, want[kind])
		}
		_, thumb := one(t, kind, note{str: 2, len: 4, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Finger = tab.Thumb }}, 1)
		if b := brightness(thumb); b >= got {
			t.Errorf("%s: a thumb pick at %.0f Hz is no duller than a finger pick at %.0f", kind, b, got)
		}
	}
}

// No note of an instrument jumps out or is swallowed: from the lowest string to
// fret 24 of the highest all lie within 10 dB in the mean over some hands, body resonances and all; the same note by
// those hands within 3 dB; and the
// two sides belong together, so that nothing is lost on one loudspeaker.
func TestEvenness(t *testing.T) {
	for kind := range voices {
		low, high := math.Inf(1), math.Inf(-1)
		for _, n := range []note{{str: 6}, {str: 6, fret: 3}, {str: 5, fret: 1}, {str: 5, fret: 4}, {str: 4, fret: 2}, {str: 3}, {str: 3, fret: 2}, {str: 2, fret: 1}, {str: 1}, {str: 1, fret: 3}, {str: 1, fret: 7}, {str: 1, fret: 11}, {str: 1, fret: 16}, {str: 1, fret: 24}} {
			n.len = 4
			sum, least, most := 0.0, math.Inf(1), 0.0
			for seed := range uint64(further.Few(2, 4)) {
				_, heard := played(t, kind, n, 0.4, seed)
				e := energyOf(heard[480:])
				sum, least, most = sum+e, min(least, e), max(most, e)
			}
			if apart := 10 * math.Log10(most/least); apart > 3 {
				t.Errorf("%s, %+v: the same note comes out %.1f dB apart", kind, n, apart)
			}
			level := 10 * math.Log10(sum)
			low, high = min(low, level), max(high, level)
		}
		t.Logf("%-22s notes differ by %.1f dB", kind, high-low)
		if high-low > 10 {
			t.Errorf("%s: notes differ by %.1f dB", kind, high-low)
		}
	}
	a, err := Render(everything(t, "tricone-open-d"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var both, l2, r2 float64
	for i, l := range a.Channels[0] {
		r := a.Channels[1][i]
		both += float64(l * r)
		l2 += float64(l * l)
		r2 += float64(r * r)
	}
	if c := both / math.Sqrt(l2*r2); c < 0.7 || c > 0.995 {
		t.Errorf("left and right correlate by %.3f, want 0.7 to 0.995: together, and not the same", c)
	}
}

// A note comes within 3 dB of its loudest, in windows of 10 ms, within 20 ms,
// two periods of the lowest string: the ear takes that as one stroke (common
// practice, no source).
func TestAttack(t *testing.T) {
	for kind := range voices {
		for str := 1; str <= 6; str++ {
			_, heard := one(t, kind, note{str: str, fret: 5, len: 4}, 0.5)
			const window, step = 480, 48
			var levels []float64
			for i := 0; i+window < len(heard); i += step {
				sum := 0.0
				for _, v := range heard[i : i+window] {
					sum += v * v
				}
				levels = append(levels, sum)
			}
			most := slices.Max(levels)
			first := slices.IndexFunc(levels, func(v float64) bool { return v > most/2 })
			if first > 20 {
				t.Errorf("%s, string %d: near its loudest only %d ms after the pluck", kind, str, first)
			}
		}
	}
}

// A damped note is 40 dB down a tenth of a second after its end, with no click
// where the palm comes down.
func TestDamping(t *testing.T) {
	for kind := range voices {
		pull, _ := one(t, kind, note{str: 5, fret: 3, len: 1, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }}, 1.5)
		f := 440 * math.Exp2((float64(rigtest.Builtin(t, "reso-open-g").OpenKey(5, 0))+3-69)/12)
		if drop := levelAt(pull, f, 0.95) - levelAt(pull, f, 1.14); drop < 40 {
			t.Errorf("%s: only %.0f dB down", kind, drop)
		}
	}
}

// A written rest is silence: it is 40 dB down when it is half over, while the
// last note of a piece rings on.
func TestRestsStopTheStrings(t *testing.T) {
	// A quarter left to ring and two more on another string, a rest of one, and
	// another string again.
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 120, note{str: 2, fret: 5, len: 1}, note{str: 3, fret: 5, len: 2}, note{str: 1, fret: 5, len: 3})
	a, err := Render(tb, Options{Dry: true})
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, a.Len())
	for i, v := range a.Channels[0] {
		x[i] = float64(v)
	}
	f := 440 * math.Exp2((float64(tb.Rig.OpenKey(2, 0))+5-69)/12)
	if drop := levelAt(x, f, 1.4) - levelAt(x, f, 1.75); drop < 40 {
		t.Errorf("in the rest the note is only %.0f dB down", drop)
	}
	f = 440 * math.Exp2((float64(tb.Rig.OpenKey(1, 0))+5-69)/12)
	if drop := levelAt(x, f, 3.4) - levelAt(x, f, 3.75); drop > 6 {
		t.Errorf("the last note is cut off by %.0f dB", drop)
	}
}

// Vibrato swings about the note, equally far up and down, and ends on it.
func TestVibrato(t *testing.T) {
	tb := makeTab(t, rigtest.Builtin(t, "lap6-c6"), 60, note{str: 1, fret: 7, len: 2, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Vibrato = true }}, note{str: 2, fret: 7, len: 2})
	sc, err := write(tb, Options{Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	s := assemble(tb.Rig, sc, Options{}).strings[0]
	lo, hi := math.Inf(1), math.Inf(-1)
	key := float64(tb.Rig.OpenKey(1, 0)) + 7
	for n := grid; n < 3*Rate; n += grid {
		p, _ := s.periodAt(n)
		cents := 1200*math.Log2(Rate/p/440) + 6900 - 100*key
		lo, hi = min(lo, cents), max(hi, cents)
		if at := float64(n) / Rate; (at < 0.2 || at > 2) && math.Abs(cents) > 1e-6 {
			t.Fatalf("%.3f cents off at %.2f s", cents, at)
		}
	}
	// In a note of 2 s 4/3 · 1.8 mm of a vibrating length of 571.5·2^(−7/12) = 381 mm is 10.9 cents, and sways by an eighth.
	if math.Abs(hi+lo) > 1.5 || math.Abs(hi-10.9) > 1.5 {
		t.Errorf("it swings from %.2f to %.2f cents, want 10.9 each way", lo, hi)
	}
}
