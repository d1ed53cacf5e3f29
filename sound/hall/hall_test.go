package hall

import (
	"math"
	"slices"
	"testing"

	"lapwright/sound/filter"
)

// The room answers a clap on each side by its reflections, at the times and
// levels of their table, and its tail dies in T60.
func TestRoom(t *testing.T) {
	r := New(1)
	n := filter.Rate
	l, rt := make([]float64, n), make([]float64, n)
	l[0], rt[0] = 1, 1
	r.Add(l, rt)
	// The first comes before any line of the tail has come round; the bass cut
	// takes under a tenth of it.
	for side, x := range [][]float64{l, rt} {
		f := reflections[side][0]
		if got := x[f.delay] / f.gain; got < 0.9 || got > 1.01 {
			t.Errorf("side %d: the first reflection is %.2f of its level", side, got)
		}
		for i := 100; i < f.delay; i++ {
			if math.Abs(x[i]) > 0.03 {
				t.Fatalf("side %d: an answer of %g at sample %d, before the first reflection", side, x[i], i)
			}
		}
		energy := func(from float64) float64 {
			sum := 0.0
			for _, v := range x[int(from*filter.Rate):int((from+0.05)*filter.Rate)] {
				sum += v * v
			}
			return 10 * math.Log10(sum)
		}
		// From 0.1 to 0.3 s; highs die faster than the figure for the whole.
		got := 60 * 0.2 / (energy(0.1) - energy(0.3))
		if got > T60 || got < 0.5*T60 {
			t.Errorf("side %d: the tail dies in %.2f s, want up to %v", side, got, T60)
		}
	}
}

// TestMixingKeepsEnergy: the lines are mixed by an orthonormal matrix of plus and minus
// 1/√8, so that their energy is only what each line's gain leaves (J.-M. Jot and A.
// Chaigne, Digital delay networks for designing artificial reverberators, AES 90th
// Convention, 1991); its own inverse, and no two rows alike.
func TestMixingKeepsEnergy(t *testing.T) {
	var rows [8][8]float64
	for i := range rows {
		rows[i][i] = 1
		hadamard(&rows[i])
		again := rows[i]
		hadamard(&again)
		for j, v := range rows[i] {
			want := 0.0
			if i == j {
				want = 1
			}
			if math.Abs(math.Abs(v)-1/math.Sqrt(8)) > 1e-12 || math.Abs(again[j]-want) > 1e-12 {
				t.Errorf("%d, %d: %g, mixed again %g", i, j, v, again[j])
			}
		}
	}
}

// TestRoomIsBroad: what comes back on each side is the reflections of its own table, each
// at its place and with its sign, under the tail; the tails of the sides are not alike, and all of
// it rises with the level. Highs die before lows.
func TestRoomIsBroad(t *testing.T) {
	answer := func(level float64) (left, right []float64) {
		left, right = make([]float64, filter.Rate/2), make([]float64, filter.Rate/2)
		left[0], right[0] = 1, 1
		New(level).Add(left, right)
		return left[1:], right[1:]
	}
	l, r := answer(1)
	for side, x := range [][]float64{l, r} {
		for _, f := range reflections[side] {
			if f.delay < turns[0] { // before the tail
				if got := x[f.delay-1] / f.gain; got < 0.85 || got > 1.05 {
					t.Errorf("side %d: %.2f of the reflection after %d samples", side, got, f.delay)
				}
			}
		}
	}
	same, ll, rr := 0.0, 0.0, 0.0
	for i := filter.Rate / 10; i < len(l); i++ {
		same, ll, rr = same+l[i]*r[i], ll+l[i]*l[i], rr+r[i]*r[i]
	}
	if like := same / math.Sqrt(ll*rr); math.Abs(like) > 0.2 || rr/ll > 2 || ll/rr > 2 {
		t.Errorf("the tails are alike by %.2f, their energies %g and %g", like, ll, rr)
	}
	half, _ := answer(0.5)
	for i := range half {
		if math.Abs(half[i]-l[i]/2) > 1e-12 {
			t.Fatalf("sample %d: %g at half the level, %g at the whole", i, half[i], l[i])
		}
	}
	if none, _ := answer(0); slices.Max(none) != 0 {
		t.Error("a room of level 0 answers")
	}
	band := func(from int, f float64) float64 {
		var re, im float64
		for i := from; i < from+4800; i++ {
			s, c := math.Sincos(2 * math.Pi * f * float64(i) / filter.Rate)
			w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i-from)/4800)
			re, im = re+w*c*l[i], im+w*s*l[i]
		}
		return re*re + im*im
	}
	falls := func(lo float64) float64 {
		early, late := 0.0, 0.0
		for k := range 40 {
			early, late = early+band(4800, lo+float64(k)*20), late+band(14400, lo+float64(k)*20)
		}
		return 10 * math.Log10(early/late)
	}
	if low, high := falls(400), falls(6000); !(high > low+6) {
		t.Errorf("in 0.2 s lows fall by %.1f dB, highs by %.1f", low, high)
	}
}

// TestSignsTurn: of the reflections of a side two of seven turn the wave over, and the
// lines of its tail come in with signs that change, so that neither piles up a bass.
func TestSignsTurn(t *testing.T) {
	l, r := make([]float64, 3000), make([]float64, 3000)
	l[0], r[0] = 1, 1
	New(1).Add(l, r)
	for k, n := range turns {
		x, want := [2][]float64{l, r}[k%2], [2]float64{1, -1}[k/2%2]
		if step := (x[n] - x[n-1]) * want; step < 0.05 {
			t.Errorf("line %d comes in by %.3f, want %g of it", k, step*want, want)
		}
	}
	for side, list := range reflections {
		over := 0
		for _, f := range list {
			if f.gain < 0 {
				over++
			}
		}
		if over != 2 {
			t.Errorf("side %d: %d reflections turn the wave over", side, over)
		}
	}
}
