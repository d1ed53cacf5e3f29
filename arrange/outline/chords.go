package outline

import (
	"slices"

	"lapwright/pitch"
	"lapwright/tune"
)

// Chords is the harmony of a tune.
type Chords struct {
	// Guessed says that the tune has no chord symbols that are known, so that the
	// chords are taken from its key and its melody.
	Guessed bool
	at      [][]tune.ChordAt // by bar, each with what is in force at its beginning first
}

// ChordsOf returns the harmony of a tune: its chord symbols, or where it has none a
// chord for each bar, guessed from the key and the notes that sound in it.
func ChordsOf(t *tune.Tune) *Chords {
	out := &Chords{Guessed: true, at: make([][]tune.ChordAt, len(t.Bars))}
	for b := range t.Bars {
		for _, c := range t.Bars[b].Chords {
			out.Guessed = out.Guessed && c.Chord == nil
		}
	}
	if out.Guessed {
		out.guess(t)
		return out
	}
	var now tune.ChordAt
	for b := range t.Bars {
		now.At = 0
		out.at[b] = append([]tune.ChordAt{now}, t.Bars[b].Chords...)
		now = out.at[b][len(out.at[b])-1]
	}
	return out
}

// At returns the chord in force at a place of a bar; nil for none.
func (c *Chords) At(barIndex int, at tune.Ticks) *pitch.Chord {
	var now *pitch.Chord
	for _, x := range c.at[barIndex] {
		if x.At > at {
			break
		}
		now = x.Chord
	}
	return now
}

// Has reports whether a key number is a tone of the chord in force at a place; where
// there is none every note is.
func (c *Chords) Has(barIndex int, at tune.Ticks, key int) bool {
	now := c.At(barIndex, at)
	return now == nil || slices.ContainsFunc(now.Classes(), func(x pitch.Class) bool { return x.Semitone() == pitch.Mod(key, 12) })
}

// What a guess weighs, as shares of the time of the bar's notes (common practice, no
// source): a note outside the chord speaks against it, the chords of the first, fifth
// and fourth degree are likelier than others, and one that goes on is than a change.
const (
	outsideWeighs = 0.6
	tonicWeighs   = 0.20
	fifthWeighs   = 0.12
	fourthWeighs  = 0.08
	sameWeighs    = 0.10
)

// guess fills in a chord for every bar.
func (c *Chords) guess(t *tune.Tune) {
	last := len(t.Bars) - 1
	var now *pitch.Chord
	for b := range t.Bars {
		key := t.Bars[b].Key
		var best *pitch.Chord
		most := 0.0
		for _, d := range degrees(key) {
			fit, heard := fits(&t.Bars[b], d.chord)
			if !heard {
				continue
			}
			fit += d.likely
			if now != nil && now.Equal(*d.chord) {
				fit += sameWeighs
			}
			if b == last && d.tonic {
				fit += tonicWeighs
			}
			if best == nil || fit > most {
				best, most = d.chord, fit
			}
		}
		if best != nil {
			now = best
		}
		c.at[b] = []tune.ChordAt{{Chord: now}}
	}
}

// degree is a chord on a degree of a key, and how likely it is before anything is
// heard.
type degree struct {
	chord  *pitch.Chord
	likely float64
	tonic  bool
}

// degrees returns the triads of a key but for the diminished one. In minor the chord
// of the fifth degree is major.
func degrees(k pitch.Key) []degree {
	scale := k.Scale().On(k.Tonic)
	var out []degree
	for i, root := range scale {
		third := pitch.Mod(scale[(i+2)%7].Semitone()-root.Semitone(), 12)
		fifth := pitch.Mod(scale[(i+4)%7].Semitone()-root.Semitone(), 12)
		quality := ""
		switch {
		case fifth != 7:
			continue
		case third == 3 && (i != 4 || k.Mode != pitch.Minor):
			quality = "m"
		}
		chord, err := pitch.ParseChord(root.String() + quality)
		if err != nil {
			continue // a root that no symbol spells
		}
		d := degree{chord: &chord}
		switch i {
		case 0:
			d.likely, d.tonic = tonicWeighs, true
		case 3:
			d.likely = fourthWeighs
		case 4:
			d.likely = fifthWeighs
		}
		out = append(out, d)
	}
	return out
}

// fits tells how well a chord goes with what sounds in a bar, from 1 for all of it to
// −outsideWeighs for none; a note on the beat counts twice.
func fits(b *tune.Bar, chord *pitch.Chord) (fit float64, heard bool) {
	classes := chord.Classes()
	sum, all := 0.0, 0.0
	for _, line := range b.Lines {
		for i := range line {
			e := &line[i]
			weight := float64(e.Len)
			if e.At%b.Meter.Beat() == 0 {
				weight *= 2
			}
			for _, n := range e.Notes {
				if n.Chop {
					continue
				}
				all += weight
				if slices.ContainsFunc(classes, func(c pitch.Class) bool { return c.Semitone() == pitch.Mod(n.Name.Key(), 12) }) {
					sum += weight
				} else {
					sum -= outsideWeighs * weight
				}
			}
		}
	}
	if all == 0 {
		return 0, false
	}
	return sum / all, true
}
