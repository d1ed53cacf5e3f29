package sound

import (
	"math"

	"lapwright/sound/loss"
)

// beat is one click: when, and how strong (0 a first beat, 1 any other, 2 a
// lesser one between).
type beat struct {
	at     int
	weight int
}

// click sounds beats as a block of wood would: two short tones.
type click struct {
	beats []beat
	next  int
	live  []beat
}

// clickLength is how long a click lasts, in samples: 45 ms.
const clickLength = 2160

// The tones of the click in Hz and their level as amplitude; a first beat is
// higher and louder so that it is heard as the one (common practice).
var (
	clickHz    = [3]float64{1760, 1320, 1320}
	clickLevel = [3]float64{0.40, 0.28, 0.16}
)

// add sounds one block from absolute sample n on.
func (c *click) add(out []float64, n int) {
	for c.next < len(c.beats) && c.beats[c.next].at < n+len(out) {
		c.live = append(c.live, c.beats[c.next])
		c.next++
	}
	keep := c.live[:0]
	for _, b := range c.live {
		lo, hi := max(b.at, n), min(b.at+clickLength, n+len(out))
		for at := lo; at < hi; at++ {
			out[at-n] += clickSample(at-b.at, b.weight)
		}
		if b.at+clickLength > n+len(out) {
			keep = append(keep, b)
		}
	}
	c.live = keep
}

func clickSample(i, weight int) float64 {
	t := float64(i) / Rate
	// 0.5 ms to rise, then −60 dB in 45 ms.
	env := min(1, t/0.0005) * math.Exp(-t*loss.Ln1000/0.045) * min(1, float64(clickLength-i)/200)
	f := clickHz[weight]
	return clickLevel[weight] * env * (0.75*math.Sin(2*math.Pi*f*t) + 0.25*math.Sin(2*math.Pi*2.71*f*t))
}
