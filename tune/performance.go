package tune

import "lapwright/fault"

// Performance is how a tune sounds in time: its repeats unfolded, its tempos made
// into a clock. It is worked out once (Perform, Checked) and handed to whoever
// needs it; it does not follow later changes of the tune.
type Performance struct {
	Tune   *Tune
	Passes []Pass     // the bars in the order in which they sound (Unfold)
	Faults fault.List // signs that could not be followed
	Clock  *Clock
	// First is when each written bar sounds first, from the start of the piece; 0
	// for a bar that never sounds.
	First []Ticks
	// Before is which bar sounds just before each the first time (FirstFrom).
	Before []int
	// Silent says of each pass whether its melody is left out, because it is somebody else's turn (Practised); nil
	// for none.
	Silent []bool
}

// Perform works out how a tune sounds.
func Perform(t *Tune) *Performance {
	passes, faults := Unfold(t)
	return newPerformance(t, passes, faults)
}

func newPerformance(t *Tune, passes []Pass, faults fault.List) *Performance {
	p := &Performance{
		Tune: t, Passes: passes, Faults: faults, Clock: newClock(t, passes),
		First: make([]Ticks, len(t.Bars)), Before: FirstFrom(t, passes),
	}
	for i := len(passes) - 1; i >= 0; i-- {
		p.First[passes[i].BarIndex] = passes[i].Start
	}
	if !t.Swing.Even() {
		p.swing(t.Swing.Ratio)
	}
	return p
}

// Of returns the same performance of another tune, which must have the same bars,
// signs and tempos: one that is transposed, or has notes added.
func (p *Performance) Of(t *Tune) *Performance {
	out := *p
	out.Tune = t
	return &out
}

// Moments returns the instants of the written music in order, as Moments does.
func (p *Performance) Moments() []Moment {
	out := make([]Moment, 0, len(p.Tune.Bars))
	for i := range p.Tune.Bars {
		out = append(out, barMoments(p.Tune, i, p.Before[i])...)
	}
	return out
}

// Seconds returns how long a stretch of a written bar lasts the first time that it
// sounds: from a place in the bar on, which may lead beyond the bar's end. Eighths count as they are
// written, so that what a hand has time for is the same whether a tune is swung or not.
func (p *Performance) Seconds(barIndex int, at, length Ticks) float64 {
	from := p.First[barIndex] + at
	return p.Clock.even(from+length) - p.Clock.even(from)
}

// Span is a row of passes of a performance, To not included.
type Span struct {
	From, To int
	Tempo    float64 // scales its tempos; 0 is 1
}

// Rearranged returns the performance that plays spans of p's passes one after the other, each
// at the tempos that it has in p, scaled as the span says: a loop is the same span more than once. Spans
// must lie within p; First and Before stay those of the whole tune, and whose turn a pass is stays with it.
func (p *Performance) Rearranged(spans ...Span) *Performance {
	out := *p
	out.Passes, out.Silent = nil, nil
	c := &Clock{}
	for _, s := range spans {
		if s.From >= s.To {
			continue
		}
		from := p.Passes[s.From].Start
		for _, pass := range p.Passes[s.From:s.To] {
			out.Passes = append(out.Passes, Pass{pass.BarIndex, c.length + pass.Start - from})
		}
		last := p.Passes[s.To-1]
		c.add(p.Clock, from, last.Start+p.Tune.Bars[last.BarIndex].Len, s.Tempo)
		if p.Silent != nil {
			out.Silent = append(out.Silent, p.Silent[s.From:s.To]...)
		}
	}
	if len(c.speeds) == 0 {
		c.add(p.Clock, 0, 0, 1)
	}
	out.Clock = c
	return &out
}
