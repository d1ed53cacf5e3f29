package pitch

import (
	"slices"
	"strings"
)

// Chord is a chord symbol taken apart. The zero value is not a chord: it has
// no tones.
type Chord struct {
	Root    Class
	Quality string // canonical suffix: "", "m", "7", "maj7", "m7b5", "6", "sus4" …
	Bass    Class  // the lowest note; equal to Root when there is no slash
	Tones   []Tone // the chord's tones from the root up
}

// Tone is one tone of a chord: its interval above the root, and how a player
// would call it ("R", "3", "b7", "13").
type Tone struct {
	Interval Interval
	Label    string
}

// String returns the canonical ASCII form, such as "F#m7b5/E". ParseChord reads
// it back to an equal chord.
func (c Chord) String() string {
	s := c.Root.String() + c.Quality
	if c.Bass != c.Root {
		s += "/" + c.Bass.String()
	}
	return s
}

var prettyQuality = strings.NewReplacer("b", "♭", "#", "♯")

// Pretty returns the canonical form with typographic accidentals, such as
// "F♯m7♭5/E". ParseChord reads it back to an equal chord.
func (c Chord) Pretty() string {
	// In a quality "b" and "#" stand only before a degree.
	s := c.Root.Pretty() + prettyQuality.Replace(c.Quality)
	if c.Bass != c.Root {
		s += "/" + c.Bass.Pretty()
	}
	return s
}

// Class returns the spelled pitch class of one of the chord's tones.
func (c Chord) Class(t Tone) Class { return c.Root.Up(t.Interval) }

// Classes returns the spelled pitch classes of the chord from the root up; a
// bass that is none of the chord's tones comes first.
func (c Chord) Classes() []Class {
	var out []Class
	if _, ok := c.Tone(c.Bass); !ok {
		out = append(out, c.Bass)
	}
	for _, t := range c.Tones {
		out = append(out, c.Class(t))
	}
	return out
}

// Tone finds the tone of the chord that sounds as class k, in any spelling and
// octave. The bass of a slash chord counts only when it is one of the tones.
func (c Chord) Tone(k Class) (Tone, bool) {
	above := Mod(k.Semitone()-c.Root.Semitone(), 12)
	for _, t := range c.Tones {
		if Mod(t.Interval.Semitones, 12) == above {
			return t, true
		}
	}
	return Tone{}, false
}

// Has reports whether the chord has a tone with the given label.
func (c Chord) Has(label string) bool {
	return slices.ContainsFunc(c.Tones, func(t Tone) bool { return t.Label == label })
}

// Minor reports whether the chord's third is minor.
func (c Chord) Minor() bool { return c.Has("b3") }

// Up moves a chord by an interval. The bass keeps its spelled distance from
// the root.
func (c Chord) Up(iv Interval) Chord {
	over := Interval{Mod(int(c.Bass.Letter-c.Root.Letter), 7), Mod(c.Bass.Semitone()-c.Root.Semitone(), 12)}
	out := c
	out.Root = c.Root.Up(iv)
	out.Bass = out.Root.Up(over)
	out.Tones = slices.Clone(c.Tones)
	return out
}

// Equal reports whether two chords are the same, spelling included.
func (c Chord) Equal(d Chord) bool {
	return c.Root == d.Root && c.Quality == d.Quality && c.Bass == d.Bass
}

// TonesText returns the labels of the tones from the root up: "R 3 5 b7".
func (c Chord) TonesText() string {
	labels := make([]string, len(c.Tones))
	for i, t := range c.Tones {
		labels[i] = t.Label
	}
	return strings.Join(labels, " ")
}
