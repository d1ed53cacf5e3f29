package page

import (
	"fmt"

	"lapwright/fault"
	"lapwright/report"
	"lapwright/sound"
	"lapwright/sound/band"
	"lapwright/tab"
	"lapwright/tune"
)

// Live sounds a tab while a student listens: from a place of it, at one speed, round a
// loop or on to the end. What else is wished is another Live.
type Live struct {
	tab  *tab.Tab
	live *sound.Live
}

// Stage keeps what a page sounds: the tab that was asked for last, since most that is
// asked is of the same one.
type Stage struct {
	rig, text string
	tab       *tab.Tab
	gain      *float64      // once it has been foretold
	backing   *band.Backing // once it has been asked for
}

// read reads an instrument's file and exact tab text for it.
func (s *Stage) read(w *report.Wished) error {
	if s.tab != nil && s.rig == w.Rig && s.text == w.Tab {
		return nil
	}
	if len(w.Rig) > MaxText || len(w.Tab) > MaxTab {
		return &fault.Fault{Msg: "the instrument's file or the tab is too long"}
	}
	t, err := readTab(w.Rig, w.Tab)
	if err != nil {
		return err
	}
	*s = Stage{rig: w.Rig, text: w.Tab, tab: t}
	return nil
}

// Begin prepares to sound what is wished.
func (s *Stage) Begin(w *report.Wished) (*Live, error) {
	if err := s.read(w); err != nil {
		return nil, err
	}
	o := sound.Options{Speed: w.Speed, Gain: w.Gain, Glides: w.Glides}
	if o.Gain == nil && s.gain == nil {
		g, err := sound.ForetoldGain(s.tab, sound.Options{})
		if err != nil {
			return nil, err
		}
		s.gain = &g
	}
	if o.Gain == nil {
		o.Gain = s.gain
	}
	if w.Band {
		if err := s.invite(&o); err != nil {
			return nil, err
		}
	}
	t, err := inTurns(s.tab, w.Phrases)
	if err != nil {
		return nil, err
	}
	made, err := sound.NewLive(t, o)
	if err != nil {
		return nil, err
	}
	if w.Loop != nil {
		if err := made.Loop(w.Loop[0], w.Loop[1]); err != nil {
			return nil, err
		}
	}
	if err := made.Start(w.Pass); err != nil {
		return nil, err
	}
	if !(w.Past >= 0 && w.Past <= sound.MaxSeconds) {
		return nil, &fault.Fault{Msg: "the place in the bar is none"}
	}
	for left := int(w.Past/w.Speed*sound.Rate + 0.5); left > 0; {
		b := made.Next(min(left, MaxBlock))
		if b == nil {
			break
		}
		left -= b.Len()
	}
	return &Live{tab: t, live: made}, nil
}

// invite has the band play along, where there is one.
func (s *Stage) invite(o *sound.Options) error {
	if s.backing == nil {
		b, err := band.FromSymbols(s.tab)
		if err != nil || b == nil {
			return err
		}
		s.backing = b
	}
	o.Band = s.backing
	return nil
}

// inTurns returns a tab as it is performed when each phrase is left to the student after it.
func inTurns(t *tab.Tab, phrases [][2]int) (*tab.Tab, error) {
	if len(phrases) == 0 {
		return t, nil
	}
	perf := t.Performance()
	var spans []tune.Span
	passes := 0
	for _, p := range phrases {
		if p[0] < 0 || p[0] >= p[1] || p[1] > len(perf.Passes) {
			return nil, &fault.Fault{Msg: fmt.Sprintf("there is no phrase from bar %d to %d among the %d that sound", p[0]+1, p[1], len(perf.Passes))}
		}
		if passes += 2 * (p[1] - p[0]); passes > tune.MaxPasses {
			return nil, &fault.Fault{Msg: fmt.Sprintf("in turns the piece is longer than %d bars", tune.MaxPasses)}
		}
		spans = append(spans, tune.Span{From: p[0], To: p[1]})
	}
	out := *t
	out.Performed = perf.InTurns(spans...)
	return &out, nil
}

// MaxBlock is the most samples of a block: 50 ms, after which who sounds can be told
// something else.
const MaxBlock = sound.Rate / 20

// Next gives the next samples, so many or, at the end of the piece, fewer; nil when it is
// over. The block holds until the next call.
func (l *Live) Next(samples int) *sound.Block { return l.live.Next(min(samples, MaxBlock)) }

// Now returns which place the last block ended at.
func (l *Live) Now() report.Where {
	at := l.live.Now()
	p := l.tab.Performance()
	if at.Pass >= len(p.Passes) {
		return report.Where{}
	}
	start := p.Passes[at.Pass].Start
	return report.Where{Pass: at.Pass, Past: p.Clock.Seconds(start+at.At) - p.Clock.Seconds(start)}
}
