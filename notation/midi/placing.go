package midi

import (
	"cmp"
	"math"
	"slices"

	"lapwright/pitch"
	"lapwright/tune"
)

// heardSound is a sound in exact fractions of the file.
type heardSound struct {
	parts []Heard
}

func (h *heardSound) start() pitch.Fraction { return h.parts[0].At }

func (h *heardSound) end() pitch.Fraction {
	last := h.parts[len(h.parts)-1]
	return last.At.Plus(last.Len)
}

// sound is one struck note with the pitches it comes to, in whole ticks of a
// tune.
type sound struct {
	at, end tune.Ticks
	played  tune.Ticks // its end in the file, to the nearest tick of a tune
	parts   []soundPitch
	from    int64 // the onset in ticks of the file
	channel int
	heard   int // index of what it was made of
}

// soundPitch is one pitch of a sound.
type soundPitch struct {
	at    tune.Ticks
	key   int
	scoop int
}

// placing brings what was heard to the times at which it is written.
type placing struct {
	*layout
	heard  []heardSound
	sounds []sound
	// gridOfEnds is the unit that ends are settled to; 0 takes them as they stand.
	gridOfEnds tune.Ticks
}

// nearest returns the time in a sorted list that is nearest to t, of those after
// another time.
func nearest(times []tune.Ticks, t, after tune.Ticks) (tune.Ticks, bool) {
	before, _ := slices.BinarySearch(times, t)
	from, _ := slices.BinarySearch(times, max(t, after+1))
	var best tune.Ticks
	ok := false
	for _, j := range []int{before - 1, from} {
		if j < 0 || j >= len(times) || times[j] <= after {
			continue
		}
		if !ok || max(times[j]-t, t-times[j]) < max(best-t, t-best) {
			best, ok = times[j], true
		}
	}
	return best, ok
}

// exact returns a fraction of a whole note in ticks, when there are such.
func exact(f pitch.Fraction) (tune.Ticks, bool) { return tune.Of(f.Num, f.Den) }

// asWritten takes times as they stand; one that a tune can't hold exactly, or
// that the notator can't write, is moved to the nearest 1/64 or triplet of it.
func (p *placing) asWritten(rough map[int]bool) {
	p.place(func(f pitch.Fraction) tune.Ticks {
		if t, ok := exact(f); ok && f.Den <= 1024*3 && !rough[p.barAt(t)] {
			return t
		}
		return snap(near(f), tune.Whole/64, tune.Whole/96)
	})
}

// snap returns the nearest multiple of either unit, of the first when equal.
func snap(t, a, b tune.Ticks) tune.Ticks {
	x, y := (t+a/2)/a*a, (t+b/2)/b*b
	if max(t-x, x-t) <= max(t-y, y-t) {
		return x
	}
	return y
}

// quantise brings onsets and ends to a grid. Each beat is straight or a
// triplet as a whole, whichever its onsets are nearer to, straight when in
// doubt.
func (p *placing) quantise(grid int) {
	straight, triplet := tune.Whole/tune.Ticks(grid), tune.Whole*2/tune.Ticks(grid)/3
	type sums struct{ a, b float64 }
	beats := map[tune.Ticks]*sums{}
	beatOf := func(t tune.Ticks) tune.Ticks {
		b := p.barAt(t)
		// Triplets are taken of quarters, or of twice the grid when it is wider.
		beat := max(tune.Whole/4, straight*2)
		return p.starts[b] + (t-p.starts[b])/beat*beat
	}
	far := func(t, unit tune.Ticks) float64 {
		d := float64(t - (t+unit/2)/unit*unit)
		return d * d
	}
	for i := range p.heard {
		t := near(p.heard[i].start())
		k := beatOf(t)
		if beats[k] == nil {
			beats[k] = &sums{}
		}
		rel := t - k
		beats[k].a += far(rel, straight)
		beats[k].b += far(rel, triplet)
	}
	p.place(func(f pitch.Fraction) tune.Ticks {
		t := near(f)
		k := beatOf(t)
		unit := straight
		if s := beats[k]; s != nil && s.b*2 < s.a {
			unit = triplet
		}
		return k + (t-k+unit/2)/unit*unit
	})
	p.separate(straight)
}

// separate ends a note that runs into the next by no more than a grid unit
// where the next begins: legato playing is no chord.
func (p *placing) separate(unit tune.Ticks) {
	for i := range p.sounds {
		s := &p.sounds[i]
		j := i + 1
		for j < len(p.sounds) && p.sounds[j].at == s.at {
			j++
		}
		if j < len(p.sounds) && s.end > p.sounds[j].at && s.end-p.sounds[j].at <= unit {
			s.endAt(p.sounds[j].at)
		}
	}
}

// place makes sounds of what was heard, moved to where to puts them.
func (p *placing) place(to func(pitch.Fraction) tune.Ticks) {
	p.sounds = nil
	for i := range p.heard {
		h := &p.heard[i]
		s := sound{at: to(h.start()), end: to(h.end()), played: near(h.end()), from: h.parts[0].Ticks, channel: h.parts[0].Channel, heard: i}
		if s.end <= s.at {
			s.end = s.at + max(to(pitch.Fraction{Num: 1, Den: 64})-to(pitch.Fraction{Num: 0, Den: 1}), tune.Whole/64)
			s.end = max(s.end, to(h.end().Plus(pitch.Fraction{Num: 1, Den: 32})))
		}
		for j := range h.parts {
			part := &h.parts[j]
			at := to(part.At)
			if j > 0 && (at <= s.parts[len(s.parts)-1].at || at >= s.end) {
				continue
			}
			if n := len(s.parts); n > 0 && s.parts[n-1].key == part.Key {
				continue
			}
			s.parts = append(s.parts, soundPitch{at, part.Key, int(max(min(math.Round(part.Scoop), tune.MaxScoop), -tune.MaxScoop))})
		}
		p.sounds = append(p.sounds, s)
	}
	slices.SortStableFunc(p.sounds, func(a, b sound) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(b.parts[0].key, a.parts[0].key))
	})
	// One key of a channel struck twice at once, or again before it has ended,
	// is one note cut short. On two channels it is a unison.
	last := map[[2]int]int{}
	for i := range p.sounds {
		s := &p.sounds[i]
		id := [2]int{s.channel, s.parts[0].key}
		if j, ok := last[id]; ok && len(p.sounds[j].parts) == 1 && p.sounds[j].end > s.at {
			if p.sounds[j].at == s.at {
				p.sounds[j].end = max(p.sounds[j].end, s.end)
				p.sounds[j].played = max(p.sounds[j].played, s.played)
				s.parts = nil
				continue
			}
			p.sounds[j].end = s.at
			p.sounds[j].played = s.at
		}
		last[id] = i
	}
	p.sounds = slices.DeleteFunc(p.sounds, func(s sound) bool { return s.parts == nil })
	if p.gridOfEnds > 0 {
		p.settleEnds(p.gridOfEnds)
	}
	p.extend(p.sounds)
	p.trim(p.sounds)
}
