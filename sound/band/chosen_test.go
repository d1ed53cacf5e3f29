package band

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lapwright/feel"
	"lapwright/internal/near"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tune"
)

// The harmony that is guessed is the best that trying every row of a key's chords gives:
// what each is worth, less what changes cost, the tonic at the end.
func TestGuessAgainstEverything(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for round := range 40 {
		key := []string{"G", "Am", "D dor", "A mix"}[round%4]
		src := "X:1\nT:x\nM:4/4\nL:1/4\nK:" + key + "\n"
		bars := 1 + rnd.IntN(4)
		for range bars {
			for range 4 {
				src += string("GABcdefgabz"[rnd.IntN(11)])
			}
			src += "|"
		}
		tn := read(t, src+"\n").Tune
		all := triads(tn.Bars[0].Key)
		worth := func(row []int) float64 {
			sum := 0.0
			for i, k := range row {
				sum += all[k].usual + fits(&tn.Bars[i], all[k].chord)
				if i > 0 && row[i-1] != k {
					sum -= 0.35
				}
			}
			if row[len(row)-1] == 0 {
				sum += 2
			}
			return sum
		}
		best := math.Inf(-1)
		var try func(row []int)
		try = func(row []int) {
			if len(row) == bars {
				best = max(best, worth(row))
				return
			}
			for k := range all {
				try(append(slices.Clip(row), k))
			}
		}
		try(nil)
		var got []int
		for _, c := range guess(tn) {
			got = append(got, slices.IndexFunc(all, func(x triad) bool { return x.chord.Equal(*c) }))
		}
		if w := worth(got); math.Abs(w-best) > 1e-9 {
			t.Errorf("%s: the chords guessed are worth %.3f, and %.3f is to be had", src, w, best)
		}
	}
}

// What a melody is worth under a chord, by hand: quarters, half as much again on the
// beat, seven tenths off for what is not of the chord.
func TestMelodyFitsItsChord(t *testing.T) {
	g, err := pitch.ParseChord("G")
	if err != nil {
		t.Fatal(err)
	}
	for bar, want := range map[string]float64{
		"GBdB": 4 * 1.5, "z4": 0, "G4": 4 * 1.5, "A4": -0.7 * 4 * 1.5, "GABc": (1 - 0.7 + 1 - 0.7) * 1.5,
		"G/B/z3": 0.5*1.5 + 0.5, "[GB]z3": 3, "z/G/z3": 0.5,
	} {
		tn := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nK:G\n"+bar+"|\n").Tune
		near.To(t, bar, fits(&tn.Bars[0], g), want, 1e-9)
	}
}

// The guitar's voicings cost together the least that any choice of them does.
func TestVoicingsAgainstEverything(t *testing.T) {
	f, _ := feel.Find("boom-chuck")
	for _, chords := range [][]string{{"G", "C", "D7"}, {"Am", "E7", "Am"}, {"Bb", "Gm7"}, {"F#m"}} {
		tb := song(t, f, chords...)
		p := tb.Performance()
		all := harmonyOf(p).stretches(p)
		got := voice(p, all)
		var lists [][]voicing
		sum := 0.0
		var last *voicing
		for i, s := range all {
			lo, hi := leadIn(p.Tune, i, s.from, s.to)
			lists = append(lists, voicings(*s.chord, lo, hi))
			v := got[spot{i, s.from, s.chord.String()}]
			if sum += v.cost; last != nil {
				sum += costMove * moved(last, v)
			}
			last = v
		}
		best := math.Inf(1)
		var try func(k int, before *voicing, sum float64)
		try = func(k int, before *voicing, sum float64) {
			if sum >= best {
				return
			}
			if k == len(lists) {
				best = sum
				return
			}
			for i := range lists[k] {
				v := &lists[k][i]
				c := sum + v.cost
				if before != nil {
					c += costMove * moved(before, v)
				}
				try(k+1, v, c)
			}
		}
		try(0, nil, 0)
		near.To(t, "the voicings of a song", sum, best, 1e-9)
	}
}

// A bass's other note is the nearer of the two of its class, below where both are as far,
// never under the lowest string; roots lie from E1 to E♭2.
func TestOtherBass(t *testing.T) {
	for _, c := range []struct {
		root  int
		class string
		want  int
	}{
		{36, "G", 31}, {36, "F", 41}, {36, "F#", 30}, {28, "B", 35}, {33, "E", 28}, {33, "D", 38}, {40, "E", 40}, {34, "E", 28}, {35, "E", 40}, {39, "Bb", 34},
	} {
		k, err := pitch.ParseClass(c.class)
		if err != nil {
			t.Fatal(err)
		}
		if got := other(c.root, k); got != c.want {
			t.Errorf("%s beside key %d is key %d; want %d", c.class, c.root, got, c.want)
		}
	}
	for class, want := range map[string]int{"E": 28, "Eb": 39, "C": 36, "A": 33} {
		if k, _ := pitch.ParseClass(class); bassOf(k) != want {
			t.Errorf("%s is key %d; want %d", class, bassOf(k), want)
		}
	}
	for chord, want := range map[string]string{"G": "D", "Bdim": "F", "Caug": "G#", "Gsus4": "D"} {
		c, err := pitch.ParseChord(chord)
		if err != nil {
			t.Fatal(err)
		}
		if got := fifthOf(&c).String(); got != want {
			t.Errorf("the fifth of %s is %s; want %s", chord, got, want)
		}
	}
}

// What the lead plays meanwhile is what sounds between two places: what ends at the first
// or begins at the second is not of it.
func TestLeadMeanwhile(t *testing.T) {
	tn := read(t, "X:1\nT:x\nM:4/4\nL:1/4\nK:C\nC[Eg]Gc|z4|\n").Tune
	q := tune.Whole / 4
	for _, c := range []struct {
		bar      int
		from, to tune.Ticks
		lo, hi   int // 0 for nothing
	}{
		{0, 0, 4 * q, 60, 79}, {0, 0, q, 60, 60}, {0, q, 2 * q, 64, 79}, {0, q + 1, 2 * q, 64, 79}, {0, 2 * q, 3 * q, 67, 67}, {0, 2*q - 1, 2*q + 1, 64, 79}, {1, 0, 4 * q, 0, 0},
	} {
		lo, hi := leadIn(tn, c.bar, c.from, c.to)
		if c.lo == 0 && lo <= hi || c.lo > 0 && (lo != c.lo || hi != c.hi) {
			t.Errorf("bar %d from %v to %v: keys %d to %d; want %d to %d", c.bar+1, c.from, c.to, lo, hi, c.lo, c.hi)
		}
	}
}

// Fingers reach over frets, open strings left out.
func TestReachOfTheFingers(t *testing.T) {
	for frets, want := range map[[3]int]int{{0, 0, 0}: 0, {5, 5, 5}: 0, {0, 2, 3}: 1, {1, 0, 0}: 0, {3, 7, 5}: 4, {7, 0, 3}: 4} {
		if got := span(frets); got != want {
			t.Errorf("%v reaches over %d; want %d", frets, got, want)
		}
	}
}

// A sweep swells from nothing over a half to all of itself and falls the same way.
func TestSweepSwells(t *testing.T) {
	for _, c := range []struct{ u, want float64 }{{0, 0}, {sweepTop / 2, 0.5}, {sweepTop, 1}, {(1 + sweepTop) / 2, 0.5}, {1, 0}} {
		near.To(t, "a sweep", swell(c.u), c.want, 1e-9)
	}
	for sign, want := range map[feel.Sign]int{feel.Tap: 7680, feel.Sweep: 9120, feel.Shake: 2640} { // of 48,000 a second
		if got := (&hit{sign: sign}).lasts(); got != want {
			t.Errorf("%c lasts %d samples; want %d", sign, got, want)
		}
	}
}

// A bass has one note at a time, a guitar one chord: what another string plays next stops
// a note 12 ms before it; the same string stops itself, and what rings is let ring.
func TestLetGo(t *testing.T) {
	const before = 576 // samples in 12 ms
	for name, c := range map[string]struct {
		notes []sound.Struck
		one   bool
		want  []int
	}{
		"on another string":  {[]sound.Struck{{At: 0, End: 9999, StringIndex: 0}, {At: 9000, End: 20000, StringIndex: 1}}, true, []int{9000 - before, 20000}},
		"on the same string": {[]sound.Struck{{At: 0, End: 9999}, {At: 9000, End: 20000}}, true, []int{9999, 20000}},
		"long before":        {[]sound.Struck{{At: 0, End: 5000, StringIndex: 0}, {At: 9000, End: 20000, StringIndex: 1}}, true, []int{5000, 20000}},
		"right after":        {[]sound.Struck{{At: 0, End: 9999, StringIndex: 0}, {At: 100, End: 20000, StringIndex: 1}}, true, []int{1, 20000}},
		"left to ring":       {[]sound.Struck{{At: 0, StringIndex: 0}, {At: 9000, End: 20000, StringIndex: 1}}, true, []int{0, 20000}},
		"of one stroke":      {[]sound.Struck{{At: 0, End: 9999, StringIndex: 2}, {At: 288, End: 9999, StringIndex: 1}, {At: 9000, End: 20000, StringIndex: 2}}, false, []int{9999, 9000 - before, 20000}},
	} {
		letGo(c.notes, c.one)
		for i, n := range c.notes {
			if n.End != c.want[i] {
				t.Errorf("%s: note %d ends at %d; want %d", name, i+1, n.End, c.want[i])
			}
		}
	}
}
