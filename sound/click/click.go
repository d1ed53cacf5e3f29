package click

import (
	"math"

	"lapwright/sound/filter"
)

// Beat is one click: at which sample, and how strong (0 a first beat, 1 any other, 2 a
// lesser one between).
type Beat struct {
	At      int
	Weight  int
	Between bool // of the beats between the strong ones: it clicks on two and four, too
	Part    bool // a part of a beat: it clicks only where beats are subdivided
}

// Clicker sounds beats as a block of wood would: two short tones.
type Clicker struct {
	beats []Beat
	next  int
	live  []Beat
}

// New returns a clicker of beats in order of time.
func New(beats []Beat) *Clicker { return &Clicker{beats: beats} }

// Length is how long a click lasts, in samples: 45 ms.
const Length = 2160

// The tones of the click in Hz and their level as amplitude; a first beat is
// higher and louder so that it is heard as the one (common practice).
var (
	clickHz    = [3]float64{1760, 1320, 1320}
	clickLevel = [3]float64{0.40, 0.28, 0.16}
)

// Add sounds one block from absolute sample n on.
func (c *Clicker) Add(out []float64, n int) {
	for c.next < len(c.beats) && c.beats[c.next].At < n+len(out) {
		c.live = append(c.live, c.beats[c.next])
		c.next++
	}
	keep := c.live[:0]
	for _, b := range c.live {
		lo, hi := max(b.At, n), min(b.At+Length, n+len(out))
		for at := lo; at < hi; at++ {
			out[at-n] += Sample(at-b.At, b.Weight)
		}
		if b.At+Length > n+len(out) {
			keep = append(keep, b)
		}
	}
	c.live = keep
}

// Sample returns sample i of a click of a weight, from −1 to 1.
func Sample(i, weight int) float64 {
	t := float64(i) / filter.Rate
	// 0.5 ms to rise, then −60 dB in 45 ms.
	env := min(1, t/0.0005) * math.Exp(-t*3*math.Ln10/0.045) * min(1, float64(Length-i)/200)
	f := clickHz[weight]
	return clickLevel[weight] * env * (0.75*math.Sin(2*math.Pi*f*t) + 0.25*math.Sin(2*math.Pi*2.71*f*t))
}

// Take has it go on with other beats from sample from of them on, which is sample at of what it sounds.
func (c *Clicker) Take(list []Beat, from, at int) {
	c.beats, c.next = nil, 0
	for _, b := range list {
		if b.At >= from {
			b.At += at - from
			c.beats = append(c.beats, b)
		}
	}
}
