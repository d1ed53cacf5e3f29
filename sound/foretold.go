package sound

import (
	"lapwright/tab"
	"lapwright/tune"
)

// What of a piece is sounded to foretell its gain: so many stretches, spread over it, of so many seconds each.
const (
	foretoldStretches = 4
	foretoldSeconds   = 2.5
)

// ForetoldGain is Gain from some stretches of the piece, for who can't wait: it sounds ten seconds
// whatever the length. It lies within 1.5 dB of Gain (TestForetoldGain), and is Gain itself
// for a piece that is hardly longer.
func ForetoldGain(t *tab.Tab, o Options) (float64, error) {
	o, err := o.settled()
	if err != nil {
		return 0, err
	}
	whole := t.Performance()
	spans := stretches(whole, foretoldSeconds*o.Speed)
	if spans == nil {
		return Gain(t, o)
	}
	o.CountIn, o.Click = 0, false
	sc, err := writeAs(t, o, whole.Rearranged(spans...))
	if err != nil {
		return 0, err
	}
	p := &playing{o: o, sc: sc, m: assemble(t.Rig, sc, o), length: sc.length()}
	return p.gain()
}

// stretches returns rows of bars spread evenly over a piece, each of at least so many seconds at the
// written tempo; nil where they would be most of it.
func stretches(p *tune.Performance, seconds float64) []tune.Span {
	n := len(p.Passes)
	if n == 0 || p.Clock.Seconds(p.Clock.Len()) < 1.5*foretoldStretches*seconds {
		return nil
	}
	var out []tune.Span
	next := 0
	for k := range foretoldStretches {
		from := max(next, k*n/foretoldStretches)
		to := from
		for to < n && (to == from || p.Clock.Seconds(p.Passes[to].Start)-p.Clock.Seconds(p.Passes[from].Start) < seconds) {
			to++
		}
		if from < n {
			out = append(out, tune.Span{From: from, To: to})
		}
		next = to
	}
	return out
}
