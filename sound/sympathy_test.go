package sound

import (
	"math"
	"testing"

	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
)

// While a string sounds, one an octave above it answers through the bridge: far
// below it, more on a body that gives than on a solid one. A palm that stops
// the note stops the answer too, and lets the string go again.
func TestOtherStringsAnswer(t *testing.T) {
	answers := map[rig.Body]float64{}
	for kind := range voices {
		r := rigtest.Builtin(t, "reso-open-g").Clone()
		r.Body = kind
		// String 4 of open G is D3; string 1 is the octave of it.
		tb := makeTab(t, r, 60, note{str: 4, len: 2, more: func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }})
		sc, err := write(tb, Options{Speed: 1})
		if err != nil {
			t.Fatal(err)
		}
		m := assemble(r, sc, Options{Dry: true})
		pull, l, rt, k := make([]float64, Rate/10), make([]float64, Rate/10), make([]float64, Rate/10), make([]float64, Rate/10)
		at := 0
		until := func(seconds float64) {
			for ; at < int(seconds*Rate); at += len(pull) {
				m.next(pull, l, rt, k, at)
			}
		}
		played, answer := m.strings[3].up, m.strings[0].up
		until(0.1)
		stroke := played.Loudest()
		until(1.5)
		answers[kind] = 20 * math.Log10(answer.Loudest()/stroke)
		if answers[kind] > -15 || answers[kind] < -50 {
			t.Errorf("%s: the octave answers at %.1f dB", kind, answers[kind])
		}
		before := answer.Loudest()
		until(2.4)
		if drop := 20 * math.Log10(before/answer.Loudest()); drop < 40 {
			t.Errorf("%s: under the palm the answer falls by only %.1f dB", kind, drop)
		}
		if m.strings[0].keep < 0.999 {
			t.Errorf("%s: the palm is still on the string", kind)
		}
	}
	if answers[rig.LapSteel] > answers[rig.HollowNeckAcoustic]-6 {
		t.Errorf("a lap steel answers at %.1f dB, a hollow-neck at %.1f", answers[rig.LapSteel], answers[rig.HollowNeckAcoustic])
	}
}
