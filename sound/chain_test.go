package sound

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
)

// A pickup takes of a wave of a frequency as much as its place and the length of string that it senses let it: the formula's
// |sin(nπx/L)| · |sin(u)/u|, u = nπw/(2L), on a low and a high string, up to 6 kHz within 0.6 dB or, near a null, within 3 % of the most.
func TestPickupTakesWhatItsPlaceSays(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	for _, index := range []int{0, 5} {
		w := wiringOf(r, index, voices[rig.LapSteel])
		parts := make([]stringPart, len(r.Strings))
		parts[index].first = float64(r.OpenKey(index+1, 0))
		s := newString(parts[index], 440, w, newBridge(voices[rig.LapSteel], nil).answers(), 5, nil)
		tried := 0
		for f := 100.0; f < 6000; f *= 1.13 {
			n := f / w.openHz
			length, place, wide := float64(r.Scale), voices[rig.LapSteel].pickup, voices[rig.LapSteel].aperture
			u := n * math.Pi * wide / (2 * length)
			want := 2 * math.Abs(math.Sin(n*math.Pi*place/length)*math.Sin(u)/u)
			got := 0.0
			for i := range 9600 {
				y := s.sense(math.Sin(2 * math.Pi * f * float64(i) / Rate))
				if i > 1000 {
					got = max(got, math.Abs(y))
				}
			}
			tried++
			if math.Abs(20*math.Log10(got/want)) > 0.6 && math.Abs(got-want) > 0.06 {
				t.Errorf("string %d, %.0f Hz: it takes %.3f, want %.3f", index+1, f, got, want)
			}
		}
		if tried < 20 {
			t.Fatalf("only %d tried", tried)
		}
	}
}

// chained is a note of a lap steel that is stopped after a second, with drive and springs as asked.
func chained(t *testing.T, drive, spring float64) []float64 {
	t.Helper()
	r := rigtest.Builtin(t, "lap6-c6")
	o, err := Options{Dry: true, Drive: &drive, Spring: &spring}.settled()
	if err != nil {
		t.Fatal(err)
	}
	sc, err := write(makeTab(t, r, 60, note{str: 3, fret: 5, len: 1}, note{str: 1, len: 1}), o)
	if err != nil {
		t.Fatal(err)
	}
	sc.parts[2].actions = append(sc.parts[2].actions, action{at: Rate / 2, kind: damp, t60: 0.05})
	slices.SortStableFunc(sc.parts[2].actions, func(a, b action) int { return cmp.Compare(a.at, b.at) })
	for s := range sc.parts { // the others are held still
		if s != 2 {
			sc.parts[s].actions = []action{{at: 0, kind: damp, t60: 0.02}}
		}
	}
	x := make([]float64, Rate*95/100)
	assemble(r, sc, o).next(make([]float64, len(x)), x, make([]float64, len(x)), make([]float64, len(x)), 0)
	return x
}

// The springs go on when the string is stopped, and only they do; a hard drive brings harmonics in and evens out how a note
// dies; the instruments with a pickup are those with an amplifier.
func TestAmplifierIsHeard(t *testing.T) {
	dry, wet := chained(t, 0, 0), chained(t, 0, 0.5)
	after := func(x []float64) float64 {
		return 10 * math.Log10(energyOf(x[Rate*7/10:Rate*9/10])/energyOf(x[:Rate/10])+1e-12)
	}
	if a, b := after(dry), after(wet); a > -50 || b < -35 {
		t.Errorf("0.2 s after it is stopped the note lies at %.0f dB without springs and %.0f with them", a, b)
	}
	hard := chained(t, 1, 0)
	falls := func(x []float64) float64 {
		return 10 * math.Log10(energyOf(x[Rate*4/10:Rate*45/100])/energyOf(x[Rate/20:Rate/10]))
	}
	if a, b := falls(dry), falls(hard); b < a+1.5 {
		t.Errorf("driven hard the note falls by %.1f dB, clean by %.1f", -b, -a)
	}
	if a, b := brightness(dry[:Rate/2]), brightness(hard[:Rate/2]); b < 1.1*a {
		t.Errorf("driven hard the spectrum's centre lies at %.0f Hz, clean at %.0f", b, a)
	}
	for kind, v := range voices {
		if HasAmplifier(kind) != (v.pickup > 0) {
			t.Errorf("%s: amplifier %v, pickup %g mm from the bridge", kind, HasAmplifier(kind), v.pickup)
		}
	}
	for _, v := range []float64{-0.1, 1.1, math.NaN()} {
		if _, err := (Options{Drive: &v}).settled(); err == nil {
			t.Errorf("a drive of %g is let be", v)
		}
		if _, err := (Options{Spring: &v}).settled(); err == nil {
			t.Errorf("springs at %g are let be", v)
		}
	}
}
