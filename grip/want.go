package grip

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/pitch"
)

// Want is what is to be sounded: a set of tones in any octave, or exact notes.
type Want struct {
	Text  string
	Tones []Tone
	// Bass is the tone that must be lowest, as an index into Tones; −1 for any.
	Bass  int
	Chord *pitch.Chord // when a chord is wanted; its root is the first tone
}

// Tone is one tone that is wanted.
type Tone struct {
	Class pitch.Class
	Label string    // as a player calls it: "R", "b3", "5"; the note's name when there is no root
	Role  ChordRole // what it is to a chord
	// Key is the exact key number, or −1 for any octave.
	Key int
	// Spare says that a grip may leave the tone out: the perfect fifth of a
	// chord, and the root of one with four tones or more (common practice, no
	// source).
	Spare bool
}

// ChordRole is what a tone is to its chord.
type ChordRole uint8

// The parts that a grip may lack at a price of their own.
const (
	AnyTone ChordRole = iota
	Root
	Fifth // the perfect fifth
)

// perfectFifth is seven semitones over five letters.
var perfectFifth = pitch.Interval{Steps: 4, Semitones: 7}

// roleOf tells what a tone is to its chord by its interval above the root.
func roleOf(t pitch.Tone) ChordRole {
	switch t.Interval {
	case pitch.Interval{}:
		return Root
	case perfectFifth:
		return Fifth
	}
	return AnyTone
}

// toneOf returns the index of the tone that a key number sounds, −1 for none.
func (w *Want) toneOf(key int) int8 {
	for i, t := range w.Tones {
		if t.Key == key || t.Key < 0 && key%12 == t.Class.Semitone() {
			return int8(i)
		}
	}
	return -1
}

// WantChord asks for a chord. Under a slash chord the bass must be lowest.
func WantChord(c pitch.Chord) Want {
	w := Want{Text: c.String(), Bass: -1, Chord: &c}
	for _, t := range c.Tones {
		part := roleOf(t)
		spare := part != AnyTone && len(c.Tones) > 2 || (t.Label == "9" || t.Label == "11") && c.Has("13")
		w.Tones = append(w.Tones, Tone{Class: c.Class(t), Label: t.Label, Role: part, Key: -1, Spare: spare})
	}
	if c.Bass == c.Root {
		return w
	}
	for i, t := range w.Tones {
		if t.Class.Semitone() == c.Bass.Semitone() {
			w.Bass, w.Tones[i].Spare = i, false
		}
	}
	if w.Bass < 0 {
		w.Tones = append(w.Tones, Tone{Class: c.Bass, Label: "bass", Key: -1})
		w.Bass = len(w.Tones) - 1
	}
	return w
}

// WantInterval asks for two notes a given interval apart, in any octave of the
// lower; a compound interval is asked for within the octave, with the lower
// note below.
func WantInterval(low pitch.Class, iv pitch.Interval) Want {
	if iv.Steps < 0 {
		low, iv = low.Up(iv), pitch.Interval{Steps: -iv.Steps, Semitones: -iv.Semitones}
	}
	return Want{
		Text: low.String() + " " + iv.Short(), Bass: 0,
		Tones: []Tone{{Class: low, Label: low.String(), Key: -1}, {Class: low.Up(iv), Label: low.Up(iv).String(), Key: -1}},
	}
}

// WantNotes asks for exact notes.
func WantNotes(names []pitch.Name) Want {
	var text []string
	w := Want{Bass: -1}
	for _, n := range names {
		if slices.ContainsFunc(w.Tones, func(t Tone) bool { return t.Key == n.Key() }) {
			continue
		}
		text = append(text, n.String())
		w.Tones = append(w.Tones, Tone{Class: n.Class, Label: n.String(), Key: n.Key()})
	}
	w.Text = strings.Join(text, " ")
	return w
}

// WantClasses asks for tones in any octave.
func WantClasses(classes []pitch.Class) Want {
	var text []string
	w := Want{Bass: -1}
	for _, c := range classes {
		if slices.ContainsFunc(w.Tones, func(t Tone) bool { return t.Class.Semitone() == c.Semitone() }) {
			continue
		}
		text = append(text, c.String())
		w.Tones = append(w.Tones, Tone{Class: c, Label: c.String(), Key: -1})
	}
	w.Text = strings.Join(text, " ")
	return w
}

// MaxTones bounds how many tones may be wanted at once.
const MaxTones = 12

// ParseWant reads what is wanted: a chord symbol ("A7", "C/E"), an interval
// from a note ("G sixth", "F# m3"), exact notes ("G3 B3 D4") or tones in any
// octave ("G B D"). With a blank before it "m6" is an interval, not a chord.
func ParseWant(s string) (Want, error) {
	text := strings.TrimSpace(s)
	words := strings.Fields(strings.ReplaceAll(text, ",", " "))
	if len(words) > MaxTones {
		return Want{}, fmt.Errorf("%d notes are wanted at once, and %d is the most", len(words), MaxTones)
	}
	if len(words) >= 2 {
		if low, err := pitch.ParseClass(words[0]); err == nil {
			if iv, err := pitch.ParseInterval(strings.Join(words[1:], " ")); err == nil {
				return WantInterval(low, iv), nil
			}
		}
	}
	if c, err := pitch.ParseChord(text); err == nil {
		return WantChord(c), nil
	}
	var names []pitch.Name
	var classes []pitch.Class
	for _, w := range words {
		if n, err := pitch.ParseName(w); err == nil {
			names = append(names, n)
		} else if c, err := pitch.ParseClass(w); err == nil {
			classes = append(classes, c)
		}
	}
	switch {
	case len(words) > 0 && len(names) == len(words):
		return WantNotes(names), nil
	case len(words) > 0 && len(classes) == len(words):
		return WantClasses(classes), nil
	}
	_, err := pitch.ParseChord(text)
	return Want{}, fmt.Errorf("%w; nor is it an interval such as \"G sixth\", or notes such as \"G3 B3 D4\"", err)
}
