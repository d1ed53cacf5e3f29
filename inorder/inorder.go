// Package inorder sorts. It is slices.SortStableFunc in little code: that one is compiled
// anew for every kind of element, some 9,000 bytes each time, and the program that a
// lesson's page carries to every student sorts forty kinds.
//
// Entry points: Stable.
package inorder

// few elements are sorted where they lie.
const few = 12

// Stable sorts s by cmp, which is negative where a comes before b, and keeps the order
// of equals.
func Stable[S ~[]E, E any](s S, cmp func(a, b E) int) {
	if len(s) <= few {
		for i := 1; i < len(s); i++ {
			for j := i; j > 0 && cmp(s[j], s[j-1]) < 0; j-- {
				s[j], s[j-1] = s[j-1], s[j]
			}
		}
		return
	}
	was := append(S(nil), s...)
	for to, from := range places(len(s), func(i, j int32) bool { return cmp(was[j], was[i]) < 0 }) {
		s[to] = was[from]
	}
}

// places returns which of n elements comes where: i before j, for i < j, unless after says
// that it comes after it. It merges from the bottom up.
func places(n int, after func(i, j int32) bool) []int32 {
	from, to := make([]int32, n), make([]int32, n)
	for i := range from {
		from[i] = int32(i)
	}
	for width := 1; width < n; width *= 2 {
		for low := 0; low < n; low += 2 * width {
			a, middle, high := low, min(low+width, n), min(low+2*width, n)
			b := middle
			for k := low; k < high; k++ {
				if a < middle && (b == high || !after(from[a], from[b])) {
					to[k] = from[a]
					a++
				} else {
					to[k] = from[b]
					b++
				}
			}
		}
		from, to = to, from
	}
	return from
}
