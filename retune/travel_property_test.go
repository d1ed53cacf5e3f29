package retune

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/rig"
)

// The travel of scales is what trying every choice of strings for every octave finds:
// a major scale is two whole tones, a half tone, three whole tones and a half tone
// (common practice, no source), and the steel stays between the first fret and the
// seventeenth, or the last of a shorter neck.
func TestScaleTravelEqualsBruteForce(t *testing.T) {
	steps := [...]int{2, 2, 1, 2, 2, 2, 1}
	rapid.Check(t, func(t *rapid.T) {
		r := &rig.Rig{Frets: rapid.SampledFrom([]int{12, 15, 17, 18, 24}).Draw(t, "frets")}
		var open []int
		for range rapid.IntRange(1, 3).Draw(t, "strings") {
			k := rapid.IntRange(50, 62).Draw(t, "key")
			open = append(open, k)
			r.Strings = append(r.Strings, rig.String{Open: pitch.SpellKey(k, 0)})
		}
		last := min(17, r.Frets)
		var climb func(step, key, at int) float64 // with the steel at a fret, what is left
		climb = func(step, key, at int) float64 {
			least := math.Inf(1)
			for _, o := range open {
				f := key - o
				if f < 1 || f > last {
					continue
				}
				travel := 0.0
				if step > 0 {
					travel = math.Abs(float64(f - at))
				}
				if step < len(steps) {
					travel += climb(step+1, key+steps[step], f)
				}
				least = min(least, travel)
			}
			return least
		}
		sum, keys := 0.0, 0.0
		for class := range 12 {
			least := math.Inf(1)
			for tonic := 36 + class; tonic < 96; tonic += 12 {
				least = min(least, climb(0, tonic, 0))
			}
			if !math.IsInf(least, 1) {
				sum, keys = sum+least, keys+1
			}
		}
		got := ScaleTravel(r)
		if keys == 0 {
			if !math.IsInf(got, 1) {
				t.Fatalf("no scale can be played on %v, and its travel is %g", open, got)
			}
			return
		}
		if want := sum / keys / 7; math.Abs(got-want) > 1e-9 {
			t.Fatalf("strings %v with %d frets: %g frets a step; trying all gives %g", open, r.Frets, got, want)
		}
	})
}
