package listen

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
)

// timing tells when each place of the score is in the take.
type timing struct {
	anchors []anchor // in the order of the take
	// before and after give for each group the anchor at or before it, and after
	// it, in the order of the score; −1 for none.
	before, after []int
}

// anchor is a pluck whose time in the take is known.
type anchor struct {
	group    int
	due, at  float64
	smooth   float64 // when a steady hand would have played it
	pace     float64 // seconds of the take a second of the score there
	stretch  int     // number of the stretch without a jump
	smoothOK bool
	late     float64 // seconds, against Reviewed.Against; NaN where it can't be told
}

// tempoReach is how many neighbours each way say what the tempo is at a pluck.
const tempoReach = 8

// newTiming works out the tempo from an alignment. At each pluck a line is fitted through its neighbours, those nearer
// weighing more and those far off the line less (local regression made robust, Cleveland 1979), so that one late note
// doesn't bend the tempo that it is late against.
func newTiming(s *score, a *aligned, heard []pluckHeard) *timing {
	t := &timing{}
	for g, j := range a.onset {
		if j >= 0 {
			t.anchors = append(t.anchors, anchor{group: g, due: s.groups[g].due, at: heard[j].At})
		}
	}
	inorder.Stable(t.anchors, func(a, b anchor) int { return cmp.Compare(a.at, b.at) })
	for i := 1; i < len(t.anchors); i++ {
		p, q := &t.anchors[i-1], &t.anchors[i]
		q.stretch = p.stretch
		pace := paceTo(p, q)
		// A pause splits the tempo as a jump does.
		if q.group <= p.group || pace < 1/(2*fastestPlay) || pace > 2/slowestPlay {
			q.stretch++
		}
	}
	t.before, t.after = make([]int, len(s.groups)), make([]int, len(s.groups))
	for i := range t.before {
		t.before[i], t.after[i] = -1, -1
	}
	for i := range t.anchors {
		t.fit(i)
		t.before[t.anchors[i].group] = i
	}
	for g := 1; g < len(t.before); g++ {
		if t.before[g] < 0 {
			t.before[g] = t.before[g-1]
		}
	}
	for g := len(t.after) - 2; g >= 0; g-- {
		t.after[g] = t.after[g+1]
		if i := t.before[g+1]; i >= 0 && t.anchors[i].group == g+1 {
			t.after[g] = i
		}
	}
	return t
}

// paceTo returns how many seconds of the take go to a second of the score from one anchor to another.
func paceTo(p, q *anchor) float64 { return (q.at - p.at) / (q.due - p.due) }

// fit finds the tempo at anchor i.
func (t *timing) fit(i int) {
	c := &t.anchors[i]
	lo, hi := i, i
	for lo > 0 && i-lo < tempoReach && t.anchors[lo-1].stretch == c.stretch {
		lo--
	}
	for hi+1 < len(t.anchors) && hi-i < tempoReach && t.anchors[hi+1].stretch == c.stretch {
		hi++
	}
	near := t.anchors[lo : hi+1]
	c.smooth, c.pace = c.at, 1
	first, last := &near[0], &near[len(near)-1]
	if len(near) < 4 {
		if last != first {
			c.pace = paceTo(first, last)
		}
		return
	}
	weights := make([]float64, len(near))
	far := max(c.due-first.due, last.due-c.due) * 1.1
	for k := range near {
		u := math.Abs(near[k].due-c.due) / far
		weights[k] = math.Pow(1-u*u*u, 3)
	}
	// Begin from the median of slopes and offsets, which half of the notes can't move.
	var slopes []float64
	for a := range near {
		for b := a + 1; b < len(near); b++ {
			slopes = append(slopes, paceTo(&near[a], &near[b]))
		}
	}
	slope := median(slopes)
	offs := make([]float64, len(near))
	for k := range near {
		offs[k] = near[k].at - slope*(near[k].due-c.due)
	}
	at := median(offs)
	for range 4 {
		rest := make([]float64, len(near))
		for k := range near {
			rest[k] = math.Abs(near[k].at - at - slope*(near[k].due-c.due))
		}
		scale := max(6*median(slices.Clone(rest)), 0.012) // a clone, since each rest belongs to its pluck
		var w, wx, wy, wxx, wxy float64
		for k := range near {
			u := min(1, rest[k]/scale) // from there on it weighs nothing
			v := weights[k] * (1 - u*u) * (1 - u*u)
			x := near[k].due - c.due
			w += v
			wx += v * x
			wy += v * near[k].at
			wxx += v * x * x
			wxy += v * x * near[k].at
		}
		d := w*wxx - wx*wx
		if d <= 1e-12 {
			break
		}
		slope = (w*wxy - wx*wy) / d
		at = (wy*wxx - wx*wxy) / d
	}
	c.smooth, c.pace, c.smoothOK = at, slope, true
}

// seconds tells when a place of the score near a group is in the take, by the
// anchors on both sides of it; ok is false when there is none.
func (t *timing) seconds(group int, due float64) (float64, bool) {
	var before, after *anchor
	if i := t.before[group]; i >= 0 {
		before = &t.anchors[i]
	}
	if i := t.after[group]; i >= 0 {
		after = &t.anchors[i]
	}
	switch {
	case before != nil && after != nil && after.stretch == before.stretch && after.at > before.at && due <= after.due:
		return before.at + (due-before.due)*(after.at-before.at)/(after.due-before.due), true
	case before != nil:
		return before.at + (due-before.due)*before.pace, true
	case after != nil:
		return after.at - (after.due-due)*after.pace, true
	}
	return 0, false
}

// pace tells how many seconds of the take go to a second of the score.
func (t *timing) pace() float64 {
	all := make([]float64, 0, len(t.anchors))
	for _, c := range t.anchors {
		all = append(all, c.pace)
	}
	if len(all) == 0 {
		return 1
	}
	return median(all)
}

// median returns the middle of v, which it sorts; 0 for none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	if n := len(v); n%2 == 0 {
		return (v[n/2-1] + v[n/2]) / 2
	}
	return v[len(v)/2]
}

// nextTouch returns when in the take the next pluck is that touches a want's string
// or moves the steel under it; 0 where there is none while the want lasts.
func (t *timing) nextTouch(s *score, w *want, g int) float64 {
	for k := g + 1; k < len(s.groups) && s.groups[k].due < w.due+w.stays+1e-6; k++ {
		for _, wi := range s.groups[k].wants {
			if o := &s.wants[wi]; o.pluck.String == w.pluck.String {
				at, _ := t.seconds(k, o.due)
				return at
			}
		}
	}
	return 0
}

// pluckedAfter lists what is plucked on other strings while a note of group g rings on.
func (t *timing) pluckedAfter(s *score, a *aligned, n *note, g int) []laterPluck {
	var out []laterPluck
	for h := g + 1; h < min(g+40, len(s.groups)); h++ {
		for _, wi := range s.groups[h].wants {
			w := &s.wants[wi]
			at, ok := t.seconds(h, w.due)
			if ok && at >= n.until {
				return out
			}
			if ok && a.reach[h] && w.pluck.String != n.pluck.String {
				out = append(out, laterPluck{at, w.hz})
			}
		}
	}
	return out
}
