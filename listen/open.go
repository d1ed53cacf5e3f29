package listen

import (
	"fmt"
	"math"

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
// tuned is as in Options.
func Strings(take *Take, r *rig.Rig, tuned []float64) (*Tuning, error) {
	if tuned == nil {
		tuned = make([]float64, len(r.Strings))
	}
	if len(tuned) != len(r.Strings) {
		return nil, fmt.Errorf("%d strings are said to be tuned, and the rig has %d", len(tuned), len(r.Strings))
	}
	out := &Tuning{Refused: take.unfit()}
	if out.Refused != "" {
		return out, nil
	}
	for s := range r.Strings {
		want := float64(pitch.Equal(float64(r.OpenKey(s+1, 0))+tuned[s]/100, r.Reference))
		out.Strings = append(out.Strings, OpenString{String: s + 1, Wanted: pitch.Hz(want)})
	}
	heard := 0
	for _, n := range take.line() {
		best, off := -1, nearestString
		for s := range out.Strings {
			if d := math.Abs(float64(pitch.Between(out.Strings[s].Wanted, pitch.Hz(n.hz)))); d < off {
				best, off = s, d
			}
		}
		if best < 0 || n.until-n.at < 0.15 {
			continue
		}
		s := &out.Strings[best]
		if !s.Heard || n.until-n.at > s.steady {
			if !s.Heard {
				heard++
			}
			s.Heard, s.Hz, s.Onset, s.steady = true, pitch.Hz(n.hz), n.at, n.until-n.at
		}
	}
	if heard == 0 {
		out.Refused = "None of the rig's open strings can be heard in this take: pluck them one after another, each for a second or more."
		out.Strings = nil
	}
	return out, nil
}

// lineNote is one note of a single line.
type lineNote struct {
	at, until float64
	hz        float64 // of its settled part
	sure      float64
	plucked   bool
}

// leastNote is the shortest note that is taken for one, in seconds.
const leastNote = 0.06

// line takes a single line apart into notes: where it is plucked, and where its
// pitch settles elsewhere by more than half a semitone.
func (t *Take) line() []lineNote {
	frames := t.Pitches()
	onsets := t.Onsets()
	var out []lineNote
	begin := func(from, to float64, plucked bool) {
		lo, hi := int((from+attackSkip)/Step)+1, min(len(frames), int(to/Step))
		// Within one pluck the line may glide to other notes: it is cut where the
		// pitch stays more than half a semitone from the note so far.
		start, part := lo, []float64(nil)
		var sure float64
		end := func(i int) {
			if float64(len(part))*Step >= leastNote {
				at := float64(start) * Step
				if start == lo {
					at = from
				}
				n := len(part)
				out = append(out, lineNote{at: at, until: float64(i) * Step, hz: math.Exp2(median(part)), sure: sure / float64(n), plucked: plucked && start == lo})
			}
			part, sure = nil, 0
		}
		for i := lo; i < hi; i++ {
			if !frames[i].Voiced {
				if i+4 < hi && !frames[i+4].Voiced {
					end(i)
					start = i + 1
				}
				continue
			}
			v := math.Log2(float64(frames[i].Hz))
			if n := len(part); n > 0 {
				recent := part[max(0, n-6):]
				mean := 0.0
				for _, r := range recent {
					mean += r / float64(len(recent))
				}
				// A steady stretch far from where the note began is a new note.
				if math.Abs(v-part[0]) > 0.5/12 && math.Abs(v-mean) < 0.04/12 && math.Abs(mean-part[0]) > 0.5/12 {
					end(i - len(recent))
					start = i - len(recent)
				}
			}
			part = append(part, v)
			sure += frames[i].Sure
		}
		end(hi)
	}
	for i, o := range onsets {
		to := t.Seconds()
		if i+1 < len(onsets) {
			to = onsets[i+1].At - 0.012
		}
		begin(o.At, to, true)
	}
	return out
}
