package listen

import (
	"math"

	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
)

// Steel hears where the steel is while somebody plays, one string at a time.
type Steel struct {
	tab    *tab.Tab
	g      *steel.Geometry
	places []stopped
}

// stopped is a place that the tab has.
type stopped struct {
	string   int
	fret     float64
	hz, open float64 // as the tab has it; the open string as tuned
}

// Heard is what sounds now.
type Heard struct {
	String int     // of the tab's place that is nearest in pitch; 0 when there is none
	Fret   float64 // of that
	Hz     pitch.Hz
	Cents  float64 // from that place
	MM     float64 // of the steel from that place, positive towards the bridge; NaN for an open string
	Behind float64 // seconds from the middle of what was looked at to the last sample
}

// NowSeconds is how long the stretch before now is that Steel.Now looks at: the
// difference function of the lowest pitch, or five of its periods.
const NowSeconds = max(yinSeconds+1.0/lowestHz+0.002, 5.0/lowestHz)

// nowClear is how much of the thresholds must agree that there is a pitch.
const nowClear = 0.5

// NewSteel makes one for a tab; tuned is as in Options.
func NewSteel(t *tab.Tab, tuned []float64) *Steel {
	s := &Steel{tab: t, g: steel.New(t.Rig)}
	there := map[[2]float64]bool{}
	for _, w := range newScore(t, tuned).wants {
		at := [2]float64{float64(w.pluck.String), w.pluck.Fret}
		if there[at] || w.pluck.Node != 0 {
			continue
		}
		there[at] = true
		s.places = append(s.places, stopped{w.pluck.String, w.pluck.Fret, w.hz, w.open})
	}
	return s
}

// Now tells what sounds at the end of a take, from its last NowSeconds. ok is false when that has
// no clear pitch, or one that is no place of the tab. It looks only back: a figure is as
// old as Heard.Behind, at most 2.5 periods of 60 Hz.
func (s *Steel) Now(take *Take) (heard Heard, ok bool) {
	end := take.Seconds()
	y := newYin(take.rate)
	best := candidate{}
	for _, c := range y.candidates(take, end-float64(y.width+y.lags)/2/take.rate) {
		if c.p > best.p {
			best = c
		}
	}
	if best.p < nowClear {
		return heard, false
	}
	behind := max(5/best.hz, shortestLook) / 2
	hz, ok := newLook(take.rate).fine(take, end-behind, best.hz)
	if !ok {
		return heard, false
	}
	off := farOff
	heard = Heard{Hz: pitch.Hz(hz), Behind: behind, MM: math.NaN()}
	for _, p := range s.places {
		if c := centsOver(p.hz, hz); math.Abs(c) < off {
			off = math.Abs(c)
			heard.String, heard.Fret, heard.Cents, heard.MM = p.string, p.fret, c, math.NaN()
			if p.fret > 0 {
				heard.MM = float64(s.tab.Rig.Scale)*(1-p.open/hz) - float64(s.g.X(p.fret))
			}
		}
	}
	return heard, heard.String > 0
}
