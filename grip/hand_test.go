package grip

import (
	"slices"
	"testing"

	"lapwright/rig/rigtest"
)

// The thumb plays the lower strings, then index, then middle; of four strings or
// more the thumb draws across all but two. On six strings the middle finger is
// at home on 1 and 2, the index on 2 to 4, the thumb on 3 to 6 (common practice,
// no source).
func TestHandWays(t *testing.T) {
	n := seasoned(t)
	set := func(strs ...int) uint16 {
		var out uint16
		for _, s := range strs {
			out |= 1 << (s - 1)
		}
		return out
	}
	for _, c := range []struct {
		strs []int
		want []Plucking
	}{
		{nil, []Plucking{{Hand{}, 0}}},
		{[]int{1}, []Plucking{{Hand{1, 1, 0, 0}, 2 * std.Away}, {Hand{0, 0, 1, 0}, std.Away}, {Hand{0, 0, 0, 1}, 0}}},
		{[]int{2}, []Plucking{{Hand{2, 2, 0, 0}, std.Away}, {Hand{0, 0, 2, 0}, 0}, {Hand{0, 0, 0, 2}, 0}}},
		{[]int{3}, []Plucking{{Hand{3, 3, 0, 0}, 0}, {Hand{0, 0, 3, 0}, 0}, {Hand{0, 0, 0, 3}, std.Away}}},
		{[]int{5}, []Plucking{{Hand{5, 5, 0, 0}, 0}, {Hand{0, 0, 5, 0}, std.Away}, {Hand{0, 0, 0, 5}, 3 * std.Away}}},
		{[]int{1, 3}, []Plucking{{Hand{3, 3, 1, 0}, std.Away}, {Hand{3, 3, 0, 1}, 0}, {Hand{0, 0, 3, 1}, 0}}},
		{[]int{1, 2, 3}, []Plucking{{Hand{3, 3, 2, 1}, 0}}},
		{[]int{4, 5, 6}, []Plucking{{Hand{6, 6, 5, 4}, 3 * std.Away}}},
		{[]int{1, 2, 3, 4}, []Plucking{{Hand{4, 3, 2, 1}, std.Rake}}},
		{[]int{1, 2, 3, 5}, []Plucking{{Hand{5, 3, 2, 1}, std.Rake + std.RakeGap}}},
		{[]int{1, 2, 3, 4, 6}, []Plucking{{Hand{6, 3, 2, 1}, 2*std.Rake + std.RakeGap}}},
		{[]int{1, 2, 3, 4, 5, 6}, []Plucking{{Hand{6, 3, 2, 1}, 3 * std.Rake}}},
	} {
		for range 2 { // the second time from memory
			var got []Plucking
			for _, i := range n.HandWays(set(c.strs...)) {
				got = append(got, n.Hands[i])
			}
			if !slices.Equal(got, c.want) {
				t.Errorf("strings %v: %v; want %v", c.strs, got, c.want)
			}
		}
	}
}

// A steady player's finger comes again in 0.16 s at best.
func TestHandStep(t *testing.T) {
	n := NewNeck(rigtest.OpenD(), LimitsOf(Steady), Region{})
	thumb, index, middle := func(s int8) Hand { return Hand{s, s, 0, 0} }, func(s int8) Hand { return Hand{0, 0, s, 0} }, func(s int8) Hand { return Hand{0, 0, 0, s} }
	for _, c := range []struct {
		what    string
		a, b    Hand
		seconds float64
		want    int32
	}{
		{"another finger", middle(1), index(2), 0.1, 0},
		{"the middle again at speed", middle(1), middle(1), 0.15, std.SameFingerQuick},
		{"just in time", middle(1), middle(1), 0.16, std.SameFinger},
		{"still soon", index(2), index(3), 0.31, std.SameFinger},
		{"at leisure", index(2), index(3), 0.32, std.SameFingerSlow},
		{"the thumb at speed", thumb(4), thumb(5), 0.15, std.SameFingerQuick / std.ThumbAgain},
		{"the thumb soon", thumb(4), thumb(5), 0.2, std.SameFinger / std.ThumbAgain},
		{"all three again", Hand{3, 3, 2, 1}, Hand{3, 3, 2, 1}, 1, std.SameFingerSlow/std.ThumbAgain + 2*std.SameFingerSlow},
		{"the thumb beyond the index", index(4), thumb(3), 1, std.Cross},
		{"the index beyond the middle", middle(3), index(2), 1, std.Cross},
		{"the thumb beyond the middle", thumb(2), middle(3), 1, std.Cross},
		{"the thumb under the index", index(3), thumb(4), 1, 0},
		{"on one string they don't cross", index(3), thumb(3), 1, 0},
		{"nor do the middle and the thumb", middle(3), thumb(3), 1, 0},
		{"nor the middle and the index", middle(2), index(2), 1, 0},
		{"three strings on", thumb(4), middle(1), 1, std.Skip},
		{"two strings on", thumb(3), middle(1), 1, 0},
		{"from nothing", Hand{}, middle(6), 1, 0},
		{"to nothing", middle(6), Hand{}, 1, 0},
		{"from where the thumb ends", Hand{6, 3, 0, 0}, middle(1), 1, 0},
	} {
		if got := n.HandStep(c.a, c.b, c.seconds); got != c.want {
			t.Errorf("%s, %v to %v in %g s: %d, want %d", c.what, c.a, c.b, c.seconds, got, c.want)
		}
	}
}

// A table of steps says what HandStep says of every pair, at every pace, asked twice, and
// of hands that came up after the first table too.
func TestStepsAt(t *testing.T) {
	n := seasoned(t)
	for _, strings := range []uint16{0b1, 0b110, 0b1011, 0b111111} { // each brings new hands
		n.HandWays(strings)
		for _, seconds := range []float64{0.05, 0.2, 1} {
			for range 2 {
				steps := n.StepsAt(seconds)
				for a := range n.Hands {
					for b := range n.Hands {
						if got, want := steps.After(int32(a))[b], n.HandStep(n.Hands[a].Hand, n.Hands[b].Hand, seconds); got != want {
							t.Fatalf("%v to %v in %g s: %d, want %d", n.Hands[a].Hand, n.Hands[b].Hand, seconds, got, want)
						}
					}
				}
			}
		}
	}
	if n.StepsAt(1) != n.StepsAt(2) {
		t.Error("two paces at which a finger's price is the same have two tables")
	}
}

func TestLead(t *testing.T) {
	for h, want := range map[Hand]int8{{}: 0, {4, 3, 0, 0}: 3, {4, 4, 2, 0}: 2, {4, 4, 2, 1}: 1, {0, 0, 0, 6}: 6} {
		if got := Lead(h); got != want {
			t.Errorf("%v leads with string %d, want %d", h, got, want)
		}
	}
}

func TestLevels(t *testing.T) {
	for l := Level(0); l.Known(); l++ {
		back, err := ParseLevel(l.String())
		if err != nil || back != l {
			t.Errorf("%v is read as %v, %v", l, back, err)
		}
		if lim := LimitsOf(l); lim.Fret == 0 || lim.Cents == 0 || lim.Speed == 0 {
			t.Errorf("%v has no limits: %+v", l, lim)
		}
	}
	if l, err := ParseLevel("first-year"); err != nil || l != FirstYear {
		t.Errorf("first-year is %v, %v", l, err)
	}
	if _, err := ParseLevel("expert"); err == nil || Level(3).Known() {
		t.Error("there is a fourth level")
	}
	// Whoever is further can do more (common practice, no source).
	for _, pair := range [][2]Level{{FirstYear, Steady}, {Steady, Seasoned}} {
		a, b := LimitsOf(pair[0]), LimitsOf(pair[1])
		if a.Angle > b.Angle || a.SlantSpan > b.SlantSpan || a.Fret > b.Fret || a.Speed > b.Speed || a.Benders > b.Benders ||
			a.Repeat < b.Repeat || a.Harmonics > b.Harmonics || a.Hammer < b.Hammer || a.GlideRate > b.GlideRate {
			t.Errorf("%v can do more than %v", pair[0], pair[1])
		}
	}
}
