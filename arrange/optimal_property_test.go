package arrange

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
	"lapwright/tune/tunetest"
	"lapwright/wire"
)

// optimalCases is how many random problems the search must solve as cheaply as
// trying everything does.
const optimalCases = 3000

// TestSearchEqualsTryingEverything compares the search with brute.
func TestSearchEqualsTryingEverything(t *testing.T) {
	tally := map[string]int{}
	for seed := range uint64(optimalCases) {
		rnd := rand.New(rand.NewPCG(seed, 7))
		c := randomCase(t, rnd, int(seed%6))
		// Two players in three are choosy, so that slants must be eased.
		if seed%3 != 1 {
			choosy := grip.LimitsOf(c.o.Level)
			choosy.Cents = 2
			c.o.other = &choosy
		}
		s, err := searchAt(t, c.tune, c.rig, c.o, Setting{Capo: c.capo})
		b := newBrute(c.tune, c.withCapo(t), c.o, 1)
		if slices.ContainsFunc(b.grips, func(g []bruteGrip) bool { return len(g) == 0 }) {
			if err == nil {
				t.Fatalf("seed %d: the pins leave nothing, and the search did not say so\n%s", seed, c)
			}
			tally["pins that contradict"]++
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v\n%s", seed, err, c)
		}
		if err := s.lattice.run(); err != nil {
			t.Fatal(err)
		}
		way, cost, stuck := s.lattice.cheapest()
		if stuck >= 0 {
			t.Fatalf("seed %d: stuck at moment %d\n%s", seed, stuck, c)
		}
		b.run()
		tally["slants that would lie on an open string"] += b.blocked
		if len(b.best) != 1 || b.best[0] != cost {
			t.Fatalf("seed %d: the search found %d, trying everything %v\n%s", seed, cost, b.best, c)
		}
		res, err := s.result(way, cost, 0)
		if err != nil {
			t.Fatal(err)
		}
		if l := res.Tab.Check(); len(l) > 0 {
			t.Fatalf("seed %d: %v\n%s", seed, l, picture(res))
		}
		sum := 0.0
		for i, e := range res.Events {
			terms := 0.0
			for _, term := range e.Terms {
				terms += term.Cost
			}
			if d := terms - e.Cost; d > 1e-6 || d < -1e-6 {
				t.Fatalf("seed %d: event %d costs %g and its terms %g", seed, i, e.Cost, terms)
			}
			sum += e.Cost
		}
		if d := sum - res.Cost; d > 1e-6 || d < -1e-6 {
			t.Fatalf("seed %d: the events cost %g and the whole %g", seed, sum, res.Cost)
		}
		count(tally, s, way)
		if c.capo > 0 {
			tally["with a "+c.rig.Capo.Kind()+" capo on"]++
		}
		tally["touch "+c.o.graded(c.tune).Touch.String()]++
		if len(c.o.Pins) > 0 {
			tally["pins kept"]++
		}
	}
	t.Logf("%d cases: %v", optimalCases, tally)
	for _, want := range []string{"moments of several notes", "slants", "reverse slant", "split", "eased slants", "nose", "benders", "held notes kept", "ties kept", "glides", "hammer-ons and pull-offs", "joins unasked", "two joins running", "graces joined", "slurs slid", "bends", "steps bent unasked", "slurs bent", "graces bent", "bends on an open string", "with a sliding capo on", "with a clamp capo on", "touch plain", "touch light", "touch full", "notes lost or cut", "pins kept", "pins that contradict", "slants that would lie on an open string"} {
		if tally[want] < 3 {
			t.Errorf("only %d %s among the cases", tally[want], want)
		}
	}
}

// count notes what a way has that the tests must have met.
func count(tally map[string]int, s *search, way []chosen) {
	for i := range way {
		m := &s.p.moments[i]
		if len(m.Wants) > 1 {
			tally["moments of several notes"]++
		}
		if way[i].grip.Slanted() {
			tally["slants"]++
		}
		if way[i].grip.Kind != steel.Straight {
			tally[way[i].grip.Kind.String()]++
		}
		if f := way[i].grip.FirstFret; f != math.Round(f) {
			tally["eased slants"]++
		}
		if way[i].grip.Benders != 0 {
			tally["benders"]++
		}
		for j := range m.Wants {
			bent(tally, m, way, i, j)
			switch {
			case m.Wants[j].Kind == grip.Held && way[i].grip.Acts[j] == grip.On:
				tally["held notes kept"]++
			case m.Wants[j].Kind == grip.Tied && way[i].grip.Acts[j] == grip.On:
				tally["ties kept"]++
			case way[i].grip.Run == 2:
				tally["two joins running"]++
			case way[i].grip.Run == 1:
				tally["joins unasked"]++
			case m.Wants[j].Kind == grip.Graced && way[i].grip.Acts[j] != grip.Pluck && way[i].grip.Acts[j] != grip.Gone:
				tally["graces joined"]++
			case m.Wants[j].Kind == grip.Slurred && way[i].grip.Acts[j] == grip.Glide:
				tally["slurs slid"]++
			case way[i].grip.Acts[j] == grip.Glide:
				tally["glides"]++
			case way[i].grip.Acts[j] == grip.Hammer || way[i].grip.Acts[j] == grip.Pull:
				tally["hammer-ons and pull-offs"]++
			case way[i].grip.Acts[j] == grip.Gone:
				tally["notes lost or cut"]++
			}
		}
	}
}

// bent notes what a bender does for a note: under one place of the steel, without a
// pluck.
func bent(tally map[string]int, m *moment, way []chosen, i, j int) {
	g, w := way[i].grip, &m.Wants[j]
	if g.Acts[j] != grip.Glide || w.From < 0 || g.Frets[j] != way[i-1].grip.Frets[w.From] || g.Benders == way[i-1].grip.Benders {
		return
	}
	tally["bends"]++
	if g.Frets[j] == 0 {
		tally["bends on an open string"]++
	}
	switch w.Kind {
	case grip.Stepped:
		tally["steps bent unasked"]++
	case grip.Slurred:
		tally["slurs bent"]++
	case grip.Graced:
		tally["graces bent"]++
	}
}

// TestBestEqualsTryingEverything compares the k cheapest.
func TestBestEqualsTryingEverything(t *testing.T) {
	const cases, k = 400, 12
	several := 0
	for seed := range uint64(cases) {
		rnd := rand.New(rand.NewPCG(seed, 11))
		c := randomCase(t, rnd, anything)
		s, err := searchAt(t, c.tune, c.rig, c.o, Setting{Capo: c.capo})
		if err != nil {
			continue
		}
		b := newBrute(c.tune, c.withCapo(t), c.o, k)
		b.run()
		var got []int64
		ways, err := s.lattice.best(k)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range ways {
			got = append(got, w.cost)
		}
		if !slices.Equal(got, b.best) {
			t.Fatalf("seed %d: the %d cheapest are %v, trying everything gives %v\n%s", seed, k, got, b.best, c)
		}
		if len(got) == k {
			several++
		}
	}
	if several < cases/2 {
		t.Errorf("only %d cases had %d ways", several, k)
	}
}

// leaning returns a chord that a slant or a split might stop.
func leaning(rnd *rand.Rand, r *rig.Rig) string {
	a := rnd.IntN(len(r.Strings) - 2)
	f := 3 + rnd.IntN(r.Frets-3)
	frets := [3]int{f, f, f - 1}
	if rnd.IntN(2) == 0 {
		frets = [3]int{f, f - 1, f - 2}
	}
	if rnd.IntN(3) == 0 {
		frets = [3]int{frets[2], frets[1], frets[0]}
	}
	switch f % 5 { // an open string beside the slant
	case 0:
		frets[0] = 0
	case 1:
		frets[2] = 0
	}
	keys := []int{}
	for i, f := range frets {
		keys = append(keys, r.Strings[a+i].Open.Key()+f)
	}
	slices.Sort(keys)
	var names []string
	for _, k := range slices.Compact(keys) {
		names = append(names, pitch.SpellKey(k, 0).String())
	}
	return strings.Join(names, "+")
}

// The kinds of random problems.
const (
	anything = iota
	stepping
	leaningChords
)

// randomProblem is a small tune on a small rig with some wishes.
type randomProblem struct {
	tune  *tune.Tune
	rig   *rig.Rig
	o     Options
	capo  int // the fret that the rig's capo is put on at
	lines []string
}

// withCapo returns the rig with its capo where it is put.
func (c randomProblem) withCapo(t *testing.T) *rig.Rig {
	r, err := c.rig.WithCapo(c.capo)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (c randomProblem) String() string {
	return fmt.Sprintf("%s, capo at %d\n%s\n%+v", c.rig.TuningText(), c.capo, strings.Join(c.lines, "\n"), c.o)
}

// randomRig makes a small rig, and chance for what was added to the problems later, so
// that the older ones stay.
func randomRig(rnd *rand.Rand) (r *rig.Rig, more *rand.Rand) {
	strs := 3 + rnd.IntN(3)
	if rnd.IntN(6) == 0 {
		strs = 6 + rnd.IntN(5)
	}
	r = &rig.Rig{
		Name: "random", Title: "random", Body: rig.LapSteel, Scale: wire.MM(550 + rnd.IntN(120)), Frets: 5 + rnd.IntN(5), Reference: pitch.StandardA,
		NutSpread: wire.MM(float64(strs-1) * (9 + 5*rnd.Float64())), BridgeSpread: wire.MM(float64(strs-1) * 14),
		Steel: rig.Steel{Length: 160, Diameter: 22, Bullet: rnd.IntN(4) > 0, MaxSlant: 60},
	}
	key := 60 + rnd.IntN(6)
	for range strs {
		r.Strings = append(r.Strings, rig.String{Open: pitch.SpellKey(key, 0), Wire: wire.String{Diameter: 0.4, Material: wire.MusicWire}})
		key -= 1 + rnd.IntN(6)
	}
	for i := range rnd.IntN(3) {
		kinds := []rig.BenderKind{rig.Palm, rig.Pedal}
		b := rig.Bender{Name: fmt.Sprint("bender ", i+1), Mark: string(rune('A' + i)), Kind: kinds[rnd.IntN(2)]}
		b.Moves = append(b.Moves, rig.Move{String: 1 + rnd.IntN(strs), Semitones: 1 + rnd.IntN(2)})
		r.Benders = append(r.Benders, b)
	}
	more = rand.New(rand.NewPCG(uint64(r.Scale)<<32, uint64(1000*r.NutSpread))) // apart, so that the problems are those of before it
	r.Habits.Open = []rig.OpenHabit{rig.OpenWelcome, rig.OpenSparing, rig.OpenAvoided}[more.IntN(3)]
	r.Habits.Edge = []rig.EdgeHabit{rig.SharpEdge, rig.RoundEdge}[more.IntN(2)]
	return r, more
}

// randomCase makes a random problem. One of the kind stepping is a line of small
// steps, one of leaningChords chords that a slant might stop, any other kind is anything.
func randomCase(t *testing.T, rnd *rand.Rand, kind int) randomProblem {
	r, more := randomRig(rnd)
	c, strs := randomProblem{rig: r}, len(r.Strings)
	c.o.Touch = []Touch{PlainTouch, FullTouch, LightTouch, GradeTouch}[more.IntN(4)]
	c.o.Level = []grip.Level{grip.Steady, grip.Seasoned, grip.Seasoned, grip.FirstYear}[rnd.IntN(4)]
	c.o.Closed = rnd.IntN(8) == 0
	c.o.Square = rnd.IntN(8) == 0
	most := 4
	if strs > 5 {
		most = 3
	}
	voices := 1 + rnd.IntN(2)
	steps := kind == stepping
	if kind == stepping || kind == leaningChords {
		voices = 1
	}
	for v := range voices {
		words := 1 + rnd.IntN(most)
		if steps {
			words = 4
		}
		if v > 0 {
			words = 1 + rnd.IntN(2)
		}
		line := ""
		before := ""
		open := false
		for i := range words {
			note := func() string {
				if rnd.IntN(5) == 0 {
					return r.Strings[rnd.IntN(strs)].Open.String()
				}
				if rnd.IntN(12) == 0 {
					return pitch.SpellKey(30+rnd.IntN(50), 0).String()
				}
				s := rnd.IntN(strs)
				return pitch.SpellKey(r.Strings[s].Open.Key()+rnd.IntN(r.Frets+1), 0).String()
			}
			word := note()
			if rnd.IntN(4) == 0 && voices == 1 {
				if other := note(); other != word {
					a, _ := pitch.ParseName(word)
					b, _ := pitch.ParseName(other)
					if a.Key() < b.Key() {
						word += "+" + other
					} else if b.Key() < a.Key() {
						word = other + "+" + word
					}
				}
			}
			if voices == 1 && !steps && (rnd.IntN(3) == 0 || kind == leaningChords) {
				word = leaning(rnd, r)
			}
			if before != "" {
				word = before
			}
			before = ""
			mark := ""
			if i < words-1 {
				switch rnd.IntN(6) {
				case 0:
					mark, before = "-", word
				case 1:
					mark = "/"
				}
			}
			length := []int{1, 1, 2, 2}[rnd.IntN(4)]
			if steps {
				length = 1
			} else if words <= 2 {
				length = []int{1, 2, 2, 4}[rnd.IntN(4)]
			}
			head := ""
			if !open && i < words-1 && rnd.IntN(4) == 0 {
				head, open = "(", true
			} else if open {
				mark, open = mark+")", false
			}
			if steps && more.IntN(8) == 0 && i > 0 {
				line += graceBefore(word, r, more)
			}
			if n, err := pitch.ParseName(word); i < words-1 && err == nil && mark == "" && steps {
				before = pitch.SpellKey(n.Key()+1+more.IntN(3), 0).String() // a step that may be joined
			}
			line += fmt.Sprintf("%s%s:%d%s ", head, word, length, mark)
		}
		c.lines = append(c.lines, line)
	}
	c.tune = tunetest.Score(t, "C", c.lines...)
	c.tune.Rhythm = []string{"", "air", "reel"}[more.IntN(3)]
	for range rnd.IntN(5) / 3 {
		p := Pin{FromBarNumber: 1, ToBarNumber: 9}
		switch rnd.IntN(6) {
		case 0:
			p.String = 1 + rnd.IntN(strs)
		case 1:
			f := rnd.IntN(r.Frets + 1)
			p.Fret = &f
		case 2:
			p.Low = 1 + rnd.IntN(3)
			p.High = p.Low + 1 + rnd.IntN(4)
		case 3:
			set := rig.BenderSet(rnd.IntN(1 << len(r.Benders)))
			p.Benders = &set
		case 4:
			for s := 1; s <= strs; s++ {
				for range 4 {
					p.Grip = append(p.Grip, Stop{s, rnd.IntN(r.Frets + 1)})
				}
			}
		case 5:
			p.Closed, p.Square = rnd.IntN(2) == 0, true
		}
		if rnd.IntN(2) == 0 {
			at := tune.Ticks(0)
			p.At = &at
			p.ToBarNumber = 1
		}
		c.o.Pins = append(c.o.Pins, p)
	}
	c.putCapoOn(more)
	return c
}

// graceBefore returns a grace for a note: an open string, or one that a bender may raise
// to the note.
func graceBefore(word string, r *rig.Rig, more *rand.Rand) string {
	grace := r.Strings[more.IntN(len(r.Strings))].Open
	if n, err := pitch.ParseName(word); err == nil && len(r.Benders) > 0 && more.IntN(2) == 0 {
		grace = pitch.SpellKey(n.Key()-r.Benders[0].Moves[0].Semitones, 0)
	}
	return "'" + grace.String() + " "
}

// putCapoOn puts a capo of either kind on in one problem of four.
func (c *randomProblem) putCapoOn(more *rand.Rand) {
	if more.IntN(4) == 0 {
		c.rig.Capo = rig.Capo{Clamp: more.IntN(2) == 0, Highest: 3}
		c.capo = 1 + more.IntN(2)
	}
}

// searchOf sets a search up in the key, octave and capo that are there.
func searchOf(t *testing.T, tn *tune.Tune, r *rig.Rig, o Options) (*search, error) {
	return searchAt(t, tn, r, o, Setting{})
}

// searchAt sets a search up in a setting.
func searchAt(t *testing.T, tn *tune.Tune, r *rig.Rig, o Options, in Setting) (*search, error) {
	perf := tune.Perform(tn)
	ms := perf.Moments()
	return (&request{w: newWatch(t.Context()), whole: perf, perf: perf, given: ms, moments: ms, rig: r, o: o.graded(tn)}).newSearch(in)
}
