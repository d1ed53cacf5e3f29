package rig

import (
	"fmt"
	"math"
	"strings"

	"lapwright/pitch"
	"lapwright/wire"
)

// FretPlace returns how far fret n (which may be fractional) of vibrating length
// L lies from the nut, or from the capo when L is counted from there:
// x = L·(1 − 2^(−n/12)), the equal-tempered fret rule. n ≥ 0.
func FretPlace(l wire.MM, n float64) wire.MM {
	return l * wire.MM(1-math.Exp2(-n/12))
}

// WithCapo returns the rig with its capo at the given fret: the
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
		return nil, fmt.Errorf("rig %q has no capo, and fret \"%d\" was asked for", r.Name, fret)
	case fret > r.Capo.Highest:
		return nil, fmt.Errorf("the capo of rig %q goes to fret %d, and \"%d\" was asked for", r.Name, r.Capo.Highest, fret)
	}
	out := r.Clone()
	x := FretPlace(r.Scale, float64(fret))
	out.NutSpread = r.NutSpread + (r.BridgeSpread-r.NutSpread)*(x/r.Scale)
	out.Scale = r.Scale - x
	out.Frets = r.Frets - fret
	out.Capo.At = fret
	up := risen(r.TunedNames(), fret)
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
func risen(names []pitch.Name, fret int) pitch.Interval {
	best, bestCost := pitch.Interval{}, math.MaxInt
	for _, iv := range risings(fret) {
		if _, cost := moved(names, iv); cost < bestCost {
			best, bestCost = iv, cost
		}
	}
	return best
}

// risings lists the ways to spell so many frets, the usual one first.
func risings(fret int) []pitch.Interval {
	letters := [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6} // moved, in the usual spelling
	var out []pitch.Interval
	for _, extra := range []int{0, -1, 1} {
		out = append(out, pitch.Interval{Steps: 7*(fret/12) + letters[fret%12] + extra, Semitones: fret})
	}
	return out
}

// wayOff is worse than any accidentals.
const wayOff = 10_000

// moved moves names by an interval and weighs how hard they then read: the
// squares of their alterations, and a name that can't be spelled so is way off.
func moved(names []pitch.Name, iv pitch.Interval) ([]pitch.Name, int) {
	out, cost := make([]pitch.Name, len(names)), 0
	for i, n := range names {
		out[i] = n.Up(iv)
		if out[i].Step() != n.Step()+iv.Steps {
			cost += wayOff
		}
		a := int(out[i].Alter)
		cost += a * a
	}
	return out, cost
}

// WithoutCapo returns the rig as its strings are tuned: with its capo taken off,
// so that scale, spread, frets and pitches are those from the nut. A rig whose
// capo is off is only copied.
func (r *Rig) WithoutCapo() *Rig {
	out := r.Clone()
	if r.Capo.At == 0 {
		return out
	}
	// FretPlace and WithCapo the other way round: the part of the string that the
	// capo leaves is 2^(-At/12) of the whole.
	left := wire.MM(math.Exp2(-float64(r.Capo.At) / 12))
	// To the nanometre, so that what the arithmetic adds is shed again.
	nanometre := func(v wire.MM) wire.MM { return wire.MM(math.Round(float64(v)*1e6) / 1e6) }
	out.Scale = nanometre(r.Scale / left)
	out.NutSpread = nanometre(r.BridgeSpread + (r.NutSpread-r.BridgeSpread)/left)
	out.Frets = r.Frets + r.Capo.At
	out.Capo.At = 0
	for i, n := range r.TunedNames() {
		out.Strings[i].Open = n
	}
	return out
}

// TunedNames returns the pitches that the strings are tuned to without the capo,
// string 1 first.
func (r *Rig) TunedNames() []pitch.Name {
	out := make([]pitch.Name, len(r.Strings))
	for i, s := range r.Strings {
		out[i] = s.Open
	}
	if r.Capo.At == 0 {
		return out
	}
	// Of the ways to spell so many frets the one that WithCapo would go back by
	// is right, and of several the one with the fewest accidentals.
	var best []pitch.Name
	bestCost := math.MaxInt
	for _, iv := range risings(r.Capo.At) {
		names, cost := moved(out, pitch.Interval{Steps: -iv.Steps, Semitones: -iv.Semitones})
		if risen(names, r.Capo.At) != iv {
			cost += wayOff
		}
		if cost < bestCost {
			best, bestCost = names, cost
		}
	}
	return best
}

// TuningText writes what the strings are tuned to without the capo, low to
// high: "G2 B2 D3 G3 B3 D4".
func (r *Rig) TuningText() string {
	return lowToHigh(r.TunedNames(), pitch.Name.String)
}

// TuningWords says how the rig is tuned and where its capo goes: "D2 A2 D3 F#3
// A3 D4; capo at 5". Whatever prints a tuning prints this, PrettyTuning, or
// TuningText where the capo is told apart.
func (r *Rig) TuningWords() string { return r.TuningText() + r.Capo.words() }

// PrettyTuning is TuningWords with typographic accidentals.
func (r *Rig) PrettyTuning() string {
	return lowToHigh(r.TunedNames(), pitch.Name.Pretty) + r.Capo.words()
}

func (c Capo) words() string {
	if c.At == 0 {
		return ""
	}
	return fmt.Sprintf("; capo at %d", c.At)
}

func lowToHigh(names []pitch.Name, text func(pitch.Name) string) string {
	out := make([]string, len(names))
	for i, n := range names {
		out[len(out)-1-i] = text(n)
	}
	return strings.Join(out, " ")
}
