package listen

import (
	"math"

	"lapwright/listen/yin"
	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/wire"
)

// Steel hears where the steel is while somebody plays, one string at a time.
type Steel struct {
	g      *steel.Geometry
	places []stopped
	yin    *yin.Yin // for takes of the rate that was heard last
	look   *look
}

// stopped is a place that the tab has.
type stopped struct {
	string   int
	fret     float64
	hz, open float64              // as the tab has it; the open string as tuned
	strokes  map[*tab.Stroke]bool // that have it
}

// Heard is what sounds now.
type Heard struct {
	String int     // of the place that it is held against; 0 when there is none
	Fret   float64 // of that
	Hz     pitch.Hz
	Cents  float64 // from that place
	MM     float64 // of the steel from that place, positive towards the bridge; NaN for an open string
	At     float64 // where the steel is, in frets; 0 for an open string
	Behind float64 // seconds from the middle of what was looked at to the last sample
}

// NowSeconds is how long the stretch before now is that Steel.Now looks at: the
// difference function of the lowest pitch, or five of its periods.
const NowSeconds = max(yin.Seconds+1.0/yin.LowestHz+0.002, 5.0/yin.LowestHz)

// nowClear is how much of the thresholds must agree that there is a pitch.
const nowClear = 0.5

// NewSteel makes one for a tab; tuned is as in Options.
func NewSteel(t *tab.Tab, tuned []float64) *Steel {
	s := &Steel{g: steel.New(t.Rig)}
	there := map[[3]float64]int{} // a bender gives a place another pitch
	for _, w := range newScore(t, tuned).wants {
		at := [3]float64{float64(w.pluck.String), w.pluck.Fret, w.hz}
		if w.pluck.Node != 0 {
			continue
		}
		if _, ok := there[at]; !ok {
			there[at] = len(s.places)
			s.places = append(s.places, stopped{w.pluck.String, w.pluck.Fret, w.hz, w.open, map[*tab.Stroke]bool{}})
		}
		s.places[there[at]].strokes[w.stroke] = true
	}
	return s
}

// Now tells what sounds at the end of a take, from its last NowSeconds. It is held against the places of
// the stroke that is to sound, which may be nil, where one is near; else against the nearest of the tab. ok is false when
// the take has no clear pitch, or one that is no place of the tab. It looks only back: a figure is as
// old as Heard.Behind, at most 2.5 periods of 60 Hz.
func (s *Steel) Now(take *Take, due *tab.Stroke) (heard Heard, ok bool) {
	if s.yin == nil || s.yin.Rate() != take.rate {
		s.yin, s.look = yin.New(take.rate), newLook(take.rate)
	}
	end := take.Seconds()
	best := yin.Candidate{}
	for _, c := range s.yin.Candidates(take.x, take.sample(end-float64(s.yin.Span())/2/take.rate)) {
		if c.Chance > best.Chance {
			best = c
		}
	}
	if best.Chance < nowClear {
		return heard, false
	}
	behind := max(5/best.Hz, shortestLook) / 2
	hz, ok := s.look.fine(take, end-behind, best.Hz)
	if !ok {
		return heard, false
	}
	p := s.near(hz, due)
	if p == nil {
		return heard, false
	}
	heard = Heard{String: p.string, Fret: p.fret, Hz: pitch.Hz(hz), Cents: centsOver(p.hz, hz), MM: math.NaN(), Behind: behind}
	if p.fret > 0 {
		x := s.g.L * (1 - p.open/hz)
		heard.MM, heard.At = x-float64(s.g.X(p.fret)), s.g.Fret(wire.MM(x))
	}
	return heard, true
}

// near returns which place is nearest in pitch, those of a stroke first; nil when all are farther than farOff.
func (s *Steel) near(hz float64, due *tab.Stroke) (best *stopped) {
	off := func(p *stopped) float64 { return math.Abs(centsOver(p.hz, hz)) }
	for i := range s.places {
		p := &s.places[i]
		if off(p) < farOff && (best == nil || p.strokes[due] && !best.strokes[due] || p.strokes[due] == best.strokes[due] && off(p) < off(best)) {
			best = p
		}
	}
	return best
}
