package inorder_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"lapwright/inorder"
)

// TestAsSlices: whatever is sorted comes out as slices.SortStableFunc has it, equals
// in the order that they had.
func TestAsSlices(t *testing.T) {
	type row struct{ key, was int }
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOfN(rapid.IntRange(0, 9), 0, 70).Draw(t, "keys")
		var got []row
		for i, k := range keys {
			got = append(got, row{k, i})
		}
		want := slices.Clone(got)
		by := func(a, b row) int { return cmp.Compare(a.key, b.key) }
		inorder.Stable(got, by)
		slices.SortStableFunc(want, by)
		if !slices.Equal(got, want) {
			t.Fatalf("%v\nsorted as %v\nwant      %v", keys, got, want)
		}
	})
}

func ExampleStable() {
	words := []string{"palm", "knee", "pedal", "steel"}
	inorder.Stable(words, func(a, b string) int { return len(a) - len(b) })
	fmt.Println(words)
	// Output: [palm knee pedal steel]
}

// TestFewWhereTheyLie: up to twelve are sorted without a copy, more with one.
func TestFewWhereTheyLie(t *testing.T) {
	for n, copies := range map[int]bool{2: false, 12: false, 13: true} {
		s := make([]int, n)
		got := testing.AllocsPerRun(5, func() {
			for i := range s {
				s[i] = -i
			}
			inorder.Stable(s, func(a, b int) int { return a - b })
		})
		if got > 0 != copies {
			t.Errorf("%d elements take %g allocations", n, got)
		}
	}
}
