package pitch

// Interval is a spelled distance: letters moved and semitones moved, both
// signed (up is positive). A major third is {2, 4}; a diminished fourth {3, 4}.
type Interval struct {
	Steps     int
	Semitones int
}

// From returns the interval from a up to b.
func From(a, b Name) Interval {
	return Interval{b.Step() - a.Step(), b.Key() - a.Key()}
}

// Up moves a pitch by an interval. When the exact spelling would need more
// than a double sharp or flat the nearest enharmonic spelling is used instead;
// the sounding pitch is always exact.
func (n Name) Up(iv Interval) Name {
	step := n.Step() + iv.Steps
	key := n.Key() + iv.Semitones
	l := Letter(Mod(step, 7))
	if out, ok := Spell(key, l); ok && out.Step() == step {
		return out
	}
	return SpellKey(key, 0)
}

// Up moves a pitch class by an interval, with the same rule as Name.Up.
func (c Class) Up(iv Interval) Class { return Name{c, 4}.Up(iv).Class }

// SpellKey names key number k for a key signature of the given fifths
// (positive sharps, negative flats): naturals where there are any, else the
// spelling that lies nearest along the line of fifths to the key's centre.
func SpellKey(k, fifths int) Name {
	best, bestFar := Name{}, 1<<30
	for l := C; l <= B; l++ {
		n, ok := Spell(k, l)
		if !ok {
			continue
		}
		// The notes of the key lie from fifths−1 (its fourth) to fifths+5 (its
		// leading note) on the line of fifths; centre the search there. Twice
		// the distance keeps it whole; ties go to the sharper side.
		far := 2*n.Fifths() - (2*fifths + 5)
		if far < 0 {
			far = -far
		}
		if far < bestFar {
			best, bestFar = n, far
		}
	}
	return best
}

// Fifths places the class on the line of fifths: F −1, C 0, G 1 … F♯ 6, B♭ −2.
func (c Class) Fifths() int {
	return [7]int{0, 2, 4, -1, 1, 3, 5}[c.Letter] + 7*int(c.Alter)
}

// ClassAtFifths is the inverse of Class.Fifths for −15 … 19 (double flats to
// double sharps); outside that the class is brought back by whole twelves.
func ClassAtFifths(f int) Class {
	for f < -15 {
		f += 12
	}
	for f > 19 {
		f -= 12
	}
	letters := [7]Letter{F, C, G, D, A, E, B}
	return Class{letters[Mod(f+1, 7)], int8(FloorDiv(f+1, 7))}
}
