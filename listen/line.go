package listen

import "math"

// LineNote is one note of a single line, times in seconds of the take.
type LineNote struct {
	At, Until float64
	Hz        float64 // of its settled part
	Sure      float64 // 0 to 1: how clear its pitch is
	Plucked   bool    // and not glided into
}

// leastNote is the shortest note that is taken for one, in seconds.
const leastNote = 0.06

// Line takes a single line apart into notes: where it is plucked, and where its
// pitch settles elsewhere by more than half a semitone.
func (t *Take) Line() []LineNote {
	frames, onsets := t.Pitches(), t.Onsets()
	var out []LineNote
	for i, o := range onsets {
		to := t.Seconds()
		if i+1 < len(onsets) {
			to = onsets[i+1].At - 0.012
		}
		out = append(out, cut(frames, o.At, to)...)
	}
	return out
}

// cut takes apart what sounds from a pluck on until a time. Within one pluck the line may glide to other notes: it is
// cut where the pitch stays more than half a semitone from the note so far.
func cut(frames []Frame, from, to float64) []LineNote {
	lo, hi := int((from+attackSkip)/Step)+1, min(len(frames), int(to/Step))
	var out []LineNote
	start, part := lo, []float64(nil)
	var sure float64
	end := func(i int) {
		if n := len(part); float64(n)*Step >= leastNote {
			at := float64(start) * Step
			if start == lo {
				at = from
			}
			out = append(out, LineNote{At: at, Until: float64(i) * Step, Hz: math.Exp2(median(part)), Sure: sure / float64(n), Plucked: start == lo})
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
	return out
}
