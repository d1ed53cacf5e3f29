package sound

import (
	"math"

	"lapwright/sound/filter"
)

// burst is what a stroke makes besides the string's swinging, and what gives it
// its snap: the pick's click, and the string ringing lengthways. It reaches
// the bridge at once and does not go round in the string, so it is over in some
// hundredths of a second and has no pitch that the steel could change. Recorded strings have
// about a third of what lies above 2 kHz in the first 40 ms in it, most of it between 4 and 8 kHz (TestStrokesAgainstRecorded).
type burst struct {
	left  int // samples to go
	age   int
	level float64
	fall  float64 // the click's height now
	low   float64
	rails [2]filter.Resonance
}

const (
	burstLength = 5760  // samples: 120 ms
	burstFall   = 0.018 // s in which the click falls to 1/e: ours, by measurement
	// railWidth is how wide the resonances lengthways are, in Hz: a pole radius of 0.99 at
	// 48 kHz (J. Pakarinen et al., Computer Music Journal 32(3), 2008, as read in public code).
	railWidth = 154.0
)

func newBurst(rails [2]float64) burst {
	b := burst{}
	for k, hz := range rails {
		hz = min(hz, 15000)
		b.rails[k] = filter.NewResonance(hz, max(2, hz/railWidth))
	}
	return b
}

// start begins one with a stroke.
func (b *burst) start(a action) {
	b.left, b.age, b.level, b.fall = burstLength, 0, a.snap*a.level*min(1.5, 5/a.width), 1
}

// next gives its force on the bridge.
func (b *burst) next(r *noise) float64 {
	b.left--
	b.age++
	w := r.next()
	b.low += 0.5 * (w - b.low) // what lies above 5 kHz is the click
	w = (w - b.low) * b.fall * min(1, float64(b.age)/48)
	b.fall *= burstKeep
	if b.left < 480 {
		w *= float64(b.left) / 480
	}
	w *= b.level
	return 1.8*w + 2*b.rails[0].Next(w) + 1.4*b.rails[1].Next(w)
}

var burstKeep = math.Exp(-1 / (burstFall * Rate))
