package terms

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/pitch"
)

// kind is a harmony kind of MusicXML with the chord suffix a player would
// write for it and its tones in semitones above the root.
type kind struct {
	name, suffix string
	tones        []int
}

// kinds are the kinds of the kind-value type that are chords of tones, from
// the most tones to the fewest, so that the first that fits is the fullest.
// The tones are those of the kind-value documentation.
var kinds = []kind{
	{"major-13th", "maj13", []int{0, 4, 7, 11, 2, 9}},
	{"dominant-13th", "13", []int{0, 4, 7, 10, 2, 9}},
	{"minor-13th", "m13", []int{0, 3, 7, 10, 2, 9}},
	{"major-11th", "maj11", []int{0, 4, 7, 11, 2, 5}},
	{"dominant-11th", "11", []int{0, 4, 7, 10, 2, 5}},
	{"minor-11th", "m11", []int{0, 3, 7, 10, 2, 5}},
	{"major-ninth", "maj9", []int{0, 4, 7, 11, 2}},
	{"dominant-ninth", "9", []int{0, 4, 7, 10, 2}},
	{"minor-ninth", "m9", []int{0, 3, 7, 10, 2}},
	{"dominant", "7", []int{0, 4, 7, 10}},
	{"major-seventh", "maj7", []int{0, 4, 7, 11}},
	{"minor-seventh", "m7", []int{0, 3, 7, 10}},
	{"major-minor", "mMaj7", []int{0, 3, 7, 11}},
	{"half-diminished", "m7b5", []int{0, 3, 6, 10}},
	{"diminished-seventh", "dim7", []int{0, 3, 6, 9}},
	{"augmented-seventh", "7#5", []int{0, 4, 8, 10}},
	{"major-sixth", "6", []int{0, 4, 7, 9}},
	{"minor-sixth", "m6", []int{0, 3, 7, 9}},
	{"major", "", []int{0, 4, 7}},
	{"minor", "m", []int{0, 3, 7}},
	{"diminished", "dim", []int{0, 3, 6}},
	{"augmented", "aug", []int{0, 4, 8}},
	{"suspended-fourth", "sus4", []int{0, 5, 7}},
	{"suspended-second", "sus2", []int{0, 2, 7}},
	{"power", "5", []int{0, 7}},
}

// Degree is a tone that a harmony adds to its kind or alters in it.
type Degree struct {
	Value, Alter int
	Kind         string
}

// HarmonyOf returns the kind and degrees of a chord. When nothing fits the kind
// is "other" and only its text says what the chord is.
func HarmonyOf(c *pitch.Chord) (string, []Degree) {
	var have []int
	for _, t := range c.Tones {
		have = append(have, ((t.Interval.Semitones%12)+12)%12)
	}
	for _, k := range kinds {
		if c.Has("3") && slices.Contains(k.tones, 3) {
			continue // what sounds as a minor third beside a major one is the sharp ninth
		}
		if subset(k.tones, have) && (len(k.tones) >= 4 || len(have) == len(k.tones) || !hasSeventh(have)) {
			var out []Degree
			for i, t := range c.Tones {
				if !slices.Contains(k.tones, have[i]) {
					value, alter := degreeOf(t.Interval)
					out = append(out, Degree{value, alter, "add"})
				}
			}
			return k.name, out
		}
	}
	for _, fifth := range []int{6, 8} {
		if !slices.Contains(have, fifth) || slices.Contains(have, 7) {
			continue
		}
		plain := slices.Clone(have)
		plain[slices.Index(have, fifth)] = 7
		for _, k := range kinds {
			if len(k.tones) >= 4 && subset(k.tones, plain) && len(k.tones) == len(plain) {
				return k.name, []Degree{{5, fifth - 7, "alter"}}
			}
		}
	}
	return "other", nil
}

func hasSeventh(have []int) bool {
	return slices.Contains(have, 10) || slices.Contains(have, 11)
}

func subset(a, b []int) bool {
	for _, x := range a {
		if !slices.Contains(b, x) {
			return false
		}
	}
	return true
}

// degreeOf names an interval as a degree of the major or mixolydian scale of
// the root, as degree-value and degree-alter have it (the seventh is the flat
// one).
func degreeOf(iv pitch.Interval) (value, alter int) {
	value = iv.Steps + 1
	if value < 4 && value > 1 && iv.Semitones > 12 {
		value += 7
	}
	plain := [7]int{0, 2, 4, 5, 7, 9, 10}[((iv.Steps%7)+7)%7]
	alter = ((iv.Semitones-plain)%12+18)%12 - 6
	return value, alter
}

// SuffixOf returns the chord suffix of a kind with degrees, for ParseChord.
func SuffixOf(name string, degrees []Degree) (string, bool) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.name == name })
	if i < 0 {
		return "", false
	}
	s := kinds[i].suffix
	var tail strings.Builder
	for _, d := range degrees {
		sign := ""
		switch d.Alter {
		case -1:
			sign = "b"
		case 1:
			sign = "#"
		case 0:
		default:
			return "", false
		}
		switch {
		case d.Value < 1 || d.Value > 13:
			return "", false
		case d.Kind == "subtract":
			tail.WriteString("no" + strconv.Itoa(d.Value))
		case d.Kind == "alter" && sign != "":
			tail.WriteString(sign + strconv.Itoa(d.Value))
		case d.Kind == "add" && sign != "" && hasSeventh(kinds[i].tones):
			tail.WriteString(sign + strconv.Itoa(d.Value))
		case d.Kind == "add":
			tail.WriteString("add" + sign + strconv.Itoa(d.Value))
		}
	}
	if tail.Len() > 0 && (s == "" || strings.HasSuffix(s, "5")) && strings.HasPrefix(tail.String(), "b") {
		// "C" and "b5" side by side would read as C flat.
		return s + "(" + tail.String() + ")", true
	}
	return s + tail.String(), true
}
