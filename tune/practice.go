package tune

import (
	"fmt"

	"lapwright/fault"
)

// MaxTimes bounds how often bars are played over, MaxTurn how many bars a phrase has.
const (
	MaxTimes = 100
	MaxTurn  = 64
)

// Practice says how a piece, or some bars of it, is played over to be practised. The zero value plays it once.
type Practice struct {
	// FirstBar and LastBar are numbers as printed, 0 for the beginning and the end. The bars are those that
	// sound first under these numbers, in a row.
	FirstBar, LastBar int
	Times             int // how often; 0 is once
	// Tempo scales the tempo of each round, counted from 0; nil leaves all as they are.
	Tempo func(round int) float64
	// Turn, when above 0, has every phrase of so many bars played and then left to somebody else: its bars
	// come again without the melody (Performance.Silent). A pickup belongs to the first phrase.
	Turn int
}

// Practised returns the performance that a practice makes of this one. The error is bars that there are not, or more of
// them than a piece may have.
func (p *Performance) Practised(o Practice) (*Performance, error) {
	from, to, err := p.row(o.FirstBar, o.LastBar)
	if err != nil {
		return nil, err
	}
	switch {
	case o.Times < 0 || o.Times > MaxTimes:
		return nil, &fault.Fault{Msg: fmt.Sprintf("\"%d\" times is not between 1 and %d", o.Times, MaxTimes)}
	case o.Turn < 0 || o.Turn > MaxTurn:
		return nil, &fault.Fault{Msg: fmt.Sprintf("a phrase of \"%d\" bars is not between 1 and %d", o.Turn, MaxTurn)}
	}
	times := max(1, o.Times)
	if 2*times*(to-from) > MaxPasses {
		return nil, &fault.Fault{Msg: fmt.Sprintf("played over %d times, the piece is longer than %d bars", times, MaxPasses)}
	}
	var spans, phrases []Span
	for round := range times {
		tempo := 1.0
		if o.Tempo != nil {
			tempo = o.Tempo(round)
		}
		if o.Turn == 0 {
			spans = append(spans, Span{from, to, tempo})
			continue
		}
		for at := from; at < to; {
			end := min(to, at+o.Turn)
			if b := p.Passes[at].BarIndex; at == from && p.Tune.Within(b) > 0 && b == 0 {
				end = min(to, end+1)
			}
			phrases = append(phrases, Span{at, end, tempo})
			at = end
		}
	}
	if o.Turn > 0 {
		return p.InTurns(phrases...), nil
	}
	return p.Rearranged(spans...), nil
}

// InTurns returns the performance in which each phrase is played and then left to somebody else (Silent). Phrases must lie
// within p.
func (p *Performance) InTurns(phrases ...Span) *Performance {
	spans := make([]Span, 0, 2*len(phrases))
	var silent []bool
	for _, s := range phrases {
		spans = append(spans, s, s)
		n := max(0, s.To-s.From)
		for k := range 2 * n {
			silent = append(silent, k >= n)
		}
	}
	out := p.Rearranged(spans...)
	out.Silent = silent
	return out
}

// row returns the passes of bars from one number to another, to not included.
func (p *Performance) row(first, last int) (from, to int, err error) {
	lowest, highest := p.Tune.NumberRange()
	if first < 0 || last < 0 || first > 0 && last > 0 && last < first {
		return 0, 0, &fault.Fault{Msg: fmt.Sprintf("bars \"%d\" to \"%d\" are no row of bars", first, last)}
	}
	number := func(pass int) int { return p.Tune.Bars[p.Passes[pass].BarIndex].Number }
	for first > 0 && from < len(p.Passes) && number(from) != first {
		from++
	}
	to = from
	if last == 0 {
		to = len(p.Passes)
	}
	for found := false; last > 0 && to < len(p.Passes); to++ {
		if found && number(to) != last { // the second half of a bar that a repeat parts belongs to it
			break
		}
		found = found || number(to) == last
	}
	if from >= len(p.Passes) || to <= from || last > 0 && number(to-1) != last {
		return 0, 0, &fault.Fault{Msg: fmt.Sprintf("bars \"%d\" to \"%d\" do not sound in a row", first, last), Hint: fmt.Sprintf("the tune's bars are numbered %d to %d", lowest, highest)}
	}
	return from, to, nil
}
