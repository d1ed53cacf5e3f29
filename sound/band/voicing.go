package band

import (
	"math"
	"slices"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/tune"
)

// voicing is how the guitar stops a chord: key numbers by string index, 0 for a string that is not struck.
type voicing struct {
	keys [guitarStrings]int
	cost float64
}

const guitarStrings = 4

// notes returns the voicing's keys, the lowest first.
func (v *voicing) notes() []int {
	var out []int
	for s := len(v.keys) - 1; s >= 0; s-- {
		if v.keys[s] > 0 {
			out = append(out, v.keys[s])
		}
	}
	return out
}

// What a voicing costs; ours, and tested by what comes of it: it stays clear of the lead
// (TestBackingStaysClear) and moves little.
const (
	costInLead  = 8.0  // a note within what the lead plays meanwhile, a tone on each side included
	costMove    = 0.12 // a semitone that a voice moves to the next chord
	costDouble  = 1.5  // a tone twice
	costHigh    = 0.3  // a fret above the seventh
	costMud     = 1.0  // two notes a third or less apart below muddy
	costNoRoot  = 0.3
	costNoFifth = 0.2
	costOff     = 0.04 // a semitone away from the middle of the guitar
	muddy       = 52   // E3
	middle      = 58   // B♭3
	kept        = 40   // how many voicings of a chord are gone on with
)

// voicings lists the ways to stop a chord with three neighbouring strings, third and seventh
// always there, the cheapest first. lo and hi bound what the lead plays meanwhile; lo > hi is nothing.
func voicings(c pitch.Chord, lo, hi int) []voicing {
	open, frets := sound.BandGuitar.Strings()
	var out []voicing
	for top := 0; top+3 <= guitarStrings; top++ {
		var choice [3][]int // by string, from top on
		for s := range choice {
			for f := 0; f <= min(frets, 12); f++ {
				if _, in := c.Tone(pitch.SpellKey(open[top+s]+f, 0).Class); in {
					choice[s] = append(choice[s], f)
				}
			}
		}
		for _, a := range choice[0] {
			for _, b := range choice[1] {
				for _, d := range choice[2] {
					at := [3]int{a, b, d}
					v := voicing{}
					for s, f := range at {
						v.keys[top+s] = open[top+s] + f
					}
					if span(at) <= 4 && v.weigh(c, at, lo, hi) {
						out = append(out, v)
					}
				}
			}
		}
	}
	inorder.Stable(out, func(p, q voicing) int {
		switch {
		case p.cost < q.cost:
			return -1
		case p.cost > q.cost:
			return 1
		}
		return slices.Compare(p.keys[:], q.keys[:])
	})
	return out[:min(len(out), kept)]
}

// span returns over how many frets the fingers reach, open strings left out.
func span(frets [3]int) int {
	lo, hi := math.MaxInt, 0
	for _, f := range frets {
		if f > 0 {
			lo, hi = min(lo, f), max(hi, f)
		}
	}
	return max(0, hi-lo)
}

// weigh works out the cost of a voicing; it reports whether the chord can be told from it.
func (v *voicing) weigh(c pitch.Chord, frets [3]int, lo, hi int) bool {
	has := map[string]int{}
	notes := v.notes()
	for i, k := range notes {
		tone, _ := c.Tone(pitch.SpellKey(k, 0).Class)
		has[tone.Label]++
		v.cost += costOff * math.Abs(float64(k-middle)) / float64(len(notes))
		if lo <= hi && k >= lo-2 && k <= hi+2 {
			v.cost += costInLead
		}
		if i > 0 {
			if k <= notes[i-1] {
				return false
			}
			if notes[i-1] < muddy && k-notes[i-1] <= 4 {
				v.cost += costMud
			}
		}
	}
	for _, t := range c.Tones {
		switch n := has[t.Label]; {
		case n > 1:
			v.cost += costDouble * float64(n-1)
		case n > 0:
		case t.Label == "R":
			v.cost += costNoRoot
		case t.Interval.Steps%7 == 4:
			v.cost += costNoFifth
		case needed(c, t):
			return false
		}
	}
	for _, f := range frets {
		v.cost += costHigh * float64(max(0, f-7))
	}
	return true
}

// needed reports whether a tone tells a chord from others: its third, or what stands for it, and its seventh or sixth.
// Of a chord of three strings what lies beyond those is left to the lead.
func needed(c pitch.Chord, t pitch.Tone) bool {
	switch t.Interval.Steps {
	case 2, 6:
		return true
	case 1, 3:
		return !slices.ContainsFunc(c.Tones, func(o pitch.Tone) bool { return o.Interval.Steps == 2 }) && len(c.Tones) <= 4
	case 5:
		return len(c.Tones) <= 4
	}
	return false
}

// spot is a place of a tune under a chord; its voicing is the same whenever it sounds.
type spot struct {
	bar   int
	from  tune.Ticks
	chord string
}

// voice chooses the guitar's voicings for a tune as it goes: all of them together cost least.
func voice(p *tune.Performance, all []stretch) map[spot]*voicing {
	type step struct {
		at    spot
		list  []voicing
		worth []float64
		from  []int
	}
	var way []step
	known := map[spot]bool{}
	for _, s := range all {
		if s.chord == nil {
			continue
		}
		at := spot{p.Passes[s.passIndex].BarIndex, s.from, s.chord.String()}
		if known[at] {
			continue
		}
		known[at] = true
		lo, hi := leadIn(p.Tune, at.bar, s.from, s.to)
		list := voicings(*s.chord, lo, hi)
		if len(list) == 0 {
			continue // a chord of two tones and a bass: the bass has it
		}
		n := step{at: at, list: list, worth: make([]float64, len(list)), from: make([]int, len(list))}
		for k := range list {
			best := 0.0
			if len(way) > 0 {
				last := &way[len(way)-1]
				best = math.Inf(1)
				for j := range last.list {
					if v := last.worth[j] + costMove*moved(&last.list[j], &list[k]); v < best {
						best, n.from[k] = v, j
					}
				}
			}
			n.worth[k] = best + list[k].cost
		}
		way = append(way, n)
	}
	out := map[spot]*voicing{}
	k := -1
	for i := len(way) - 1; i >= 0; i-- {
		w := &way[i]
		if k < 0 {
			k = 0
			for j := range w.worth {
				if w.worth[j] < w.worth[k] {
					k = j
				}
			}
		}
		out[w.at] = &w.list[k]
		k = w.from[k]
	}
	return out
}

// moved returns how far the voices move from one voicing to the next, in semitones.
func moved(a, b *voicing) float64 {
	x, y := a.notes(), b.notes()
	sum := 0.0
	for i := range min(len(x), len(y)) {
		sum += math.Abs(float64(x[i] - y[i]))
	}
	return sum
}

// leadIn returns the lowest and highest key that the tune has between two places of a bar; lowest over highest
// when it has none.
func leadIn(t *tune.Tune, bar int, from, to tune.Ticks) (lo, hi int) {
	lo = math.MaxInt
	for _, line := range t.Bars[bar].Lines {
		for i := range line {
			e := &line[i]
			if e.Kind != tune.Sounding || e.At >= to || e.At+e.Len <= from {
				continue
			}
			for _, n := range e.Notes {
				lo, hi = min(lo, n.Name.Key()), max(hi, n.Name.Key())
			}
		}
	}
	return lo, hi
}
