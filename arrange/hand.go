package arrange

import "math/bits"

// hand is which strings the picking fingers play, 0 for none. The thumb may
// draw across several: t is then the one nearest the player's body, last the one
// it ends on.
type hand struct{ t, last, i, m int8 }

// handInfo is a hand and what it costs by itself.
type handInfo struct {
	hand
	cost int32
}

// handWays gives the ways to pluck a set of strings (bit s−1), as indexes into
// hands. The fingers never cross: thumb on the lower strings, then index, then
// middle. Four strings or more are drawn by the thumb up to the last two.
func (n *board) handWays(plucked uint16) []int32 {
	if w, ok := n.ways[plucked]; ok {
		return w
	}
	var strs []int8 // from string 1's side
	for m := plucked; m != 0; m &= m - 1 {
		strs = append(strs, int8(bits.TrailingZeros16(m))+1)
	}
	var all []hand
	switch k := len(strs); k {
	case 0:
		all = []hand{{}}
	case 1:
		s := strs[0]
		all = []hand{{t: s, last: s}, {i: s}, {m: s}}
	case 2:
		all = []hand{{t: strs[1], last: strs[1], i: strs[0]}, {t: strs[1], last: strs[1], m: strs[0]}, {i: strs[1], m: strs[0]}}
	default:
		all = []hand{{t: strs[k-1], last: strs[2], i: strs[1], m: strs[0]}}
	}
	var w []int32
	for _, h := range all {
		i, ok := n.handOf[h]
		if !ok {
			i = int32(len(n.hands))
			n.handOf[h] = i
			n.hands = append(n.hands, handInfo{h, n.handCost(h)})
		}
		w = append(w, i)
	}
	if k := len(strs); k > 3 {
		// The strings that the thumb must leave out differ between sets that
		// share a hand, so such a hand is kept for its own set alone.
		drawn := strs[2:]
		gap := int(drawn[len(drawn)-1]-drawn[0]) + 1 - len(drawn)
		i := int32(len(n.hands))
		h := all[0]
		n.hands = append(n.hands, handInfo{h, n.handCost(h) + int32(costRake*(len(drawn)-1)+costRakeGap*gap)})
		w = []int32{i}
	}
	n.ways[plucked] = w
	return w
}

// handCost gives how far the fingers are from their homes: middle over the
// first third of the strings, index over the next, thumb over the rest (common
// practice, no source).
func (n *board) handCost(h hand) int32 {
	third := int8(max(1, (n.n+1)/3))
	away := int8(0)
	if h.t > 0 {
		away += max(0, third+1-h.last)
	}
	if h.i > 0 {
		away += max(0, third-h.i, h.i-2*third)
	}
	if h.m > 0 {
		away += max(0, h.m-third)
	}
	return int32(away) * costAway
}

// handStep gives what it costs to pluck with b after a, seconds later.
func (n *board) handStep(a, b hand, seconds float64) int32 {
	cost := int32(0)
	again := int32(costSameFingerSlow)
	switch {
	case seconds < n.lim.Repeat:
		again = costSameFingerQuick
	case seconds < 2*n.lim.Repeat:
		again = costSameFinger
	}
	if a.t > 0 && b.t > 0 {
		cost += again / costThumbAgain
	}
	if a.i > 0 && b.i > 0 {
		cost += again
	}
	if a.m > 0 && b.m > 0 {
		cost += again
	}
	if crosses(a, b) || crosses(b, a) {
		cost += costCross
	}
	if la, lb := lead(a), lead(b); la > 0 && lb > 0 {
		cost += costSkip * max(0, int32(abs8(la-lb))-2)
	}
	return cost
}

// crosses says whether a finger of b nearer the thumb plays on the far side of
// a string that a finger of a nearer the middle just played.
func crosses(a, b hand) bool {
	return b.t > 0 && (a.i > b.last || a.m > b.last) || b.i > 0 && a.m > b.i
}

// lead gives the string nearest string 1 that a hand plays, 0 for none.
func lead(h hand) int8 {
	switch {
	case h.m > 0:
		return h.m
	case h.i > 0:
		return h.i
	}
	return h.last
}
