package pitch

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
)

// FewestAccidentals returns the number of sharps, −5 to 6, of the signature in
// which the fewest of some key numbers need an accidental; of equals that with
// the fewest sharps or flats, and sharps before flats.
func FewestAccidentals(keys []int) int {
	best, minCost := 0, math.MaxInt
	for _, f := range [...]int{0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6} {
		signature := SignatureOf(f)
		cost := 0
		for _, k := range keys {
			if n := SpellKey(k, f); n.Alter != signature[n.Letter] {
				cost++
			}
		}
		if cost < minCost {
			best, minCost = f, cost
		}
	}
	return best
}

// TriadsWithin returns the major and minor triads all of whose tones are among
// some notes, majors first, in the order of their roots there: C E G A holds C
// and Am. A root is spelled as it is given first.
func TriadsWithin(notes []Class) []Chord {
	sounding := [12]bool{}
	for _, n := range notes {
		sounding[n.Semitone()] = true
	}
	var out []Chord
	var seen [12]bool
	for _, root := range notes {
		if seen[root.Semitone()] {
			continue
		}
		seen[root.Semitone()] = true
		for _, quality := range [...]string{"", "m"} {
			c, err := ParseChord(root.String() + quality)
			if err != nil {
				continue // a root altered twice is the root of no symbol
			}
			if !slices.ContainsFunc(c.Tones, func(t Tone) bool { return !sounding[c.Class(t).Semitone()] }) {
				out = append(out, c)
			}
		}
	}
	inorder.Stable(out, func(a, b Chord) int { return cmp.Compare(len(a.Quality), len(b.Quality)) })
	return out
}

// SoundsAs reports whether two chords are the same but for spelling: F#m and
// Gbm, not C and C/E. Equal heeds the spelling.
func (c Chord) SoundsAs(d Chord) bool {
	return c.Root.Semitone() == d.Root.Semitone() && c.Quality == d.Quality && c.Bass.Semitone() == d.Bass.Semitone()
}
