package tune

import (
	"cmp"
	"math"
	"slices"

	"lapwright/inorder"
)

// DefaultPerMinute is the speed of a tune that gives none, in beats a minute
// of its first bar's Meter.Beat (our choice: an easy walking pace).
const DefaultPerMinute = 100

// Speed is a tempo in force from a place in sounding order on.
type Speed struct {
	At        Ticks
	Beat      Ticks // the note that is counted
	PerMinute int64 // how many a minute, in thousandths
}

// Clock tells the time of a tune in seconds, repeats unfolded. A Clock is made
// by NewClock and does not follow later changes of the tune.
type Clock struct {
	speeds []Speed
	starts []float64 // seconds at each speed's At
	length Ticks
	swung  []swungBeat // in order of at; see Performance.swing
}

// NewClock makes the clock of a tune. Tempos hold until the next one in
// sounding order; a tempo of words alone changes nothing.
func NewClock(t *Tune) *Clock { return Perform(t).Clock }

func newClock(t *Tune, passes []Pass) *Clock {
	c := &Clock{speeds: []Speed{t.usualSpeed()}}
	for _, pass := range passes {
		b := &t.Bars[pass.BarIndex]
		tempos := slices.Clone(b.Tempos)
		inorder.Stable(tempos, func(x, y Tempo) int { return cmp.Compare(x.At, y.At) })
		for _, tempo := range tempos {
			if tempo.PerMinute <= 0 || tempo.Beat <= 0 {
				continue
			}
			s := Speed{pass.Start + tempo.At, tempo.Beat, tempo.PerMinute}
			last := &c.speeds[len(c.speeds)-1]
			switch {
			case last.At == s.At:
				*last = s
			case last.Beat != s.Beat || last.PerMinute != s.PerMinute:
				c.speeds = append(c.speeds, s)
			}
		}
		c.length = pass.Start + b.Len
	}
	c.starts = make([]float64, len(c.speeds))
	for i := 1; i < len(c.speeds); i++ {
		c.starts[i] = c.starts[i-1] + c.speeds[i-1].seconds(c.speeds[i].At-c.speeds[i-1].At)
	}
	return c
}

// usualSpeed is the speed of a tune that gives none.
func (t *Tune) usualSpeed() Speed {
	first := Speed{Beat: Whole / 4, PerMinute: DefaultPerMinute * 1000}
	if len(t.Bars) > 0 && t.Bars[0].Meter.Unit > 0 {
		first.Beat = t.Bars[0].Meter.Beat()
	}
	return first
}

// FirstSpeed returns the speed at which a tune begins: that of its first bar, else the
// usual one.
func (t *Tune) FirstSpeed() Speed {
	s := t.usualSpeed()
	if len(t.Bars) > 0 {
		for _, x := range t.Bars[0].Tempos {
			if x.At == 0 && x.PerMinute > 0 && x.Beat > 0 {
				s.Beat, s.PerMinute = x.Beat, x.PerMinute
			}
		}
	}
	return s
}

// add goes on with a stretch of another clock.
func (c *Clock) add(of *Clock, from, to Ticks, tempo float64) {
	for i, s := range of.speeds {
		if s.At >= to && i > 0 || i+1 < len(of.speeds) && of.speeds[i+1].At <= from {
			continue
		}
		s.At = c.length + max(0, s.At-from)
		if tempo > 0 && tempo != 1 {
			s.PerMinute = max(1, int64(math.Round(float64(s.PerMinute)*tempo)))
		}
		start := 0.0
		if n := len(c.speeds); n > 0 {
			start = c.starts[n-1] + c.speeds[n-1].seconds(s.At-c.speeds[n-1].At)
		}
		c.speeds, c.starts = append(c.speeds, s), append(c.starts, start)
	}
	for _, b := range of.swung {
		if b.at >= from && b.at+quarter <= to {
			c.swung = append(c.swung, swungBeat{c.length + b.at - from, b.first})
		}
	}
	c.length += to - from
}

// seconds returns how long a stretch of time lasts at the speed.
func (s Speed) seconds(d Ticks) float64 {
	return float64(d) / float64(s.Beat) * 60_000 / float64(s.PerMinute)
}

// Speeds returns the tempos in sounding order; the first is at 0.
func (c *Clock) Speeds() []Speed { return slices.Clone(c.speeds) }

// Len returns the length of the piece, repeats unfolded.
func (c *Clock) Len() Ticks { return c.length }

// Seconds returns the time in seconds of a place in sounding order. Before the
// start and past the end the first and last tempo are carried on.
func (c *Clock) Seconds(at Ticks) float64 { return c.even(c.Swung(at)) }

// even is Seconds with no eighth swung.
func (c *Clock) even(at Ticks) float64 {
	s, start := c.speedAt(at)
	return start + s.seconds(at-s.At)
}

// At is the inverse of Seconds, to the nearest tick.
func (c *Clock) At(seconds float64) Ticks {
	i, found := slices.BinarySearch(c.starts, seconds)
	if !found {
		i = max(i-1, 0)
	}
	s := c.speeds[i]
	beats := (seconds - c.starts[i]) * float64(s.PerMinute) / 60_000
	ticks := beats * float64(s.Beat)
	if ticks < 0 {
		return s.At + Ticks(ticks-0.5)
	}
	return c.written(s.At + Ticks(ticks+0.5))
}
