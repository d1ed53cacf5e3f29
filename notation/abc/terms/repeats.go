package terms

import "lapwright/tune"

// Unopened is a repeat that no sign opens, with a double line on the way back: ABC
// goes back to the line (section 4.8), where tune.Unfold, which knows no such rule,
// goes back further.
type Unopened struct {
	Back   int // index of the bar where tune.Unfold goes back to
	Double int // index of the bar after the last double line
}

// UnopenedRepeats returns the repeats that nothing opens and that ABC would take
// from a double line, where that comes later than the end of a repeat, the start of
// the tune or, in a tune with an order of parts, of a part. A reader puts a sign at
// Double, for the line is meant; a writer at Back, for it is not.
func UnopenedRepeats(bars []tune.Bar, inParts bool) []Unopened {
	var (
		out          []Unopened
		back, double int  // where a repeat goes by itself, and where the last double line is
		opened       bool // by a sign
		endings      = -1 // where the group of endings in hand begins
	)
	for i := range bars {
		b := &bars[i]
		if inParts && b.Part != "" {
			back, double, opened, endings = i, i, false, -1
		}
		if b.Left.Style == tune.OpenBarline {
			double = i
		}
		if b.Left.Repeat > 0 {
			back, opened = i, true
		}
		if endings < 0 && len(b.Endings) > 0 {
			endings = i
		}
		if b.Right.Repeat > 0 && !opened && double > back && (endings < 0 || double < endings) {
			out = append(out, Unopened{back, double})
			back, opened = double, true
		}
		switch {
		case endings >= 0 && b.EndingEnds && (i+1 == len(bars) || len(bars[i+1].Endings) == 0), endings < 0 && b.Right.Repeat > 0:
			back, double, opened, endings = i+1, i+1, false, -1
		case b.Right.Style == tune.DoubleBarline || b.Right.Style == tune.FinalBarline || b.Right.Style == tune.OpenBarline:
			double = i + 1
		}
	}
	return out
}
