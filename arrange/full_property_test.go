package arrange

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tune/tunetest"
)

// fullCases is how many random lines are given chords under their strong beats.
const fullCases = 400

// TestChordsUnderALineAreTheCheapest: with chords offered under strong beats and steps
// that may be joined between them, the search finds what trying every sequence of grips
// and fingers finds, reckoned step by step with the prices alone.
func TestChordsUnderALineAreTheCheapest(t *testing.T) {
	under, joined := 0, 0
	for seed := range uint64(fullCases) {
		rnd := rand.New(rand.NewPCG(seed, 13))
		r, _ := randomRig(rnd)
		var line []string
		key := r.Strings[0].Open.Key() + rnd.IntN(8)
		for range 3 {
			line = append(line, fmt.Sprintf("%s:2", pitch.SpellKey(key, 0)))
			key += rnd.IntN(7) - 3
		}
		o := Options{Harmony: FullChords, Touch: LightTouch}
		s, err := searchOf(t, tunetest.Score(t, "C", strings.Join(line, " ")), r, o)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if err := s.run(); err != nil {
			t.Fatal(err)
		}
		way, cost, stuck := s.cheapest()
		if stuck >= 0 {
			t.Fatalf("seed %d: stuck", seed)
		}
		if want := s.everything(); cost != want {
			t.Fatalf("seed %d: the search found %d, trying everything %d", seed, cost, want)
		}
		for i := range way {
			for j, w := range s.p.moments[i].Wants {
				if w.Kind == grip.Offered && way[i].grip.Strings[j] > 0 {
					under++
				}
				if w.Kind == grip.Stepped && way[i].grip.Acts[j] != grip.Pluck {
					joined++
				}
			}
		}
	}
	t.Logf("%d cases: %d notes under the line, %d joins", fullCases, under, joined)
	if under < fullCases/4 || joined < 3 {
		t.Errorf("%d notes under the line and %d joins: that is no test", under, joined)
	}
}

// everything tries every sequence of grips, hands and places of a lifted steel.
func (s *search) everything() int64 {
	best := int64(math.MaxInt64)
	var from func(i int, at int32, a *grip.Grip, ha int32, sum int64)
	from = func(i int, at int32, a *grip.Grip, ha int32, sum int64) {
		if i == len(s.layers) {
			best = min(best, sum)
			return
		}
		m := &s.p.moments[i].Due
		for gi := range s.layers[i].grips {
			g := &s.layers[i].grips[gi]
			here := g.Hand
			if g.Kind == steel.Lifted {
				here = at
			}
			add := int64(g.Cost)
			if i == 0 && !s.startable(g) {
				continue
			}
			if i > 0 {
				st, ok := s.n.Step(at, a, g, &s.p.moments[i-1].Due, m)
				if !ok {
					continue
				}
				add += int64(st.Sum())
			}
			for _, h := range g.Hands {
				own := int64(s.n.Hands[h].Cost)
				if i > 0 {
					own += int64(s.n.HandStep(s.n.Hands[ha].Hand, s.n.Hands[h].Hand, m.Seconds))
				}
				if sum+add+own < best { // nothing costs less than 0
					from(i+1, here, g, h, sum+add+own)
				}
			}
		}
	}
	from(0, -1, nil, -1, 0)
	return best
}
