package line

import (
	"fmt"
	"math"

	"lapwright/listen"
	"lapwright/pitch"
	"lapwright/rig"
)

// Tuning is how the strings of a rig stand.
type Tuning struct {
	Refused string // why nothing can be told, in one sentence; "" when something can
	Strings []OpenString
}

// OpenString is one open string as heard.
type OpenString struct {
	String int
	Wanted pitch.Hz
	Heard  bool
	Hz     pitch.Hz
	Onset  float64
	steady float64 // seconds that it was held
}

// nearestString is how far a string may be out of tune and still be known, in cents.
// Two strings nearer to each other share the way between them.
const nearestString = 180.0

// Strings tells how the open strings of a rig stand, from a take in which they
// are plucked one after another, in any order. Each pluck goes to the string
// whose pitch it is nearest to; of several for one string the longest counts.
// tuned is as in listen.Options.
func Strings(take *listen.Take, r *rig.Rig, tuned []float64) (*Tuning, error) {
	if tuned == nil {
		tuned = make([]float64, len(r.Strings))
	}
	if len(tuned) != len(r.Strings) {
		return nil, fmt.Errorf("%d strings are said to be tuned, and the rig has %d", len(tuned), len(r.Strings))
	}
	out := &Tuning{Refused: take.Unfit()}
	if out.Refused != "" {
		return out, nil
	}
	for s := range r.Strings {
		want := float64(pitch.Equal(float64(r.OpenKey(s+1, 0))+tuned[s]/100, r.Reference))
		out.Strings = append(out.Strings, OpenString{String: s + 1, Wanted: pitch.Hz(want)})
	}
	heard := false
	for _, n := range take.Line() {
		best, off := -1, nearestString
		for s := range out.Strings {
			if d := math.Abs(float64(pitch.Between(out.Strings[s].Wanted, pitch.Hz(n.Hz)))); d < off {
				best, off = s, d
			}
		}
		if best < 0 || n.Until-n.At < 0.15 {
			continue
		}
		s := &out.Strings[best]
		if !s.Heard || n.Until-n.At > s.steady {
			heard = true
			s.Heard, s.Hz, s.Onset, s.steady = true, pitch.Hz(n.Hz), n.At, n.Until-n.At
		}
	}
	if !heard {
		out.Refused = "None of the rig's open strings can be heard in this take: pluck them one after another, each for a second or more."
		out.Strings = nil
	}
	return out, nil
}
