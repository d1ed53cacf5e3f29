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
	under, joined := map[Harmony]int{}, 0
	for seed := range uint64(fullCases) {
		rnd := rand.New(rand.NewPCG(seed, 13))
		r, more := randomRig(rnd)
		var line []string
		key := r.Strings[0].Open.Key() + rnd.IntN(8)
		for range 3 {
			line = append(line, fmt.Sprintf("%s:2", pitch.SpellKey(key, 0)))
			key += rnd.IntN(7) - 3
		}
		o := Options{Harmony: []Harmony{FullChords, FullChords, Thirds, Sixths, Chords}[more.IntN(5)], Touch: []Touch{LightTouch, LightTouch, FullTouch, PlainTouch}[more.IntN(4)]}
		s, err := searchOf(t, tunetest.Score(t, "C", strings.Join(line, " ")), r, o)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if err := s.lattice.run(); err != nil {
			t.Fatal(err)
		}
		way, cost, stuck := s.lattice.cheapest()
		if stuck >= 0 {
			t.Fatalf("seed %d: stuck", seed)
		}
		if want := s.everything(); cost != want {
			t.Fatalf("seed %d: the search found %d, trying everything %d", seed, cost, want)
		}
		for i := range way {
			for j, w := range s.p.moments[i].Wants {
				if w.Kind == grip.Offered && way[i].grip.Strings[j] > 0 {
					under[o.Harmony]++
				}
				if w.Kind == grip.Stepped && way[i].grip.Acts[j] != grip.Pluck {
					joined++
				}
			}
		}
	}
	t.Logf("%d cases: %v notes under the line, %d joins", fullCases, under, joined)
	for _, h := range []Harmony{Thirds, Sixths, Chords, FullChords} {
		if under[h] < fullCases/20 || joined < 3 {
			t.Errorf("%d notes under the line as %s, and %d joins: that is no test", under[h], h, joined)
		}
	}
}

// TestAlikeAndShapedAreTheCheapest: with a price on playing a bar otherwise than before,
// or on leaving a shape, the search finds what trying everything at those prices finds.
func TestAlikeAndShapedAreTheCheapest(t *testing.T) {
	alike, shaped := 0, 0
	for seed := range uint64(fullCases) {
		rnd := rand.New(rand.NewPCG(seed, 17))
		r, more := randomRig(rnd)
		note := func(length int) string {
			return fmt.Sprintf("%s:%d", pitch.SpellKey(r.Strings[0].Open.Key()+more.IntN(9)-2, 0), length)
		}
		bar := note(4) + " " + note(4)
		tn := tunetest.Score(t, "C", bar+" "+note(8)+" "+bar)
		o := Options{Harmony: NoHarmony, Touch: LightTouch}
		if seed%2 == 0 {
			like, err := searchOf(t, tn, r, Options{Harmony: NoHarmony, Touch: PlainTouch, Closed: true, Low: 1 + more.IntN(3)})
			if err != nil {
				continue
			}
			way, cost, err := like.find()
			if err != nil {
				t.Fatal(err)
			}
			res, err := like.result(way, cost, 0)
			if err != nil {
				t.Fatal(err)
			}
			o.Shape = ShapeOf(res.Tab, 0, 0)
		}
		s, err := searchOf(t, tn, r, o)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		way, cost, err := s.find()
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		if want := s.everything(); cost != want {
			t.Fatalf("seed %d: the search found %d, trying everything %d", seed, cost, want)
		}
		if s.madeAlike {
			alike++
		}
		for i := range way {
			if o.Shape != nil && way[i].grip.Habit > 0 {
				shaped++
			}
		}
	}
	t.Logf("%d cases: %d with a bar made alike, %d strokes that leave their shape", fullCases, alike, shaped)
	if alike < 10 || shaped < 10 {
		t.Errorf("%d bars made alike and %d strokes off their shape: that is no test", alike, shaped)
	}
}

// everything tries every sequence of grips, hands and places of a lifted steel.
func (s *search) everything() int64 {
	best := int64(math.MaxInt64)
	var from func(i int, at int32, a *grip.Grip, ha int32, sum int64)
	from = func(i int, at int32, a *grip.Grip, ha int32, sum int64) {
		if i == len(s.lattice.layers) {
			best = min(best, sum)
			return
		}
		m := &s.p.moments[i].Due
		for gi := range s.lattice.layers[i].grips {
			g := &s.lattice.layers[i].grips[gi]
			here := g.Hand
			if g.Kind == steel.Lifted {
				here = at
			}
			add := int64(g.Cost)
			if i == 0 && !startable(g) {
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
				own := int64(s.n.Hands[h].Cost + s.lattice.layers[i].unlike(g, s.n.Hands[h].Hand))
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
