package tune

import (
	"cmp"
	"math"
	"slices"
)

// swungBeat is a quarter in sounding order whose halves are not of one length.
type swungBeat struct {
	at    Ticks
	first float64 // share of the quarter that its first half lasts
}

// swing swings the eighths of a performance: of the two halves of each quarter the first
// lasts ratio times the second, where ratio is told how many quarters are played a
// minute there. What is shorter than an eighth is stretched and
// pressed with the half that it lies in. A quarter that holds anything but halves and
// quarters of itself, triplets above all, stays even, and so do compound meters and
// those that count no quarters. Beats keep their places.
func (p *Performance) swing(ratio func(perMinute float64) float64) {
	clock := p.Clock
	for _, pass := range p.Passes {
		b := &p.Tune.Bars[pass.BarIndex]
		if !swings(b.Meter) {
			continue
		}
		for at := p.Tune.firstBeat(pass.BarIndex); at+quarter <= b.Len; at += quarter {
			if at < 0 || !b.halved(at) {
				continue
			}
			s, _ := clock.speedAt(pass.Start + at)
			r := ratio(float64(s.PerMinute) / 1000 * float64(s.Beat) / float64(quarter))
			if r > 1 {
				clock.swung = append(clock.swung, swungBeat{pass.Start + at, r / (1 + r)})
			}
		}
	}
}

const quarter = Whole / 4

// swings reports whether a meter counts in quarters, or in halves that hold two.
func swings(m Meter) bool {
	return m.Unit > 0 && m.Unit <= 4
}

// firstBeat returns where in a bar its first whole quarter may begin: at its start,
// or before it where the bar begins inside a quarter.
func (t *Tune) firstBeat(bar int) Ticks { return -(t.Within(bar) % quarter) }

// Within returns how far into a full bar of its meter a bar begins: 0 for most, more
// for a pickup and for the second half of a bar that a repeat parts.
func (t *Tune) Within(bar int) Ticks {
	b := &t.Bars[bar]
	_, from := t.Place(bar, 0)
	if from == 0 && (bar == 0 || b.Number == 0) {
		from = max(0, b.Meter.Len()-b.Len)
	}
	return from
}

// halved reports whether everything that begins in the quarter at a place of a bar
// begins at halves and quarters of it.
func (b *Bar) halved(at Ticks) bool {
	for _, line := range b.Lines {
		for i := range line {
			if e := &line[i]; e.At > at && e.At < at+quarter && (e.At-at)%(quarter/4) != 0 {
				return false
			}
		}
	}
	return true
}

// speedAt returns the speed in force at a place in sounding order, and when it
// begins in seconds.
func (c *Clock) speedAt(at Ticks) (s Speed, start float64) {
	i, found := slices.BinarySearchFunc(c.speeds, at, func(s Speed, at Ticks) int { return cmp.Compare(s.At, at) })
	if !found {
		i = max(i-1, 0)
	}
	return c.speeds[i], c.starts[i]
}

// swungAt returns the swung beat that holds a place, nil for none.
func (c *Clock) swungAt(at Ticks) *swungBeat {
	i, found := slices.BinarySearchFunc(c.swung, at, func(s swungBeat, at Ticks) int { return cmp.Compare(s.at, at) })
	if !found {
		i--
	}
	if i < 0 || at >= c.swung[i].at+quarter {
		return nil
	}
	return &c.swung[i]
}

// Swung returns where a written place lies when it is swung; written is its inverse.
func (c *Clock) Swung(at Ticks) Ticks {
	s := c.swungAt(at)
	if s == nil {
		return at
	}
	return s.at + bent(at-s.at, quarter/2, Ticks(math.Round(s.first*float64(quarter))))
}

func (c *Clock) written(at Ticks) Ticks {
	s := c.swungAt(at)
	if s == nil {
		return at
	}
	return s.at + bent(at-s.at, Ticks(math.Round(s.first*float64(quarter))), quarter/2)
}

// bent moves a place in a quarter so that from comes to lie at to, its two parts
// stretched evenly.
func bent(d, from, to Ticks) Ticks {
	if d <= from {
		return Ticks(math.Round(float64(d) * float64(to) / float64(from)))
	}
	return to + Ticks(math.Round(float64(d-from)*float64(quarter-to)/float64(quarter-from)))
}
