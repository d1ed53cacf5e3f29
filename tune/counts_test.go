package tune

import (
	"fmt"
	"testing"
)

// TestCountBars: a pickup has the number 0 and is no bar to a person who counts; a
// bar that a repeat cuts in two has one number.
func TestCountBars(t *testing.T) {
	for _, c := range []struct {
		numbers []int
		want    int
	}{
		{[]int{1, 2, 3}, 3}, {[]int{0, 1, 2}, 2}, {[]int{0, 1, 2, 2, 3}, 3}, {[]int{1, 1}, 1}, {[]int{0}, 1}, {[]int{0, 0}, 2}, {[]int{7, 8}, 2},
	} {
		x := &Tune{}
		for _, n := range c.numbers {
			x.Bars = append(x.Bars, Bar{Number: n})
		}
		if got := x.CountBars(); got != c.want {
			t.Errorf("bars %v are %d to a person; want %d", c.numbers, got, c.want)
		}
	}
}

// TestMetersAreEqual: 4/4 in numbers and with its sign are written otherwise, and
// 7/8 in other parts is another meter to play.
func TestMetersAreEqual(t *testing.T) {
	all := []Meter{
		{}, {Beats: 4, Unit: 4}, {Beats: 4, Unit: 4, Symbol: "C"}, {Beats: 2, Unit: 2}, {Beats: 4, Unit: 2}, {Beats: 2, Unit: 4},
		{Beats: 7, Unit: 8}, {Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}, {Beats: 7, Unit: 8, Groups: []int{3, 2, 2}},
	}
	for i, a := range all {
		for j, b := range all {
			if got := a.Equal(b); got != (i == j) {
				t.Errorf("%v and %v are equal: %v", a, b, got)
			}
		}
	}
}

// TestLongestValues: lengths are written up to MaxWholes whole notes, tuplets up to
// MaxTuplet notes; beyond that they are refused and not cut.
func TestLongestValues(t *testing.T) {
	for _, c := range []struct {
		length Ticks
		want   bool
	}{
		{MaxWholes * Whole, true}, {MaxWholes*Whole + Whole/4, false}, {Whole / 1024, true}, {Whole/1024 - 1, false}, {0, false}, {-Whole, false},
	} {
		v, ok := Values(c.length)
		if ok != c.want {
			t.Errorf("a length of %s is written %v, %v; want %v", c.length, v, ok, c.want)
		}
		sum := Ticks(0)
		for _, x := range v {
			sum += x.Len()
		}
		if ok && sum != c.length {
			t.Errorf("a length of %s is written as %s", c.length, sum)
		}
	}
}

// TestPartOrders: the bars that a part order plays; what stands before the first part
// is an introduction, and a part goes on to the next label.
func TestPartOrders(t *testing.T) {
	for _, c := range []struct {
		order, labels string // a label a bar, "." for none
		want          string
	}{
		{"AB", "A.B.", "0123"}, {"BA", "A.B.", "2301"}, {"AAB", ".A.B", "012123"}, {"A", "A.B.", "01"}, {"A2B", "AB", "001"}, {"B", ".AB", "02"}, {"AB", "A..B", "0123"},
	} {
		x := &Tune{Voices: []Voice{{ID: "1"}}, PartOrder: c.order}
		for i, r := range c.labels {
			b := Bar{Number: i + 1, Meter: Meter{Beats: 4, Unit: 4}, Len: Whole, Lines: [][]Event{{{Len: Whole, Kind: Rest, Value: Value{BarRest: true}}}}}
			if r != '.' {
				b.Part = string(r)
			}
			x.Bars = append(x.Bars, b)
		}
		passes, faults := Unfold(x)
		got := ""
		for _, p := range passes {
			got += fmt.Sprint(p.BarIndex)
		}
		if got != c.want || len(faults) > 0 {
			t.Errorf("the parts %s in the order %s are played %s (%v); want %s", c.labels, c.order, got, faults, c.want)
		}
	}
}
