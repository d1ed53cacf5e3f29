package rig

import (
	"fmt"
	"math"
	"strings"

	"lapwright/pitch"
	"lapwright/wire"
)

// FretPlace gives how far fret n (which may be fractional) of vibrating length
// L lies from the nut, or from the capo when L is counted from there:
// x = L·(1 − 2^(−n/12)), the equal-tempered fret rule. n ≥ 0.
func FretPlace(l wire.MM, n float64) wire.MM {
	return l * wire.MM(1-math.Exp2(-n/12))
}

// WithCapo gives the rig with its sliding capo clamped at the given fret: the
// nut moves there, so that the scale shortens, the spread at the new nut lies
// between the old ones, every string rises and fewer frets are left. Fret 0
// takes the capo off. It fails when the rig has no capo, when the fret is
// beyond its reach, and when a capo has already been applied.
func (r *Rig) WithCapo(fret int) (*Rig, error) {
	switch {
	case fret == r.Capo.At:
		return r.Clone(), nil
	case r.Capo.At != 0:
		return nil, fmt.Errorf("rig %q already has its capo at fret %d: place it from the rig without a capo", r.Name, r.Capo.At)
	case fret < 0:
		return nil, fmt.Errorf("a capo cannot be at fret \"%d\"", fret)
	case r.Capo.Highest == 0:
		return nil, fmt.Errorf("rig %q has no sliding capo, and fret \"%d\" was asked for", r.Name, fret)
	case fret > r.Capo.Highest:
		return nil, fmt.Errorf("the capo of rig %q goes to fret %d, and \"%d\" was asked for", r.Name, r.Capo.Highest, fret)
	}
	out := r.Clone()
	x := FretPlace(r.Scale, float64(fret))
	out.NutSpread = r.NutSpread + (r.BridgeSpread-r.NutSpread)*(x/r.Scale)
	out.Scale = r.Scale - x
	out.Frets = r.Frets - fret
	out.Capo.At = fret
	up := risen(r, fret)
	for i := range out.Strings {
		out.Strings[i].Open = out.Strings[i].Open.Up(up)
	}
	if l := out.Check(); len(l) > 0 {
		return nil, l
	}
	return out, nil
}

// risen spells the interval of so many frets so that the tuning's names come
// out with the fewest accidentals: one fret up is a minor second or an
// augmented unison, whichever reads easier over all strings.
func risen(r *Rig, fret int) pitch.Interval {
	major := [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6} // letters moved, the usual spelling
	best, bestCost := pitch.Interval{}, math.MaxInt
	for _, extra := range []int{0, -1, 1} {
		iv := pitch.Interval{Steps: 7*(fret/12) + major[fret%12] + extra, Semitones: fret}
		cost := 0
		for _, s := range r.Strings {
			a := int(s.Open.Up(iv).Alter)
			cost += a * a
		}
		if cost < bestCost {
			best, bestCost = iv, cost
		}
	}
	return best
}

// TuningText writes the open strings low to high: "G2 B2 D3 G3 B3 D4".
func (r *Rig) TuningText() string {
	names := make([]string, len(r.Strings))
	for i, s := range r.Strings {
		names[len(names)-1-i] = s.Open.String()
	}
	return strings.Join(names, " ")
}
