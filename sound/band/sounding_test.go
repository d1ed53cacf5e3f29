package band

import (
	"math"
	"slices"
	"testing"

	"lapwright/feel"
	"lapwright/sound"
	"lapwright/tune"
)

// The same samples come whatever the blocks, and again from the same seed.
func TestBackingBlocks(t *testing.T) {
	f, _ := feel.Find("forward roll")
	tb := song(t, f, "G", "D7")
	b, err := NewBacking(tb, f)
	if err != nil {
		t.Fatal(err)
	}
	perf := tb.Performance()
	const n = 3 * sound.Rate
	make1 := func(block int) []float32 {
		p, err := b.Begin(tb, sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p.Play(perf, func(at tune.Ticks) int { return int(math.Round(perf.Clock.Seconds(at) * sound.Rate)) }, 0, 0)
		var out []float32
		for at := 0; at < n; at += block {
			l, r := make([]float64, min(block, n-at)), make([]float64, min(block, n-at))
			p.Add(l, r)
			for i := range l {
				out = append(out, float32(l[i]), float32(r[i]))
			}
		}
		return out
	}
	want := make1(4096)
	for _, block := range []int{1, 64, 479, 4096} {
		if !slices.Equal(make1(block), want) {
			t.Errorf("blocks of %d give other samples", block)
		}
	}
}

// A chord is heard within a millisecond of when the lead's clock has it. Witness: the sound itself, whose energy in steps of a
// quarter of a millisecond rises, where the bass is struck, over anything in the 8 ms before, in which the last note is let go.
func TestChordsAreHeardInTime(t *testing.T) {
	f, _ := feel.Find("waltz")
	tb := song(t, f, "G", "C", "D7", "Em")
	x := heard(t, tb, f, "bass", sound.Options{Dry: true})[0]
	p := tb.Performance()
	for k := range 4 {
		at := int(math.Round(p.Clock.Seconds(p.Passes[k].Start) * sound.Rate))
		// The second difference is large where a stroke's edge is and small in a low tone that swings on.
		rough := func(i int) float64 {
			sum := 0.0
			for j := i; j < i+12; j++ {
				if j >= 2 {
					d := float64(x[j] - 2*x[j-1] + x[j-2])
					sum += d * d
				}
			}
			return sum
		}
		before := 1e-12
		for i := max(0, at-384); i < at-24; i += 12 {
			before = max(before, rough(i))
		}
		found := -1
		for i := max(0, at-24); i < at+480; i += 12 {
			if rough(i) > 4*before {
				found = i
				break
			}
		}
		if found < 0 || found-at > 48 || found < at-24 {
			t.Errorf("chord %d is to be heard at sample %d and is at %d", k+1, at, found)
		}
	}
}

// The band loses nothing at the end: the last chord dies by itself.
func TestEndRings(t *testing.T) {
	f, _ := feel.Find("boom-chuck")
	tb := song(t, f, "G", "C", "D7", "G")
	x := heard(t, tb, f, "all", sound.Options{})
	p := tb.Performance()
	energy := func(bar int, from, to float64) float64 {
		at := p.Clock.Seconds(p.Passes[bar].Start)
		sum := 0.0
		for _, c := range x {
			for _, v := range c[int((at+from)*sound.Rate):int((at+to)*sound.Rate)] {
				sum += float64(v) * float64(v)
			}
		}
		return 10 * math.Log10(sum)
	}
	if early, late := energy(3, 0.1, 0.5), energy(3, 2, 2.4); late > early-3 || late < early-40 {
		t.Errorf("two seconds into its last chord the band is %.1f dB under its beginning", early-late)
	}
}
