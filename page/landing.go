package page

import (
	"fmt"
	"math"
	"slices"

	"lapwright/fault"
	"lapwright/listen"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
)

// What is looked at of the sound that comes: its last seconds, and from where on a string
// has come to rest there: so much of them sounds near the wanted pitch, nine tenths of that within so many cents.
const (
	landingSeconds = 0.5
	landingReach   = 150.0 // cents
	landingMost    = 0.8
	landingSpread  = 12.0 // cents
	landingLeast   = 0.3  // of it must sound for a figure
)

// landing says where the steel lies against a fret of a string, by the end of what is heard.
func landing(r *rig.Rig, q *report.Asked, recording *Recording) (*report.Landing, error) {
	if q.String < 1 || q.String > len(r.Strings) || q.Fret < 0 || q.Fret > rig.MaxFrets {
		return nil, &fault.Fault{Msg: fmt.Sprintf("string \"%d\", fret \"%d\" is no place on this instrument", q.String, q.Fret)}
	}
	take, err := recording.take()
	if err != nil {
		return nil, err
	}
	want := pitch.Equal(float64(r.OpenKey(q.String, 0))+float64(q.Fret), r.Reference)
	frames := take.Pitches()
	n := int(landingSeconds / listen.Step)
	frames = frames[max(0, len(frames)-n):]
	var off []float64
	for _, f := range frames {
		if c := float64(pitch.Between(want, f.Hz)); f.Voiced && math.Abs(c) <= landingReach {
			off = append(off, c)
		}
	}
	if float64(len(off)) < landingLeast*float64(n) {
		return &report.Landing{}, nil
	}
	slices.Sort(off)
	cents := off[len(off)/2]
	mm := float64(rig.FretPlace(r.Scale, float64(q.Fret)+cents/100) - rig.FretPlace(r.Scale, float64(q.Fret)))
	spread := off[len(off)*19/20] - off[len(off)/20]
	return report.LandingOf(cents, mm, float64(len(off)) >= landingMost*float64(n) && spread <= landingSpread), nil
}
