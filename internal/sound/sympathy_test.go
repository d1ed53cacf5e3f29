package sound

import (
	"math"
	"testing"

	"lapwright/internal/tab"
)

// When a plucked string is stopped, the strings that it set going through the
// bridge are still heard, far below it.
func TestOtherStringsAnswer(t *testing.T) {
	damped := func(_ *tab.Stroke, p *tab.Pluck) { p.Damp = true }
	// String 4 of open G is D3; string 1 is the octave of it.
	tb := makeTab(t, builtin(t, "reso-open-g"), 60, note{str: 4, len: 2, more: damped})
	sc, err := write(tb, Options{Speed: 1})
	if err != nil {
		t.Fatal(err)
	}
	m := assemble(tb.Rig, sc, Options{Dry: true})
	n := 4 * Rate
	pull, l, r, k := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	m.next(pull, l, r, k, 0)
	power := func(from, to float64) float64 {
		sum := 0.0
		for _, v := range pull[int(from*Rate):int(to*Rate)] {
			sum += v * v
		}
		return 10 * math.Log10(sum/((to-from)*Rate))
	}
	// The note ends at 2 s and is 60 dB down 85 ms later, twice that by 2.2 s.
	answer := power(2.25, 2.75) - power(1.4, 1.9)
	if answer > -24 || answer < -45 {
		t.Errorf("the other strings answer %.1f dB below the plucked one, want 24 to 45", -answer)
	}
}
