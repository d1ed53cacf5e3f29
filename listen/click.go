package listen

import (
	"math"
	"slices"

	"lapwright/sound/click"
	"lapwright/tune"
)

// Click is what was sounded for the player to play along with: the music, or its beats alone.
type Click struct {
	Rounds []Round
	// Delay is how many seconds after it was sounded something stands in the take: the way out of
	// the device and back in. NaN where it was not measured.
	Delay float64
}

// Round is a stretch of the music that was sounded evenly.
type Round struct {
	At       float64 // when From was sounded, in seconds of the take; Click.Delay comes on top
	From, To float64 // where in the music, in seconds as written
	Speed    float64 // 1 is as written
}

// Against says what lateness is told against.
type Against string

// What lateness is told against.
const (
	AgainstTempo       Against = "tempo"       // the player's own, made steady
	AgainstClick       Against = "click"       // what was sounded to play along with
	AgainstDifferences Against = "differences" // the same, the median taken off: the device's delay is not known
)

// SoundedOnce is a click or music that was sounded once from the tune's start to its end, and is heard
// to begin at so many seconds of the take.
func SoundedOnce(at, speed float64) *Click {
	return &Click{Rounds: []Round{{At: at, To: math.Inf(1), Speed: speed}}}
}

// mostBeats is how far from the click a note may be to be measured against it, in quarters as sounded. Farther
// off it was not played along with it.
const mostBeats = 1.0

// sounded returns when a place of the music was sounded, the time nearest to near; ok is false where it wasn't.
// The delay is not in it.
func (c *Click) sounded(due, near float64) (float64, bool) {
	best, ok := 0.0, false
	for _, r := range c.Rounds {
		if due < r.From-1e-6 || due >= r.To {
			continue
		}
		at := r.At + (due-r.From)/r.Speed
		if !ok || math.Abs(at-near) < math.Abs(best-near) {
			best, ok = at, true
		}
	}
	return best, ok
}

// follower works out how a take follows a click. Where there was none it has no rounds.
type follower struct {
	Click
	s      *score
	time   *timing
	behind []float64 // by anchor, how many seconds after it was sounded the pluck stands in the take; NaN where nothing was
}

func newFollower(c *Click, s *score, t *timing) *follower {
	f := &follower{s: s, time: t, behind: make([]float64, len(t.anchors))}
	if c != nil {
		f.Click = *c
	}
	for i := range f.behind {
		a := &t.anchors[i]
		f.behind[i] = math.NaN()
		if at, ok := f.sounded(a.due, a.at); ok {
			f.behind[i] = a.at - at
		}
	}
	return f
}

// offset returns what is taken off what is behind: the device's delay, or where that isn't known the median.
// ok is false where hardly anything was played along with the click.
func (f *follower) offset() (float64, bool) {
	off := f.Delay
	if math.IsNaN(off) {
		off = median(slices.DeleteFunc(slices.Clone(f.behind), math.IsNaN))
	}
	with := 0
	for i := range f.behind {
		if f.along(i, off) {
			with++
		}
	}
	return off, with >= 4 && 2*with >= len(f.behind)
}

// along reports whether a pluck was played along with the click, less than mostBeats from it; i is its anchor, off what
// offset returns.
func (f *follower) along(i int, off float64) bool {
	a := &f.time.anchors[i]
	at := f.s.wants[f.s.groups[a.group].wants[0]].at
	return math.Abs(f.behind[i]-off) < mostBeats*a.pace*(f.s.perf.Clock.Seconds(at+tune.Whole/4)-f.s.perf.Clock.Seconds(at))
}

// late writes the lateness of every anchor and what it is against.
func (f *follower) late(out *Reviewed) {
	out.Against, out.Delay, out.TakenOff = AgainstTempo, math.NaN(), math.NaN()
	off, follows := f.offset()
	switch {
	case follows && math.IsNaN(f.Delay):
		out.Against, out.TakenOff = AgainstDifferences, off
	case follows:
		out.Against, out.Delay = AgainstClick, off
	}
	for i := range f.time.anchors {
		a := &f.time.anchors[i]
		a.late = math.NaN()
		switch {
		case follows && f.along(i, off):
			a.late = f.behind[i] - off
		case !follows && a.smoothOK:
			a.late = a.at - a.smooth
		}
	}
}

// Clicks that the microphone hears.
const (
	// clickWithin is how near a click an onset may be one, in seconds; clickAround the same where the device's delay
	// is guessed from how late the player is.
	clickWithin = 0.025
	clickAround = 0.06
	// clickOver is after how many seconds a click has died away: a page's and a recording's are over in 50 ms.
	clickOver = 0.055
	// clickRings is how much less than the take's plucks, in the middle, what rings on after a click rises when
	// nothing was plucked with it (TestClicksAreNoNotes).
	clickRings = 0.3
)

// countInBars is how many bars of clicks before a round may be heard.
const countInBars = 2

// times lists when clicks may stand in a take of a performance that is so many seconds long, those that count in
// included; off is the delay.
func (c *Click) times(perf *tune.Performance, off, seconds float64) []float64 {
	lead := click.LeadIn(perf, countInBars)
	const fine = 1e6
	beats := click.Write(perf, click.Options{CountIn: countInBars, Through: true, On: click.Subdivided}, func(at tune.Ticks) int {
		return int(math.Round(fine * (lead + perf.Clock.Seconds(at))))
	})
	var out []float64
	for _, round := range c.Rounds {
		for _, b := range beats {
			at := float64(b.At)/fine - lead
			heard := round.At + (at-round.From)/round.Speed + off
			if at >= round.From-lead && at < round.To && heard >= -clickAround && heard <= seconds+clickAround {
				out = append(out, heard)
			}
		}
	}
	slices.Sort(out)
	return out
}

// passClicks takes out of what was heard the clicks that nothing was plucked with; times says when there may be some.
// What was plucked with one is described by what rings on after it; where the next pluck comes sooner, by what sounds
// until then.
func (t *Take) passClicks(heard []pluckHeard, times []float64, within, a4 float64) []pluckHeard {
	const long, short = clickOver + riseLook, riseGap + riseLook/2
	after, until := t.describer(a4, clickOver, riseLook), t.describer(a4, riseGap, riseLook/2)
	var rises []float64
	alone := make([]bool, len(heard)) // by onset: on a click, and described by what rings on
	for j := range heard {
		h := &heard[j]
		i, _ := slices.BinarySearch(times, h.At-within)
		near := i < len(times) && times[i] < h.At+within
		next := math.Inf(1)
		if j+1 < len(heard) {
			next = heard[j+1].At
		}
		soon := next < h.At+long // before it has rung on
		switch {
		case near && !soon:
			*h = after(h.Onset)
		case near && next > h.At+short:
			*h = until(h.Onset)
		}
		alone[j], h.click = near && !soon, near && soon
		rises = append(rises, h.rose)
	}
	least := clickRings * median(rises)
	kept := heard[:0]
	for j, h := range heard {
		if !alone[j] || h.rose >= least {
			kept = append(kept, h)
		}
	}
	return kept
}
