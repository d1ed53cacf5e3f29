package typed

import (
	"slices"

	"lapwright/pitch"
	"lapwright/rig"
)

// stringOrder finds which line is which string, by the names before them.
type stringOrder struct {
	*guesses
	rig   *rig.Rig
	top   bool // string 1 on top
	known bool // top is known from labels
}

// agreement is how a line's name agrees with a string of the rig.
type agreement int

const (
	disagrees agreement = iota
	byLetter            // the letter is right, and a sharp or flat is left out
	agrees
)

// order finds which line is string 1, and puts the lines of every system in
// that order.
func (r *stringOrder) order(systems []*looseSystem) error {
	n := len(r.rig.Strings)
	for _, s := range systems {
		up, down, why := r.fits(s)
		switch {
		case up && !down:
			if r.known && !r.top {
				return r.fatal(s.strings[0].TextLine, 0, "string 1 is on top here, and at the bottom in a system above")
			}
			r.top, r.known = true, true
		case down && !up:
			if r.known && r.top {
				return r.fatal(s.strings[0].TextLine, 0, "string 1 is at the bottom here, and on top in a system above")
			}
			r.top, r.known = false, true
		case !up && !down:
			return why
		}
	}
	first := systems[0].strings[0]
	if !r.known {
		r.guess(first.TextLine, 0, "the top line is taken as string 1")
	} else if !r.top {
		r.guess(first.TextLine, 0, "string 1 is the lowest line, by the names of the strings")
	}
	for _, s := range systems {
		lines := s.strings
		if !r.top {
			slices.Reverse(lines)
		}
		out := make([]looseString, n)
		for i := range out {
			out[i].empty = true
		}
		if len(lines) == n {
			copy(out, lines)
		} else {
			at := 0
			for _, l := range lines {
				str, fit := r.nextFit(l.label, at)
				if fit == disagrees {
					return r.fatal(l.TextLine, 0, "no string left for %q", l.label)
				}
				out[str-1], at = l, str
			}
			r.guess(lines[0].TextLine, 0, "%d of %d strings are written: the others are silent", len(lines), n)
		}
		for i, l := range out {
			if l.label != "" && r.labelFits(l.label, i+1) == byLetter {
				r.guess(l.TextLine, 0, "%q is taken as the string %s, by its place among the others", l.label, r.rig.TunedNames()[i])
			}
		}
		s.strings = out
	}
	return nil
}

// fits reports whether the labels of a system agree with the rig when string 1
// is on top, and when it is at the bottom; why is the fault when neither. A
// label that leaves out its sharp or flat counts where the others bear it out.
func (r *stringOrder) fits(s *looseSystem) (up, down bool, why error) {
	n := len(r.rig.Strings)
	if len(s.strings) < n {
		return r.fitsSome(s)
	}
	labelled := false
	var bad *looseString
	var counts [2][3]int // from the top and from the bottom, by agreement
	for i := range s.strings {
		l := &s.strings[i]
		if l.label == "" {
			continue
		}
		labelled = true
		fit := r.labelFits(l.label, i+1)
		if fit != agrees && bad == nil {
			bad = l
		}
		counts[0][fit]++
		counts[1][r.labelFits(l.label, n-i)]++
	}
	if !labelled {
		return true, true, nil
	}
	up, down = settled(counts[0], counts[1])
	if !up && !down {
		return false, false, r.fatal(bad.TextLine, 0, "the line named %q fits no string of the rig %q (%s) in this place", bad.label, r.rig.Name, r.rig.TuningText())
	}
	return up, down, nil
}

// settled decides by how the labels agree either way round: whole names first,
// and letters alone only when most of the names are whole.
func settled(top, bottom [3]int) (up, down bool) {
	up, down = top[disagrees]+top[byLetter] == 0, bottom[disagrees]+bottom[byLetter] == 0
	if !up && !down {
		up = top[disagrees] == 0 && top[byLetter] < top[agrees]
		down = bottom[disagrees] == 0 && bottom[byLetter] < bottom[agrees]
	}
	return up, down
}

// fitsSome is fits for a system that leaves strings out.
func (r *stringOrder) fitsSome(s *looseSystem) (up, down bool, why error) {
	run := func(reverse bool) (counts [3]int) {
		lines := slices.Clone(s.strings)
		if reverse {
			slices.Reverse(lines)
		}
		at := 0
		for _, l := range lines {
			str, fit := r.nextFit(l.label, at)
			counts[fit]++
			at = str
		}
		return counts
	}
	up, down = settled(run(false), run(true))
	if !up && !down {
		return false, false, r.fatal(s.strings[0].TextLine, 0, "the lines named here fit no strings of the rig %q (%s)", r.rig.Name, r.rig.TuningText())
	}
	return up, down, nil
}

// nextFit finds the first string after string past that a label can name,
// a whole name before a letter alone. When there is none, it disagrees.
func (r *stringOrder) nextFit(label string, past int) (str int, fit agreement) {
	for _, least := range []agreement{agrees, byLetter} {
		for s := past + 1; s <= len(r.rig.Strings); s++ {
			if fit := r.labelFits(label, s); fit >= least {
				return s, fit
			}
		}
	}
	return past, disagrees
}

// labelFits tells how a label agrees with string s. A string goes by what it is
// tuned to, or by what it sounds at the capo.
func (r *stringOrder) labelFits(label string, s int) agreement {
	num, note := splitLabel(label)
	if num > 0 && num != s {
		return disagrees
	}
	if note == "" {
		if num > 0 {
			return agrees
		}
		return disagrees
	}
	best := disagrees
	for _, open := range []pitch.Name{r.rig.TunedNames()[s-1], r.rig.Strings[s-1].Open} {
		switch c, err := pitch.ParseClass(note); {
		case namesPitch(note, open):
			return agrees
		case err == nil && c.Alter == 0 && c.Letter == open.Letter:
			best = byLetter
		}
	}
	return best
}

// namesPitch reports whether a note, with or without its octave, is that pitch.
func namesPitch(note string, open pitch.Name) bool {
	if name, err := pitch.ParseName(note); err == nil {
		return name.Key() == open.Key()
	}
	c, err := pitch.ParseClass(note)
	return err == nil && c.Semitone() == open.Semitone()
}
