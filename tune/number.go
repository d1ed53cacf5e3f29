package tune

// Number numbers the bars as they are printed: the first bar is 1, or 0 when it
// is a pickup; endings count on; a short bar that fills up the short one before
// it, with a line between them that MaySplit, shares its number.
func Number(bars []Bar) {
	n := 1
	for i := range bars {
		b := &bars[i]
		full := b.Meter.Len()
		switch {
		case i == 0 && b.Len < full:
			n = 0
		case i == 0:
		case bars[i-1].Len+b.Len == full && n > 0 && MaySplit(&bars[i-1], b) &&
			(i < 2 || bars[i-2].Number != n):
		default:
			n++
		}
		b.Number = n
	}
}

// CountBars returns how many bars a person counts by the printed numbers: a pickup
// is none, and what shares a number is one.
func (t *Tune) CountBars() int {
	n := 0
	for i := range t.Bars {
		if number := t.Bars[i].Number; number > 0 && (i == 0 || t.Bars[i-1].Number != number) {
			n++
		}
	}
	if n == 0 {
		return len(t.Bars) // a pickup and nothing else
	}
	return n
}

// NumberRange returns the lowest and the highest number that a bar has. There
// must be one.
func (t *Tune) NumberRange() (lowest, highest int) {
	lowest, highest = t.Bars[0].Number, t.Bars[0].Number
	for i := range t.Bars {
		lowest, highest = min(lowest, t.Bars[i].Number), max(highest, t.Bars[i].Number)
	}
	return lowest, highest
}

// Place tells a place in a bar as a reader of the page counts it: the printed
// number and how far on from where that number begins. Two short bars that
// share a number (see Number) are counted through as one.
func (t *Tune) Place(bar int, at Ticks) (number int, place Ticks) {
	number = t.Bars[bar].Number
	for bar > 0 && t.Bars[bar-1].Number == number {
		bar--
		at += t.Bars[bar].Len
	}
	return number, at
}

// MaySplit reports whether the line between two neighbouring bars may stand inside
// what is one bar by its meter: a repeat, a double or other special line, the
// start of an ending or of a part.
func MaySplit(a, b *Bar) bool {
	return a.Right.Repeat > 0 || b.Left.Repeat > 0 || a.Right.Style != SingleBarline || b.Left.Style == OpenBarline || len(b.Endings) > 0 || b.Part != ""
}

// EndEndings sets EndingEnds where the bracket of each ending ends: before a
// repeat, a double, final or thick line, the next ending or a part, and at the
// end of the piece.
func EndEndings(bars []Bar) {
	open := false
	for i := range bars {
		b := &bars[i]
		b.EndingEnds = false
		open = open || len(b.Endings) > 0
		if !open {
			continue
		}
		if i+1 == len(bars) || b.Right.Repeat > 0 || b.Right.Style == DoubleBarline || b.Right.Style == FinalBarline ||
			len(bars[i+1].Endings) > 0 || bars[i+1].Left.Repeat > 0 || bars[i+1].Left.Style == OpenBarline || bars[i+1].Part != "" {
			b.EndingEnds = true
			open = false
		}
	}
}
