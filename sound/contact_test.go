package sound

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"

	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// slide renders a glide of seven frets on one string and gives the lead and the
// steel's own noise of it, one channel each.
func slide(t *testing.T, name string, str int, level float64) (lead, contact []float32) {
	t.Helper()
	tb := makeTab(t, rigtest.Builtin(t, name), 60, note{str: str, fret: 5, len: 2, glide: true}, note{str: str, fret: 12, len: 2, attack: tab.Glided})
	s, err := RenderStems(tb, Options{Dry: true, Contact: &level, Loudness: -30})
	if err != nil {
		t.Fatal(err)
	}
	return s.Lead.Channels[0], s.Contact.Channels[0]
}

func loudestFrom(x []float32, from, to float64) float64 {
	most := 0.0
	for i := int(from * Rate); i+480 < int(to*Rate); i += 240 {
		sum := 0.0
		for _, v := range x[i : i+480] {
			sum += float64(v) * float64(v)
		}
		most = max(most, sum)
	}
	return 10 * math.Log10(most+1e-20)
}

// The steel's noise in a slide of seven frets lies 25 to 40 dB under the stroke on a wound string and 10 to 15 dB lower on a
// plain one, in windows of 10 ms; it is there only while the steel moves, and without it
// the lead is what it is with it, less it.
func TestContactNoise(t *testing.T) {
	for _, name := range []string{"reso-open-g", "tricone-open-d", "hollow-neck-open-d", "lap6-c6"} {
		r := rigtest.Builtin(t, name)
		wound, plain := len(r.Strings)-1, 1
		levels := map[int]float64{}
		for _, str := range []int{wound, plain} {
			lead, contact := slide(t, name, str, 1)
			levels[str] = loudestFrom(contact, 1.5, 2) - loudestFrom(lead, 0, 0.1)
			if still := loudestFrom(contact, 2.6, 4) - loudestFrom(lead, 0, 0.1); still > -90 {
				t.Errorf("%s, string %d: %.0f dB of the steel's noise when it lies still", name, str, still)
			}
		}
		t.Logf("%s: wound %.1f dB, plain %.1f dB", name, levels[wound], levels[plain])
		if l := levels[wound]; l < -40 || l > -25 {
			t.Errorf("%s: a wound string scrapes at %.1f dB", name, l)
		}
		if d := levels[wound] - levels[plain]; d < 10 || d > 15 {
			t.Errorf("%s: a plain string scrapes %.1f dB lower", name, d)
		}
	}
	_, silent := slide(t, "lap6-c6", 5, 0)
	for i, v := range silent {
		if v != 0 {
			t.Fatalf("left out, the steel's noise is %g at sample %d", v, i)
		}
	}
}

// Left out, nothing of it is in the lead: the samples are those of a machine whose steel
// makes no noise at all.
func TestContactIsGoneExactly(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	tb := makeTab(t, r, 60, note{str: 5, fret: 5, len: 1, glide: true}, note{str: 5, fret: 12, len: 1, attack: tab.Glided})
	zero := 0.0
	run := func(mute bool) []float64 {
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		o := Options{Dry: true}
		if mute {
			o.Contact = &zero
		} else {
			sc.landings = nil
			for s := range sc.parts {
				for i := range sc.parts[s].sweeps {
					sc.parts[s].sweeps[i].scrapes = false
				}
			}
		}
		m := assemble(r, sc, o)
		n := 3 * Rate
		l := make([]float64, n)
		m.next(make([]float64, n), l, make([]float64, n), make([]float64, n), 0)
		return l
	}
	a, b := run(true), run(false)
	for i := range a {
		if a[i] != b[i] {
			t.Fatalf("sample %d: %g with the noise left out, %g without any", i, a[i], b[i])
		}
	}
}

// On a wound string the noise has a line at the speed times the turns to a metre, and it goes with the
// speed in height: twice as fast is an octave higher and 6 dB louder, within 1.5 dB. Its resonances stay where
// they are.
func TestContactPitchGoesWithSpeed(t *testing.T) {
	w := wiringOf(rigtest.Builtin(t, "reso-open-g"), 5, voice{})
	run := func(v float64) (p []float64, level float64) {
		r := newRub(w)
		r.aim(v)
		n := noise(7)
		const size = 1 << 16
		x := make([]float64, size)
		for i := range x {
			if i == grid {
				r.aim(v)
				r.step = 0
			}
			x[i] = r.next(&n)
			level += x[i] * x[i] / size
		}
		p = make([]float64, size/2+1)
		for i, c := range fourier.NewFFT(size).Coefficients(nil, x) {
			p[i] = real(c)*real(c) + imag(c)*imag(c)
		}
		return p, 10 * math.Log10(level)
	}
	around := func(p []float64, hz, width float64) float64 {
		bin := float64(Rate) / (1 << 16)
		most := 0.0
		for i := int((hz - width) / bin); i <= int((hz+width)/bin); i++ {
			most = max(most, p[i])
		}
		return 10 * math.Log10(most)
	}
	var last float64
	for i, v := range []float64{0.2, 0.4} {
		p, level := run(v)
		f := w.turns * v
		if line, floor := around(p, f, 3), around(p, 1.3*f, 3); line < floor+6 {
			t.Errorf("at %g m/s the line at %.0f Hz is %.1f dB above what lies beside it", v, f, line-floor)
		}
		// The highest line within a third of an octave, and under the resonances, is at that speed within 3 %.
		bin, peak := float64(Rate)/(1<<16), 0
		for i := int(0.8 * f / bin); i < int(1.25*f/bin); i++ {
			if p[i] > p[peak] || peak == 0 {
				peak = i
			}
		}
		if at := float64(peak) * bin; math.Abs(at/f-1) > 0.03 {
			t.Errorf("at %g m/s the noise peaks at %.0f Hz, want %.0f", v, at, f)
		}
		if rail := around(p, w.rails[0], 60) - around(p, 2*w.rails[0], 60); rail < 3 {
			t.Errorf("at %g m/s the resonance at %.0f Hz stands out by %.1f dB", v, w.rails[0], rail)
		}
		if i > 0 && math.Abs(level-last-6-3) > 3.1 { // 6 dB for each knock, and up to 3 for twice as many
			t.Errorf("twice the speed is %.1f dB louder", level-last)
		}
		last = level
	}
	if w.turns < 1500 || w.turns > 4000 {
		t.Errorf("%.0f turns to a metre; sets have 2000 to 3800 (D. G. Smith, McGill 2023)", w.turns)
	}
}
