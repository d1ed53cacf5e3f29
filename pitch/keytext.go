package pitch

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
)

// modeNames lists the words for each mode, first letters enough from three on.
var modeNames = []struct {
	word string
	mode Mode
}{
	{"major", Major}, {"ionian", Major},
	{"minor", Minor}, {"aeolian", Minor},
	{"mixolydian", Mixolydian}, {"dorian", Dorian}, {"phrygian", Phrygian},
	{"lydian", Lydian}, {"locrian", Locrian},
}

// ParseMode reads a mode's name: "major", "ionian", "minor", "aeolian",
// "dorian", "phrygian", "lydian", "mixolydian" or "locrian", in capitals or
// small letters, cut short to three letters or more; "m" is minor, "" major.
func ParseMode(s string) (Mode, error) {
	switch s {
	case "", "M":
		return Major, nil
	case "m":
		return Minor, nil
	}
	low := strings.ToLower(s)
	if len(low) >= 3 {
		for _, m := range modeNames {
			if strings.HasPrefix(m.word, low) {
				return m.mode, nil
			}
		}
	}
	return 0, fmt.Errorf("%q is not a mode: major, minor, dorian, phrygian, lydian, mixolydian or locrian expected", fault.Clip(s))
}

// ParseKey reads a key: a tonic and a mode, such as "G", "Am", "F# minor",
// "Bb major", "D dorian" or "Dmix" (see ParseMode). A signature of the music's
// own follows as "D major, signed Bb F#", the form that Key.Text gives.
func ParseKey(s string) (Key, error) {
	text := strings.TrimSpace(s)
	text, signed, own := strings.Cut(text, ", signed")
	c, n, err := scanClass(text)
	if err != nil {
		return Key{}, fmt.Errorf("%q is not a key: it begins with a letter A to G", fault.Clip(s))
	}
	m, err := ParseMode(strings.TrimSpace(text[n:]))
	if err != nil {
		return Key{}, fmt.Errorf("%q is not a key: %w", fault.Clip(s), err)
	}
	if !own {
		return NewKey(c, m)
	}
	k := Key{Tonic: c, Mode: m, Own: true}
	var seen [7]bool
	for _, word := range strings.Fields(signed) {
		a, err := ParseClass(word)
		if err != nil {
			return Key{}, fmt.Errorf("%q is not a key: %w", fault.Clip(s), err)
		}
		if seen[a.Letter] {
			return Key{}, fmt.Errorf("%q is not a key: the letter %s is signed twice", fault.Clip(s), a.Letter)
		}
		seen[a.Letter] = true
		k.Signature[a.Letter] = a.Alter
	}
	return k, nil
}

// Text returns the form that ParseKey reads back to an equal key, a signature of
// the music's own included: "F# minor", "D major, signed Bb F#".
func (k Key) Text() string {
	if !k.Own {
		return k.String()
	}
	words := []string{k.String() + ", signed"}
	for _, l := range [...]Letter{F, C, G, D, A, E, B} {
		if a := k.Signature[l]; a > 0 {
			words = append(words, Class{l, a}.String())
		}
	}
	for _, l := range [...]Letter{B, E, A, D, G, C, F} {
		if a := k.Signature[l]; a < 0 {
			words = append(words, Class{l, a}.String())
		}
	}
	return strings.Join(words, " ")
}

// Scale returns the scale of the key's mode.
func (k Key) Scale() Scale {
	i := slices.IndexFunc(Scales, func(s Scale) bool { return s.Mode == k.Mode && s.Diatonic })
	return Scales[i]
}
