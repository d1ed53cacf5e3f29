package click

import (
	"fmt"

	"lapwright/tune"
)

// On says on which beats it clicks.
type On uint8

// The beats.
const (
	Beats      On = iota // each
	TwoAndFour           // those between the strong ones: two and four of four, two of two, two and three of three
	Subdivided           // each, and softly what it is counted in
)

// ParseOn reads a name; "" is each beat.
func ParseOn(s string) (On, error) {
	switch s {
	case "", "beats":
		return Beats, nil
	case "two-and-four":
		return TwoAndFour, nil
	case "subdivided":
		return Subdivided, nil
	}
	return 0, fmt.Errorf("the click is on beats, two-and-four or subdivided, and not on %q", s)
}

// MaxOut bounds Options.Out.
const MaxOut = 32

// Options say what is clicked.
type Options struct {
	CountIn int  // bars before the music, each beat of them
	Through bool // through the music as well
	On      On   // on which beats of the music
	// Out, when above 0, lets it drop out: so many bars with it, so many without.
	Out int
}

// LeadIn returns how many seconds of clicks go before a performance, at its own tempo, which the clock
// carries on to before the start.
func LeadIn(p *tune.Performance, countIn int) float64 {
	if countIn == 0 || len(p.Passes) == 0 {
		return 0
	}
	full, lead := countBar(p)
	return -p.Clock.Seconds(-tune.Ticks(countIn)*full - lead)
}

// countBar returns the length of a whole bar to count in with, and what of it
// comes before a pickup.
func countBar(p *tune.Performance) (full, lead tune.Ticks) {
	first := &p.Tune.Bars[p.Passes[0].BarIndex]
	full = first.Meter.Len()
	if full == 0 {
		full = 4 * first.Meter.Beat()
	}
	return full, max(0, full-first.Len)
}

// Write returns the clicks of a performance; sample says when a place of it is heard.
func Write(p *tune.Performance, o Options, sample func(tune.Ticks) int) []Beat {
	bars := p.Tune.Bars
	if len(p.Passes) == 0 {
		return nil
	}
	w := writer{sample: sample}
	if o.CountIn > 0 {
		full, lead := countBar(p)
		first := bars[p.Passes[0].BarIndex].Meter
		for n := range o.CountIn {
			w.bar(first, tune.Ticks(n-o.CountIn)*full-lead, 0, full)
		}
		w.bar(first, -lead, 0, lead)
	}
	if !o.Through {
		return w.out
	}
	w.on = o.On
	for k, pass := range p.Passes {
		if o.Out > 0 && k/o.Out%2 == 1 {
			continue
		}
		b := &bars[pass.BarIndex]
		from := tune.Ticks(0)
		if full := b.Meter.Len(); b.Number == 0 && b.Len < full {
			from = full - b.Len
		}
		w.bar(b.Meter, pass.Start-from, from, from+b.Len)
	}
	return w.out
}

type writer struct {
	sample func(tune.Ticks) int
	on     On
	out    []Beat
}

// bar writes the beats of one bar that starts at start and of which the
// stretch from lo to hi is heard.
func (w *writer) bar(m tune.Meter, start, lo, hi tune.Ticks) {
	step := m.Beat()
	if step <= 0 {
		return
	}
	weigh := func(n int) int {
		if n == 0 && m.Beats > 0 {
			return 0
		}
		return 1
	}
	if len(m.Groups) > 0 {
		step = tune.Whole / tune.Ticks(max(m.Unit, 1))
		starts := map[int]bool{}
		sum := 0
		for _, g := range m.Groups {
			starts[sum] = true
			sum += g
		}
		weigh = func(n int) int {
			switch {
			case n == 0:
				return 0
			case starts[n]:
				return 1
			}
			return 2
		}
	}
	for n, at := 0, tune.Ticks(0); at < hi; n, at = n+1, at+step {
		weight := weigh(n)
		w.click(start, at, lo, hi, Beat{Weight: weight, Between: between(m, n, weight)})
		if len(m.Groups) == 0 { // groups have every part already
			parts := tune.Ticks(2)
			if unit := tune.Whole / tune.Ticks(max(m.Unit, 1)); step == 3*unit {
				parts = 3
			}
			for k := tune.Ticks(1); k < parts; k++ {
				w.click(start, at+k*step/parts, lo, hi, Beat{Weight: 2, Part: true})
			}
		}
	}
}

func (w *writer) click(start, at, lo, hi tune.Ticks, b Beat) {
	if at >= lo && at < hi && b.heard(w.on) {
		b.At = max(0, w.sample(start+at))
		w.out = append(w.out, b)
	}
}

// heard reports whether a click sounds when it clicks so.
func (b Beat) heard(on On) bool {
	switch on {
	case TwoAndFour:
		return b.Between
	case Subdivided:
		return true
	}
	return !b.Part
}

// between reports whether beat n of a bar lies between the strong ones.
func between(m tune.Meter, n, weight int) bool {
	switch {
	case len(m.Groups) > 0:
		return weight == 1
	case m.Beats > 0 && m.Len()/m.Beat()%2 == 0:
		return n%2 == 1
	}
	return n > 0
}
