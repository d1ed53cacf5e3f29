package leads_test

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapwright/arrange/leads"
	"lapwright/grip"
)

// TestOrder: what comes back is what a stable sort by cost and a look at every stance
// give, moment after moment in the same memory.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var o leads.Order
		for range 3 {
			n := rapid.IntRange(0, 40).Draw(t, "stances")
			hands := rapid.IntRange(0, 4).Draw(t, "hands")
			var costs []int64
			var handOf []int32
			var strs [][2]int8 // of two notes of the moment
			for range n {
				cost := rapid.OneOf(rapid.Int64Range(-3, 9), rapid.Int64Range(0, 1<<37), rapid.Just(int64(leads.Unreachable))).Draw(t, "cost")
				costs = append(costs, cost)
				if hands > 0 {
					handOf = append(handOf, int32(rapid.IntRange(0, hands-1).Draw(t, "hand")))
				}
				strs = append(strs, [2]int8{rapid.Int8Range(0, 4).Draw(t, "string"), rapid.Int8Range(0, 4).Draw(t, "string")})
			}
			var sorted []int
			for k, c := range costs {
				if c != leads.Unreachable {
					sorted = append(sorted, k)
				}
			}
			slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(costs[a], costs[b]) })
			that := func(holds func(k int) bool) []int {
				var out []int
				for _, k := range sorted {
					if holds(k) {
						out = append(out, k)
					}
				}
				return out
			}
			same := func(what string, got []int64, want []int) {
				var stances []int
				for _, place := range got {
					stances = append(stances, leads.Stance(place))
				}
				if !slices.Equal(stances, want) {
					t.Fatalf("costs %v, hands %v, strings %v: %s %v, want %v", costs, handOf, strs, what, stances, want)
				}
			}
			o.Sort(costs, handOf, hands)
			for h := range hands {
				same("with the hand there", o.Resting(h), that(func(k int) bool { return handOf[k] == int32(h) }))
			}
			asked := 0
			before := func(from int8, act grip.Act, str int8) []int64 {
				b, m := &grip.Grip{}, &grip.Due{Wants: []grip.Note{{From: from}}}
				b.Acts[0], b.Strings[0] = act, str
				return o.Before(b, m, func(k int, note int8) int8 {
					asked++
					return strs[k][note]
				})
			}
			same("before a plucked note", before(1, grip.Pluck, 2), sorted)
			same("before what comes from nothing", before(-1, grip.Glide, 2), sorted)
			for range 2 {
				for note := range int8(2) {
					for str := range int8(5) {
						same("before what rings on", before(note, grip.Glide, str), that(func(k int) bool { return strs[k][note] == str }))
					}
				}
			}
			if asked != 10*len(sorted) {
				t.Fatalf("%d stances were looked at %d times, which is not once for each of ten notes on strings", len(sorted), asked)
			}
		}
	})
}
