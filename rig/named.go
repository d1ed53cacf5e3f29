package rig

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
)

// NamedChord returns the chord that the rig's tuning is named for ("high open
// G", "C6 with a high G"): the last in the name of which the strings have the
// root and at least two more tones. ok is false when the name has none such.
func (r *Rig) NamedChord() (c pitch.Chord, ok bool) {
	tones := classes(r.TunedNames())
	for _, c := range slices.Backward(chordsIn(r.Tuning)) {
		if sounds(tones, c) {
			return c, true
		}
	}
	return pitch.Chord{}, false
}

// misnamed says how the strings don't fit the tuning's name; "" when they do,
// or when the name is for no chord. Strings in an open tuning are all tones of
// its chord, and all of them sound (common practice, no source).
func (r *Rig) misnamed() string {
	named := chordsIn(r.Tuning)
	if len(named) == 0 {
		return ""
	}
	c, ok := r.NamedChord()
	if !ok {
		return fmt.Sprintf("the strings, %s, do not sound the chord of the tuning %q", r.TuningText(), fault.Clip(r.Tuning))
	}
	if !strings.Contains(strings.ToLower(r.Tuning), "open") {
		return ""
	}
	names := r.TunedNames()
	tones := classes(names)
	for i, k := range tones {
		if _, ok := c.Tone(k); !ok {
			return fmt.Sprintf("string %d, %s, is no tone of the chord of the tuning %q", i+1, names[i], fault.Clip(r.Tuning))
		}
	}
	for _, t := range c.Tones {
		if k := c.Class(t); !has(tones, k) {
			return fmt.Sprintf("no string is tuned to %s, a tone of the chord of the tuning %q", k, fault.Clip(r.Tuning))
		}
	}
	return ""
}

// classes returns the pitch classes of names.
func classes(names []pitch.Name) []pitch.Class {
	var out []pitch.Class
	for _, n := range names {
		out = append(out, n.Class)
	}
	return out
}

// chordsIn finds the chords in the name of a tuning.
func chordsIn(name string) []pitch.Chord {
	var out []pitch.Chord
	for _, word := range strings.Fields(name) {
		if word[0] < 'A' || word[0] > 'G' {
			continue
		}
		if c, err := pitch.ParseChord(strings.TrimRight(word, ",;")); err == nil {
			out = append(out, c)
		}
	}
	return out
}

func has(tones []pitch.Class, k pitch.Class) bool {
	return slices.ContainsFunc(tones, func(t pitch.Class) bool { return t.Semitone() == k.Semitone() })
}

// sounds reports whether the strings have the root of a chord and at least two
// more of its tones.
func sounds(tones []pitch.Class, c pitch.Chord) bool {
	found := 0
	for i, t := range c.Tones {
		if has(tones, c.Class(t)) {
			found++
		} else if i == 0 {
			return false
		}
	}
	return found >= min(3, len(c.Tones))
}
