package columns

import "lapwright/tune"

// The rules for where beams end when nobody says. Beams end with the bar in all
// of them.
const (
	BeamBeats  = "beats"  // at the end of each felt beat, and at notes too long for a beam
	beamPlain  = "plain"  // at the end of each felt beat
	beamHalves = "halves" // in the middle of the bar
	beamBars   = "bars"   // nowhere else
)

var BeamRules = []string{BeamBeats, beamPlain, beamHalves, beamBars}

// Beamed returns where beams end in a line by a rule.
func Beamed(b *tune.Bar, v int, rule string) []bool {
	beat := b.Meter.Beat()
	out := make([]bool, len(b.Lines[v]))
	for i := range b.Lines[v] {
		e := &b.Lines[v][i]
		end := e.At + e.Len
		out[i] = end == b.Len
		switch rule {
		case BeamBeats:
			out[i] = out[i] || end%beat == 0 || e.Value.Log2 < 3
		case beamPlain:
			out[i] = out[i] || end%beat == 0
		case beamHalves:
			out[i] = out[i] || 2*end == b.Meter.Len()
		}
	}
	return out
}
