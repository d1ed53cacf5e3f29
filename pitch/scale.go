package pitch

import (
	"fmt"
	"strings"

	"lapwright/fault"
)

// Scale is a scale by its steps above the tonic, within one octave.
type Scale struct {
	Name     string
	Steps    []Interval // from the tonic up, the octave left out
	Diatonic bool       // one of the seven modes; Mode says which
	Mode     Mode
}

// The common intervals, by their names in theory.
var (
	Unison        = Interval{0, 0}
	MinorSecond   = Interval{1, 1}
	MajorSecond   = Interval{1, 2}
	AugSecond     = Interval{1, 3}
	MinorThird    = Interval{2, 3}
	MajorThird    = Interval{2, 4}
	PerfectFourth = Interval{3, 5}
	AugFourth     = Interval{3, 6}
	DimFifth      = Interval{4, 6}
	PerfectFifth  = Interval{4, 7}
	AugFifth      = Interval{4, 8}
	MinorSixth    = Interval{5, 8}
	MajorSixth    = Interval{5, 9}
	DimSeventh    = Interval{6, 9}
	MinorSeventh  = Interval{6, 10}
	MajorSeventh  = Interval{6, 11}
	Octave        = Interval{7, 12}
)

// Scales lists the scales that are known, the seven modes first.
var Scales = []Scale{
	{"major", []Interval{Unison, MajorSecond, MajorThird, PerfectFourth, PerfectFifth, MajorSixth, MajorSeventh}, true, Major},
	{"dorian", []Interval{Unison, MajorSecond, MinorThird, PerfectFourth, PerfectFifth, MajorSixth, MinorSeventh}, true, Dorian},
	{"phrygian", []Interval{Unison, MinorSecond, MinorThird, PerfectFourth, PerfectFifth, MinorSixth, MinorSeventh}, true, Phrygian},
	{"lydian", []Interval{Unison, MajorSecond, MajorThird, AugFourth, PerfectFifth, MajorSixth, MajorSeventh}, true, Lydian},
	{"mixolydian", []Interval{Unison, MajorSecond, MajorThird, PerfectFourth, PerfectFifth, MajorSixth, MinorSeventh}, true, Mixolydian},
	{"natural minor", []Interval{Unison, MajorSecond, MinorThird, PerfectFourth, PerfectFifth, MinorSixth, MinorSeventh}, true, Minor},
	{"locrian", []Interval{Unison, MinorSecond, MinorThird, PerfectFourth, DimFifth, MinorSixth, MinorSeventh}, true, Locrian},
	{"harmonic minor", []Interval{Unison, MajorSecond, MinorThird, PerfectFourth, PerfectFifth, MinorSixth, MajorSeventh}, false, 0},
	{"melodic minor", []Interval{Unison, MajorSecond, MinorThird, PerfectFourth, PerfectFifth, MajorSixth, MajorSeventh}, false, 0},
	{"major pentatonic", []Interval{Unison, MajorSecond, MajorThird, PerfectFifth, MajorSixth}, false, 0},
	{"minor pentatonic", []Interval{Unison, MinorThird, PerfectFourth, PerfectFifth, MinorSeventh}, false, 0},
	{"blues", []Interval{Unison, MinorThird, PerfectFourth, DimFifth, PerfectFifth, MinorSeventh}, false, 0},
	{"major blues", []Interval{Unison, MajorSecond, MinorThird, MajorThird, PerfectFifth, MajorSixth}, false, 0},
	{"whole tone", []Interval{Unison, MajorSecond, MajorThird, AugFourth, AugFifth, {5, 10}}, false, 0},
}

// scaleAliases are other words for the same scales.
var scaleAliases = map[string]string{
	"ionian": "major", "minor": "natural minor", "aeolian": "natural minor",
	"pentatonic": "major pentatonic", "minor blues": "blues",
}

// ParseScale finds a scale by its name, in capitals or small letters.
func ParseScale(s string) (Scale, error) {
	name := strings.Join(strings.Fields(strings.ToLower(s)), " ")
	if other, ok := scaleAliases[name]; ok {
		name = other
	}
	var names []string
	for _, sc := range Scales {
		if sc.Name == name {
			return sc, nil
		}
		names = append(names, sc.Name)
	}
	return Scale{}, fmt.Errorf("%q is not a scale: one of %s expected", fault.Clip(s), strings.Join(names, ", "))
}

// On spells the scale from a tonic up.
func (s Scale) On(tonic Class) []Class {
	out := make([]Class, len(s.Steps))
	for i, iv := range s.Steps {
		out[i] = tonic.Up(iv)
	}
	return out
}

// Has reports whether class c, in any spelling, is in the scale on a tonic.
func (s Scale) Has(tonic, c Class) bool {
	above := Mod(c.Semitone()-tonic.Semitone(), 12)
	for _, iv := range s.Steps {
		if iv.Semitones == above {
			return true
		}
	}
	return false
}
