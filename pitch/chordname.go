package pitch

import (
	"cmp"
	"strings"
	"sync"

	"lapwright/inorder"
)

// namedQuality is a quality that NameChord knows. Cost says how far-fetched
// the name is: a player says "C6" before "Am7/C" because the cost of the plain
// sixth and its root position is less than that of an inverted seventh.
type namedQuality struct {
	suffix string
	cost   int
}

// Costs of what makes a name less likely, on the scale of namedQuality.cost;
// chosen so that the names in chordname_test.go come out first.
const (
	inversionCost = 6  // the bass is another tone of the chord
	strangerCost  = 30 // the bass is none of the chord's tones
	noFifthCost   = 8  // a perfect fifth left out of a seventh chord or beyond
	noNinthCost   = 6  // the ninth left out of a thirteenth
	misspeltCost  = 1  // a tone is spelled otherwise than the chord would
	maxNamesGiven = 12
)

var namedQualities = []namedQuality{
	{"", 0}, {"m", 2}, {"5", 4}, {"7", 5}, {"maj7", 8}, {"m7", 8}, {"6", 10}, {"m6", 12},
	{"dim", 10}, {"aug", 12}, {"sus4", 10}, {"sus2", 12}, {"dim7", 13}, {"m7b5", 14},
	{"9", 15}, {"maj9", 17}, {"m9", 17}, {"6/9", 18}, {"add9", 16}, {"madd9", 18},
	{"7sus4", 16}, {"9sus4", 19}, {"mMaj7", 18}, {"7#5", 18}, {"7b5", 19}, {"7b9", 19}, {"7#9", 19},
	{"13", 20}, {"m11", 22}, {"11", 21}, {"m13", 24}, {"maj13", 24}, {"7#11", 22}, {"9#11", 23},
	{"maj7#11", 22}, {"maj9#11", 24}, {"maj7#5", 22}, {"m6/9", 20}, {"m7#5", 26}, {"13b9", 24}, {"13#11", 25},
	{"13sus4", 23}, {"9#5", 24}, {"9b5", 24}, {"7b9b5", 26}, {"7#5b9", 26}, {"7#5#9", 26}, {"7b13", 24}, {"9b13", 25},
	{"mMaj9", 24}, {"dimMaj7", 26}, {"(b5)", 24}, {"add4", 24}, {"madd4", 26}, {"sus24", 24}, {"6sus4", 26}, {"m9b5", 25}, {"m11b5", 27},
	{"7add11", 27}, {"7add13", 29}, {"m7add11", 23}, {"maj7sus4", 26}, {"7alt", 29},
	{"(no5)", 20}, {"m(no5)", 22}, {"7(no3)", 23}, {"maj7(no3)", 25}, {"5add9", 24},
	{"6(no5)", 24}, {"m6(no5)", 26}, {"add9(no5)", 28}, {"m7b5add11", 30},
}

// qualityTable pairs each named quality with its parsed chord on C.
var qualityTable = sync.OnceValue(func() []struct {
	namedQuality
	chord Chord
	set   uint16 // bit i: the tone i semitones above the root
} {
	out := make([]struct {
		namedQuality
		chord Chord
		set   uint16
	}, len(namedQualities))
	for i, q := range namedQualities {
		c, err := ParseChord("C" + q.suffix)
		if err != nil {
			panic(err)
		}
		out[i].namedQuality, out[i].chord = q, c
		for _, t := range c.Tones {
			out[i].set |= 1 << Mod(t.Interval.Semitones, 12)
		}
	}
	return out
})

// NameChord returns the chord symbols for a set of sounding pitch classes over a
// bass, most likely name first; none when no symbol that is known fits. Octaves
// and doublings don't matter; spellings only break ties and name the roots. A
// seventh chord or beyond may lack its perfect fifth and a thirteenth its
// ninth: Chord.Tones then has more than sounds.
func NameChord(tones []Class, bass Class) []Chord {
	sounding := uint16(1) << bass.Semitone()
	spelled := map[int]Class{bass.Semitone(): bass}
	for _, c := range tones {
		sounding |= 1 << c.Semitone()
		if _, ok := spelled[c.Semitone()]; !ok {
			spelled[c.Semitone()] = c
		}
	}
	type candidate struct {
		chord Chord
		cost  int
	}
	var found []candidate
	for semitone := range 12 {
		root, ok := spelled[semitone]
		if !ok {
			continue
		}
		whole := turn(sounding, semitone)
		bassBit := uint16(1) << Mod(bass.Semitone()-semitone, 12)
		for _, q := range qualityTable() {
			cost := q.cost
			set := whole
			switch {
			case bassBit == 1:
			case q.set&bassBit != 0:
				cost += inversionCost
			case strings.Contains(q.suffix, "(no"):
				continue // half a chord over a foreign bass tells nobody anything
			default:
				set &^= bassBit
				cost += strangerCost
			}
			if set&^q.set != 0 {
				continue
			}
			missing := q.set &^ set
			if missing&(1<<7) != 0 && q.chord.Has("5") && len(q.chord.Tones) > 3 && sevenths(q.chord) && q.set&(1<<3|1<<4) != 0 {
				missing &^= 1 << 7
				cost += noFifthCost
			}
			if missing&(1<<2) != 0 && q.chord.Has("13") && q.chord.Has("9") {
				missing &^= 1 << 2
				cost += noNinthCost
			}
			if missing != 0 {
				continue
			}
			c := q.chord.Up(Interval{})
			c.Root, c.Bass = root, bass
			if bassBit == 1 {
				c.Bass = root
			}
			for _, t := range c.Tones {
				k := c.Class(t)
				if given, ok := spelled[k.Semitone()]; ok && given != k {
					cost += misspeltCost
				}
			}
			found = append(found, candidate{c, cost})
		}
	}
	inorder.Stable(found, func(a, b candidate) int { return cmp.Compare(a.cost, b.cost) })
	var out []Chord
	for _, f := range found[:min(len(found), maxNamesGiven)] {
		out = append(out, f.chord)
	}
	return out
}

func sevenths(c Chord) bool { return c.Has("b7") || c.Has("7") }

// turn rotates a set of semitones so that the given one becomes 0.
func turn(set uint16, by int) uint16 {
	return (set>>uint(by) | set<<uint(12-by)) & (1<<12 - 1)
}
