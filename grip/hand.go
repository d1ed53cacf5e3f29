package grip

import "math/bits"

// Hand is which strings the picking fingers play, 0 for none. The thumb may
// draw across several: t is then the one nearest the player's body, last the one
// it ends on.
type Hand struct{ Thumb, ThumbEnd, Index, Middle int8 }

// Plucking is a hand and what it costs by itself.
type Plucking struct {
	Hand
	Cost int32
}

// HandWays returns the ways to pluck a set of strings (bit s−1), as indexes into
// hands. The fingers never cross: thumb on the lower strings, then index, then
// middle. Four strings or more are drawn by the thumb up to the last two.
func (n *Neck) HandWays(plucked uint16) []int32 {
	if w, ok := n.ways[plucked]; ok {
		return w
	}
	var strs []int8 // from string 1's side
	for m := plucked; m != 0; m &= m - 1 {
		strs = append(strs, int8(bits.TrailingZeros16(m))+1)
	}
	var all []Hand
	switch k := len(strs); k {
	case 0:
		all = []Hand{{}}
	case 1:
		s := strs[0]
		all = []Hand{{Thumb: s, ThumbEnd: s}, {Index: s}, {Middle: s}}
	case 2:
		all = []Hand{{Thumb: strs[1], ThumbEnd: strs[1], Index: strs[0]}, {Thumb: strs[1], ThumbEnd: strs[1], Middle: strs[0]}, {Index: strs[1], Middle: strs[0]}}
	default:
		all = []Hand{{Thumb: strs[k-1], ThumbEnd: strs[2], Index: strs[1], Middle: strs[0]}}
	}
	var w []int32
	for _, h := range all {
		i, ok := n.handOf[h]
		if !ok {
			i = int32(len(n.Hands))
			n.handOf[h] = i
			n.Hands = append(n.Hands, Plucking{h, n.handCost(h)})
		}
		w = append(w, i)
	}
	if k := len(strs); k > 3 {
		// The strings that the thumb must leave out differ between sets that
		// share a hand, so such a hand is kept for its own set alone.
		drawn := strs[2:]
		gap := int(drawn[len(drawn)-1]-drawn[0]) + 1 - len(drawn)
		i := int32(len(n.Hands))
		h := all[0]
		n.Hands = append(n.Hands, Plucking{h, n.handCost(h) + n.prices.Rake*int32(len(drawn)-1) + n.prices.RakeGap*int32(gap)})
		w = []int32{i}
	}
	n.ways[plucked] = w
	return w
}

// handCost returns how far the fingers are from their homes: middle over the
// first third of the strings, index over the next, thumb over the rest (common
// practice, no source).
func (n *Neck) handCost(h Hand) int32 {
	third := int8(max(1, (n.Strings+1)/3))
	away := int8(0)
	if h.Thumb > 0 {
		away += max(0, third+1-h.ThumbEnd)
	}
	if h.Index > 0 {
		away += max(0, third-h.Index, h.Index-2*third)
	}
	away += max(0, h.Middle-third)
	return int32(away) * n.prices.Away
}

// HandStep returns what it costs to pluck with b after a, seconds later.
func (n *Neck) HandStep(a, b Hand, seconds float64) int32 {
	return n.handStep(a, b, n.again(seconds))
}

// again returns what it costs to play with a finger that played so many seconds before.
func (n *Neck) again(seconds float64) int32 {
	switch {
	case seconds < n.Limits.Repeat:
		return n.prices.SameFingerQuick
	case seconds < 2*n.Limits.Repeat:
		return n.prices.SameFinger
	}
	return n.prices.SameFingerSlow
}

func (n *Neck) handStep(a, b Hand, again int32) int32 {
	cost := int32(0)
	if a.Thumb > 0 && b.Thumb > 0 {
		cost += again / n.prices.ThumbAgain
	}
	if a.Index > 0 && b.Index > 0 {
		cost += again
	}
	if a.Middle > 0 && b.Middle > 0 {
		cost += again
	}
	if Crosses(a, b) || Crosses(b, a) {
		cost += n.prices.Cross
	}
	if la, lb := Lead(a), Lead(b); la > 0 && lb > 0 {
		cost += n.prices.SkipPrice(int(la), int(lb))
	}
	return cost
}

// HandSteps is HandStep between the hands of a neck at one pace, reckoned once.
type HandSteps struct {
	n     *Neck
	again int32
	rows  [][]int32 // by the hand before, nil until it is asked for
}

// StepsAt returns what it costs to pluck with one of n.Hands after another, seconds later.
func (n *Neck) StepsAt(seconds float64) *HandSteps {
	again := n.again(seconds)
	t := n.handSteps[again]
	if t == nil {
		t = &HandSteps{n: n, again: again}
		n.handSteps[again] = t
	}
	return t
}

// After returns what each of n.Hands costs after the one of index a.
func (t *HandSteps) After(a int32) []int32 {
	hands := t.n.Hands
	for len(t.rows) < len(hands) {
		t.rows = append(t.rows, nil)
	}
	row := t.rows[a]
	for b := len(row); b < len(hands); b++ { // others may have come up since
		row = append(row, t.n.handStep(hands[a].Hand, hands[b].Hand, t.again))
	}
	t.rows[a] = row
	return row
}

// Crosses reports whether a finger of b nearer the thumb plays on the far side of
// a string that a finger of a nearer the middle just played.
func Crosses(a, b Hand) bool {
	return b.Thumb > 0 && (a.Index > b.ThumbEnd || a.Middle > b.ThumbEnd) || b.Index > 0 && a.Middle > b.Index
}

// Lead returns the string nearest string 1 that a hand plays, 0 for none.
func Lead(h Hand) int8 {
	switch {
	case h.Middle > 0:
		return h.Middle
	case h.Index > 0:
		return h.Index
	}
	return h.ThumbEnd
}
