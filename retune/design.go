package retune

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// Requirements is what a string set is designed for.
type Requirements struct {
	// Tunings are the tunings that the one set must serve, each string 1 first;
	// all of the same number of strings.
	Tunings   [][]pitch.Name
	Scale     wire.MM
	Reference pitch.Hz
	Pull      wire.Newtons // wanted for string 1
	// Rise is how much more the last string is to pull than string 1, as a
	// share; strings between lie on the straight line. 0 asks for an even pull.
	Rise  float64
	Limit wire.Newtons // the most that all strings together may pull in any of the tunings
	// LimitSource says whose figure the limit is, for the report.
	LimitSource string
	// Body is the kind of body the set is for: one that is built lightly has
	// its strings counted at the upper end of their uncertainty. It may be empty.
	Body rig.Body
	// Share is the share of its breaking load that no string may reach; 0 takes
	// wire.CautionShare, and wire.BreakShare is the most.
	Share float64
	// Sold are the strings to choose from.
	Sold []wire.String
}

// DefaultPull is the pull that a string of a lap-style instrument usually has
// (common practice, no source): 27 pounds.
const DefaultPull wire.Newtons = 120

// Bounds of Requirements: the pull of string 1, the rise, and the share of the
// breaking load, of which wire.BreakShare is the most.
const (
	MaxPull  = wire.Newtons(500)
	MinRise  = -0.5
	MaxRise  = 1.0
	MinShare = 0.1
)

// Set is a string set.
type Set struct {
	Strings []wire.String // string 1 first
	// Worst is the greatest departure of any string in any tuning from the
	// pull it was wanted to have, as a share of that; Sum adds up the greatest
	// of each string.
	Worst, Sum float64
	Pulls      [][]wire.Newtons // of each tuning, string 1 first
	Totals     []wire.Newtons   // of each tuning
	Loads      []wire.Newtons   // of each tuning, what the limit counts: Totals, or their upper ends
	Shares     []float64        // of each string: the greatest share of its breaking load
}

// Design is the best set for a wish, and the next best.
type Design struct {
	Best Set
	// RunnerUp is the best of all sets that differ in a string; nil when no
	// other set is possible.
	RunnerUp *Set
	Wanted   []wire.Newtons // the pull each string was wanted to have
}

// choice is one sold string considered for one place.
type choice struct {
	index  int
	string wire.String
	off    float64        // greatest departure over the tunings
	pulls  []wire.Newtons // in each tuning
	loads  []wire.Newtons // what the limit counts: the pulls, or their upper ends
	share  float64        // greatest share of breaking load
}

// NewDesign finds the set whose worst string departs least from the wanted
// pull; among those the set that departs least in sum; among those the
// lighter. No string may pull less than rig.Slackest nor carry the share of its
// breaking load, and no tuning may pull more than the limit.
//
// The search is exact. A lighter string pulls less in every tuning at once, so
// for a given worst departure a set exists only if the lightest strings within
// it keep the limit; the least such departure is found among the finitely many
// there are. Within it the least sum is found string by string, keeping every
// partial set that no other beats in both sum and pulls and that can still
// match a set found by a shorter way.
func NewDesign(w Requirements) (*Design, error) {
	wanted, all, err := w.choices()
	if err != nil {
		return nil, err
	}
	best, ok := w.solve(all)
	if !ok {
		least := w.lightest(all, math.Inf(1))
		t := slices.Index(least, slices.Max(least))
		how := ""
		if w.Body.Strict() {
			how = ", counted at the upper end of their uncertainty"
		}
		return nil, fmt.Errorf("no set keeps the limit: the lightest strings that are not too slack pull %.0f N in the tuning %q%s, and the limit is \"%.0f N\"",
			float64(least[t]), TuningText(w.Tunings[t]), how, float64(w.Limit))
	}
	d := &Design{Best: w.set(best), Wanted: wanted}
	// The next best set differs from the best in some string: forbid each in turn.
	var next []choice
	for i := range best {
		without := slices.Clone(all)
		without[i] = slices.DeleteFunc(slices.Clone(all[i]), func(c choice) bool { return c.index == best[i].index })
		if len(without[i]) == 0 {
			continue
		}
		if other, ok := w.solve(without); ok && (next == nil || compareSets(other, next) < 0) {
			next = other
		}
	}
	if next != nil {
		s := w.set(next)
		d.RunnerUp = &s
	}
	return d, nil
}

// choices lists what each place may have, by departure, and the pull wanted there.
func (w Requirements) choices() ([]wire.Newtons, [][]choice, error) {
	if len(w.Tunings) == 0 || len(w.Tunings[0]) == 0 {
		return nil, nil, fmt.Errorf("a string set needs a tuning to be designed for")
	}
	n := len(w.Tunings[0])
	for _, t := range w.Tunings[1:] {
		if len(t) != n {
			return nil, nil, fmt.Errorf("one set serves tunings of the same number of strings: %q has %d and %q has %d", TuningText(w.Tunings[0]), n, TuningText(t), len(t))
		}
	}
	if !(w.Scale >= rig.MinScale && w.Scale <= rig.MaxScale) {
		return nil, nil, fmt.Errorf("a scale of \"%.5g mm\" is outside %g to %g mm", float64(w.Scale), float64(rig.MinScale), float64(rig.MaxScale))
	}
	if !(w.Pull >= rig.Slackest && w.Pull <= MaxPull) {
		return nil, nil, fmt.Errorf("a pull of \"%.4g N\" a string is outside %g to %g N", float64(w.Pull), float64(rig.Slackest), float64(MaxPull))
	}
	if !(w.Rise >= MinRise && w.Rise <= MaxRise) {
		return nil, nil, fmt.Errorf("a rise of \"%.3g\" is outside %g to %g", w.Rise, MinRise, MaxRise)
	}
	if !(w.Limit > 0) {
		return nil, nil, fmt.Errorf("a load limit of \"%.4g N\" is not above zero", float64(w.Limit))
	}
	if !(w.Reference >= pitch.MinReference && w.Reference <= pitch.MaxReference) {
		return nil, nil, fmt.Errorf("a reference pitch of \"%g\" Hz is outside %g to %g", float64(w.Reference), float64(pitch.MinReference), float64(pitch.MaxReference))
	}
	share := cmp.Or(w.Share, wire.CautionShare)
	if !(share >= MinShare && share <= wire.BreakShare) {
		return nil, nil, fmt.Errorf("a share of breaking load of \"%.3g\" is outside %g to %g", w.Share, MinShare, wire.BreakShare)
	}
	wanted := make([]wire.Newtons, n)
	all := make([][]choice, n)
	for i := range n {
		wanted[i] = w.Pull
		if n > 1 {
			wanted[i] *= wire.Newtons(1 + w.Rise*float64(i)/float64(n-1))
		}
		for k, s := range w.Sold {
			c := choice{index: k, string: s}
			slack := false
			for _, t := range w.Tunings {
				pull := s.Tension(w.Scale, t[i].Hz(w.Reference))
				slack = slack || pull < rig.Slackest
				c.off = max(c.off, math.Abs(float64(pull/wanted[i])-1))
				c.share = max(c.share, float64(pull/s.BreakingLoad()))
				c.pulls = append(c.pulls, pull)
				if w.Body.Strict() {
					pull *= wire.Newtons(1 + s.MassSpread())
				}
				c.loads = append(c.loads, pull)
			}
			if !slack && c.share < share {
				all[i] = append(all[i], c)
			}
		}
		if len(all[i]) == 0 {
			byKey := func(a, b []pitch.Name) int { return cmp.Compare(a[i].Key(), b[i].Key()) }
			low, high := slices.MinFunc(w.Tunings, byKey)[i], slices.MaxFunc(w.Tunings, byKey)[i]
			to := high.String()
			if low != high {
				to = low.String() + " to " + to
			}
			return nil, nil, fmt.Errorf("no string that is sold serves string %d at %s on a scale of %.4g in: each is too slack or carries %.0f %% of what breaks it",
				i+1, to, float64(w.Scale/wire.Inch), 100*share)
		}
		inorder.Stable(all[i], func(a, b choice) int {
			return cmp.Or(cmp.Compare(a.off, b.off), cmp.Compare(a.pulls[0], b.pulls[0]))
		})
	}
	return wanted, all, nil
}

// lightest returns the total of each tuning with the lightest string in each
// place that departs by no more than worst; nil when a place has none.
func (w Requirements) lightest(all [][]choice, worst float64) []wire.Newtons {
	totals := make([]wire.Newtons, len(w.Tunings))
	for _, places := range all {
		var least *choice
		for i := range places {
			if c := &places[i]; c.off <= worst && (least == nil || c.loads[0] < least.loads[0]) {
				least = c
			}
		}
		if least == nil {
			return nil
		}
		for t := range totals {
			totals[t] += least.loads[t]
		}
	}
	return totals
}

// keeps reports whether totals keep the limit, with room for what adding up in
// another order may round differently.
func (w Requirements) keeps(totals []wire.Newtons) bool {
	return totals != nil && slices.Max(totals) <= w.Limit*(1-1e-9)
}

// partial is a set of the first places, while it is being built.
type partial struct {
	before *partial
	last   choice
	sum    float64
	totals []wire.Newtons
}

// solve returns the best set of the choices, or false when none keeps the limit.
func (w Requirements) solve(all [][]choice) ([]choice, bool) {
	// Every string at its least departure is best in every way, if it may be.
	best := make([]choice, len(all))
	for i, places := range all {
		best[i] = places[0]
	}
	if w.keeps(w.totals(best)) {
		return best, true
	}
	var offs []float64
	for _, places := range all {
		for _, c := range places {
			offs = append(offs, c.off)
		}
	}
	slices.Sort(offs)
	offs = slices.Compact(offs)
	at, _ := slices.BinarySearchFunc(offs, true, func(off float64, _ bool) int {
		if w.keeps(w.lightest(all, off)) {
			return 1
		}
		return -1
	})
	if at == len(offs) {
		return nil, false
	}
	within := make([][]choice, len(all))
	for i, places := range all {
		n, _ := slices.BinarySearchFunc(places, offs[at], func(c choice, off float64) int {
			if c.off <= off {
				return -1
			}
			return 1
		})
		within[i] = places[:n]
	}
	return w.minSum(within), true
}

// totals adds up the loads of a set in each tuning.
func (w Requirements) totals(set []choice) []wire.Newtons {
	out := make([]wire.Newtons, len(w.Tunings))
	for _, c := range set {
		for t := range out {
			out[t] += c.loads[t]
		}
	}
	return out
}

// minSum returns the set of least sum that keeps the limit, of choices of which
// the lightest keep it.
func (w Requirements) minSum(all [][]choice) []choice {
	// What the places after each weigh and depart by at least.
	rest := make([][]wire.Newtons, len(all))
	restSum := make([]float64, len(all))
	for i := range all {
		rest[i] = w.lightest(all[i+1:], math.Inf(1))
		for _, places := range all[i+1:] {
			restSum[i] += places[0].off
		}
	}
	// No more than a set that is easily found: the bound keeps the search small.
	bound := w.easySum(all) + 1e-9
	front := []*partial{{totals: make([]wire.Newtons, len(w.Tunings))}}
	for i, places := range all {
		var grown []*partial
		for _, p := range front {
			for _, c := range places {
				q := &partial{before: p, last: c, sum: p.sum + c.off, totals: slices.Clone(p.totals)}
				fits := q.sum+restSum[i] <= bound
				for t := range q.totals {
					q.totals[t] += c.loads[t]
					fits = fits && q.totals[t]+rest[i][t] <= w.Limit
				}
				if fits {
					grown = append(grown, q)
				}
			}
		}
		front = unbeaten(grown)
	}
	out := make([]choice, len(all))
	p := front[0] // unbeaten puts the least sum first, and of those the lightest
	for i := len(all) - 1; i >= 0; i-- {
		out[i] = p.last
		p = p.before
	}
	return out
}

// easySum returns the sum of a set that keeps the limit: from every string at its
// least departure, one after the other is made lighter where that costs least
// for what it saves.
func (w Requirements) easySum(all [][]choice) float64 {
	set := make([]choice, len(all))
	sum := 0.0
	for i, places := range all {
		set[i] = places[0]
		sum += places[0].off
	}
	for !w.keeps(w.totals(set)) {
		best, place, cost := choice{}, -1, math.Inf(1)
		for i, places := range all {
			for _, c := range places {
				if saves := float64(set[i].loads[0] - c.loads[0]); saves > 0 && (c.off-set[i].off)/saves < cost {
					best, place, cost = c, i, (c.off-set[i].off)/saves
				}
			}
		}
		if place < 0 {
			return math.Inf(1) // the lightest set, at the edge of rounding
		}
		sum += best.off - set[place].off
		set[place] = best
	}
	return sum
}

// unbeaten drops every partial set that another matches or beats in sum and in
// the pull of every tuning: whatever completes it completes the other better.
func unbeaten(all []*partial) []*partial {
	inorder.Stable(all, func(a, b *partial) int {
		return cmp.Or(cmp.Compare(a.sum, b.sum), slices.Compare(a.totals, b.totals))
	})
	var out []*partial
	for _, p := range all {
		beaten := slices.ContainsFunc(out, func(q *partial) bool {
			for t := range q.totals {
				if q.totals[t] > p.totals[t] {
					return false
				}
			}
			return true
		})
		if !beaten {
			out = append(out, p)
		}
	}
	return out
}

// compareSets puts the better set first: by worst departure, sum, and weight.
func compareSets(a, b []choice) int {
	rate := func(set []choice) (worst, sum, pull float64) {
		for _, c := range set {
			worst, sum, pull = max(worst, c.off), sum+c.off, pull+float64(c.pulls[0])
		}
		return
	}
	aw, as, ap := rate(a)
	bw, bs, bp := rate(b)
	return cmp.Or(cmp.Compare(aw, bw), cmp.Compare(as, bs), cmp.Compare(ap, bp))
}

func (w Requirements) set(chosen []choice) Set {
	s := Set{Totals: make([]wire.Newtons, len(w.Tunings)), Loads: make([]wire.Newtons, len(w.Tunings)), Pulls: make([][]wire.Newtons, len(w.Tunings))}
	for _, c := range chosen {
		s.Strings = append(s.Strings, c.string)
		s.Shares = append(s.Shares, c.share)
		s.Worst = max(s.Worst, c.off)
		s.Sum += c.off
		for t, pull := range c.pulls {
			s.Pulls[t] = append(s.Pulls[t], pull)
			s.Totals[t] += pull
			s.Loads[t] += c.loads[t]
		}
	}
	return s
}

// Judge judges the best set's whole pull against the limit of a wish, in the
// tuning that pulls most, and says why; "" twice when no kind of body is known.
func (d *Design) Judge(w Requirements) (rig.Finding, string) {
	if w.Body == "" {
		return "", ""
	}
	whose := "the limit given for it"
	if w.Limit == rig.UsualLimit(w.Body) {
		whose = "the limit for a " + string(w.Body) + " (" + rig.Practice + ")"
	}
	return w.Body.Judge(slices.Max(d.Best.Loads), w.Limit, whose)
}
