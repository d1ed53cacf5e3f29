package band

import (
	"strings"

	"lapwright/pitch"
	"lapwright/tune"
)

// harmony is which chord stands where in a tune.
type harmony struct {
	bars [][]change // by written bar
	// carried is the chord that a bar begins under when it is come to as the tune first goes there.
	carried []*pitch.Chord
	// follows holds the pairs of bars that sound one after the other as the tune goes.
	follows map[[2]int]bool
	guessed bool // there were no chord symbols
}

// change is a chord that begins at a place of a bar; nil is silence.
type change struct {
	at    tune.Ticks
	chord *pitch.Chord
}

// harmonyOf reads the chord symbols of a tune, or guesses where there are none.
func harmonyOf(p *tune.Performance) *harmony {
	t := p.Tune
	h := &harmony{bars: make([][]change, len(t.Bars)), carried: make([]*pitch.Chord, len(t.Bars)), follows: map[[2]int]bool{}}
	any := false
	for i := range t.Bars {
		for _, c := range t.Bars[i].Chords {
			if c.Chord == nil && !c.Silent() {
				continue // no chord that is known: the one before goes on
			}
			any = any || c.Chord != nil
			h.bars[i] = append(h.bars[i], change{c.At, c.Chord})
		}
	}
	if !any {
		h.guessed = true
		for i, c := range guess(t) {
			h.bars[i] = []change{{0, c}}
		}
	}
	var now *pitch.Chord
	seen := make([]bool, len(t.Bars))
	for k, pass := range p.Passes {
		if !seen[pass.BarIndex] {
			seen[pass.BarIndex], h.carried[pass.BarIndex] = true, now
		}
		if k > 0 {
			h.follows[[2]int{p.Passes[k-1].BarIndex, pass.BarIndex}] = true
		}
		for _, c := range h.bars[pass.BarIndex] {
			now = c.chord
		}
	}
	return h
}

// stretch is a part of one bar under one chord.
type stretch struct {
	passIndex int
	from, to  tune.Ticks   // in the bar
	chord     *pitch.Chord // nil for silence
	begins    bool         // the chord begins here: it was another before, or none
}

// stretches cuts a performance where its bars and its chords change. A bar that is come to from elsewhere than
// in the tune, as at the start of a loop, has the chord that the tune has there.
func (h *harmony) stretches(p *tune.Performance) []stretch {
	var out []stretch
	var now *pitch.Chord
	for k, pass := range p.Passes {
		b := &p.Tune.Bars[pass.BarIndex]
		if k == 0 || !h.follows[[2]int{p.Passes[k-1].BarIndex, pass.BarIndex}] {
			now = h.carried[pass.BarIndex]
		}
		at := tune.Ticks(0)
		take := func(to tune.Ticks) {
			if to <= at {
				return
			}
			chord := now
			if pass.BarIndex == 0 && p.Tune.Within(0) > 0 {
				chord = nil // a pickup is the lead's
			}
			begins := chord != nil && (len(out) == 0 || out[len(out)-1].chord == nil || !out[len(out)-1].chord.Equal(*chord))
			out = append(out, stretch{k, at, to, chord, begins})
			at = to
		}
		for _, c := range h.bars[pass.BarIndex] {
			take(min(c.at, b.Len))
			now = c.chord
		}
		take(b.Len)
	}
	return out
}

// guess gives each bar of a tune without chord symbols a chord of its key: the row of triads that the
// melody has most of, the tonic at the end, changes not for nothing. The triads and what each is worth are ours; that tunes of this
// kind live on tonic, dominant and subdominant is common practice, no source.
func guess(t *tune.Tune) []*pitch.Chord {
	all := triads(t.Bars[0].Key)
	const never = -1e9
	worth := make([][]float64, len(t.Bars)) // of the best row to a bar's chord
	from := make([][]int, len(t.Bars))
	for i := range t.Bars {
		here := triads(t.Bars[i].Key)
		worth[i], from[i] = make([]float64, len(all)), make([]int, len(all))
		for k := range all {
			best := never
			if i == 0 {
				best = 0
			}
			for j := range all {
				if i == 0 {
					break
				}
				v := worth[i-1][j]
				if j != k {
					v -= changeCost
				}
				if v > best {
					best, from[i][k] = v, j
				}
			}
			worth[i][k] = best + here[k].usual + fits(&t.Bars[i], here[k].chord)
			if i == len(t.Bars)-1 && k == 0 {
				worth[i][k] += endWorth
			}
		}
	}
	k := 0
	last := len(t.Bars) - 1
	for j := range worth[last] {
		if worth[last][j] > worth[last][k] {
			k = j
		}
	}
	out := make([]*pitch.Chord, len(t.Bars))
	for i := last; i >= 0; i-- {
		c := triads(t.Bars[i].Key)[k].chord
		out[i] = &c
		k = from[i][k]
	}
	return out
}

// What a guess goes by, in quarters of melody that fit.
const (
	changeCost = 0.35
	endWorth   = 2.0
	strays     = 0.7 // a note outside the chord
	strong     = 1.5 // a note on a beat that has weight
)

// fits says how well a bar's melody goes with a chord.
func fits(b *tune.Bar, c pitch.Chord) float64 {
	sum := 0.0
	for _, line := range b.Lines {
		for i := range line {
			e := &line[i]
			if e.Kind != tune.Sounding {
				continue
			}
			weight := float64(e.Len) / float64(tune.Whole/4)
			if e.At%b.Meter.Beat() == 0 {
				weight *= strong
			}
			for _, n := range e.Notes {
				if _, in := c.Tone(n.Name.Class); in {
					sum += weight
				} else {
					sum -= strays * weight
				}
			}
		}
	}
	return sum
}

// triad is one that a key lives on, and how much it is preferred.
type triad struct {
	chord pitch.Chord
	usual float64
}

// triads returns those of a key, the tonic first. A minor key has the dominant with its leading tone too.
func triads(k pitch.Key) []triad {
	var out []triad
	add := func(steps, fifths int, quality string, usual float64) {
		root := k.Tonic.Up(pitch.Interval{Steps: steps, Semitones: pitch.Mod(7*fifths, 12)})
		if c, err := pitch.ParseChord(root.String() + quality); err == nil {
			out = append(out, triad{c, usual})
		}
	}
	switch k.Mode {
	case pitch.Minor, pitch.Dorian, pitch.Phrygian, pitch.Locrian:
		subdominant := "m"
		if k.Mode == pitch.Dorian {
			subdominant = ""
		}
		add(0, 0, "m", 0.3)
		add(3, -1, subdominant, 0.1)
		add(4, 1, "", 0.1)
		add(6, -2, "", 0.15)
		add(2, -3, "", 0.1)
		add(5, -4, "", 0)
	case pitch.Mixolydian:
		add(0, 0, "", 0.3)
		add(3, -1, "", 0.15)
		add(6, -2, "", 0.2)
		add(4, 1, "m", 0)
		add(1, 2, "m", 0)
		add(5, 3, "m", 0)
	default:
		add(0, 0, "", 0.3)
		add(4, 1, "", 0.2)
		add(3, -1, "", 0.2)
		add(5, 3, "m", 0)
		add(1, 2, "m", 0)
		add(2, 4, "m", -0.1)
	}
	return out
}

// words tells chords that were guessed: "G C D", each once, in the order in which they come.
func (h *harmony) words() string {
	var names []string
	seen := map[string]bool{}
	for _, b := range h.bars {
		for _, c := range b {
			if c.chord == nil {
				continue
			}
			if n := c.chord.String(); !seen[n] {
				seen[n] = true
				names = append(names, n)
			}
		}
	}
	return strings.Join(names, " ")
}
