package band

import (
	"cmp"
	"math"

	"lapwright/feel"
	"lapwright/inorder"
	"lapwright/sound"
	"lapwright/sound/filter"
)

// hit is one stroke of brush or shaker.
type hit struct {
	at       int // sample
	sign     feel.Sign
	strength float64
	level    float64 // that the strength comes to
}

// brush sounds a brush on a drum's head and a shaker, from noise alone. A tap is a burst that dies at once, over a head that
// answers dully; a sweep swells and falls; a shaker is grains that hit its wall by chance, fewer as the shake's energy
// dies, each a small burst through the shell's resonance (after P. R. Cook, Physically informed sonic modeling, Computer
// Music Journal 21(3), 1997, 38, from memory; all figures are ours).
type brush struct {
	hits []hit
	next int
	live []hit
	at   int
	idle int // samples since a stroke was under way

	noise, grain uint64
	energy       float64 // of the shake
	level        float64 // of the grains that still sound
	head         filter.Resonance
	tap, sweep   [2]filter.Biquad
	shell        [2]filter.Resonance
}

// The figures of brush and shaker, in seconds, Hz and amplitude.
const (
	tapRises, tapFalls = 0.0015, 0.022 // to 1/e
	tapLasts           = 0.16
	sweepLasts         = 0.19
	sweepTop           = 0.42 // of its length, where it is loudest
	shakeLasts         = 0.055
	shakeFalls         = 0.030
	grainFalls         = 0.0012
	grains             = 1600.0 // a second, on the average, while the energy is 1
	headHz, headQ      = 185.0, 5.0
	tapLevel           = 0.30
	headLevel          = 0.9
	sweepLevel         = 0.22
	shakeLevel         = 0.18
	strengthDecibels   = 16.0 // from soft to loud
)

func newBrush(seed uint64) *brush {
	s := seed*0x9e3779b97f4a7c15 + 0x632be59b
	b := &brush{noise: s | 1, grain: s ^ 0xd1342543de82ef95 | 1}
	b.still()
	return b
}

// random returns a value between −1 and 1 (xorshift; G. Marsaglia, Journal of Statistical Software 8(14), 2003).
func random(x *uint64) float64 {
	*x ^= *x << 13
	*x ^= *x >> 7
	*x ^= *x << 17
	return float64(int64(*x)) / (1 << 63)
}

// play has it play hits as from sample from of them on, which is its own sample now.
func (b *brush) play(hits []hit, from, now int) {
	b.hits, b.next, b.at = nil, 0, now
	for _, h := range hits {
		if h.at >= from {
			h.at += now - from
			h.level = math.Pow(10, strengthDecibels*(h.strength-sound.UsualStrength)/20)
			b.hits = append(b.hits, h)
		}
	}
	inorder.Stable(b.hits, func(p, q hit) int { return cmp.Compare(p.at, q.at) })
}

// lasts returns for how many samples a hit is under way.
func (h *hit) lasts() int {
	switch h.sign {
	case feel.Tap:
		return int(tapLasts * sound.Rate)
	case feel.Sweep:
		return int(sweepLasts * sound.Rate)
	}
	return int(shakeLasts * sound.Rate)
}

// add adds the next samples, so much of them to each side.
func (b *brush) add(left, right []float64, toLeft, toRight float64) {
	for i := range left {
		v := b.step()
		left[i] += toLeft * v
		right[i] += toRight * v
	}
}

func (b *brush) step() float64 {
	for b.next < len(b.hits) && b.hits[b.next].at <= b.at {
		b.live = append(b.live, b.hits[b.next])
		b.next++
	}
	tap, sweep, thud, shake := 0.0, 0.0, 0.0, 0.0
	keep := b.live[:0]
	for _, h := range b.live {
		age := b.at - h.at
		if age >= h.lasts() {
			continue
		}
		keep = append(keep, h)
		t := float64(age) / sound.Rate
		switch h.sign {
		case feel.Tap:
			tap += h.level * min(1, t/tapRises) * math.Exp(-t/tapFalls)
			if t < 0.004 {
				thud += h.level * math.Sin(math.Pi*t/0.004)
			}
		case feel.Sweep:
			sweep += h.level * swell(t/sweepLasts)
		default:
			shake += h.level * math.Sin(math.Pi*t/shakeLasts)
		}
	}
	b.live = keep
	b.at++
	if b.idle++; len(b.live) > 0 {
		b.idle = 0
	}
	if b.idle >= idleSamples {
		if b.idle == idleSamples {
			b.still()
		}
		return 0
	}
	w := random(&b.noise)
	out := headLevel * b.head.Next(thud+awake*w)
	out += tapLevel*b.tap[1].Next(b.tap[0].Next(w*(tap+awake))) + sweepLevel*b.sweep[1].Next(b.sweep[0].Next(w*(sweep+awake)))
	return out + shakeLevel*b.shaker(shake, awake*w)
}

// idleSamples is after how long without a stroke nothing sounds any more, and awake a level that nobody hears, at which filters
// do not come to numbers so small that they are slow to reckon with.
const (
	idleSamples = sound.Rate / 2
	awake       = 1e-9
)

// still lets all that rings be silent.
func (b *brush) still() {
	b.energy, b.level = 0, 0
	b.head = filter.NewResonance(headHz, headQ)
	b.tap = [2]filter.Biquad{filter.HighPass(900, 0.6), filter.LowPass(7500, 0.6)}
	b.sweep = [2]filter.Biquad{filter.HighPass(1600, 0.6), filter.LowPass(9000, 0.6)}
	b.shell = [2]filter.Resonance{filter.NewResonance(3800, 3), filter.NewResonance(6900, 3)}
}

// swell goes from 0 up to 1 and down again while u goes from 0 to 1.
func swell(u float64) float64 {
	if u < sweepTop {
		return 0.5 - 0.5*math.Cos(math.Pi*u/sweepTop)
	}
	return 0.5 + 0.5*math.Cos(math.Pi*(u-sweepTop)/(1-sweepTop))
}

var (
	shakeKeep = math.Exp(-1 / (shakeFalls * sound.Rate))
	grainKeep = math.Exp(-1 / (grainFalls * sound.Rate))
)

// shaker sounds the grains while the hand gives them energy.
func (b *brush) shaker(hand, floor float64) float64 {
	b.energy = max(b.energy*shakeKeep, hand)
	if b.energy < 1e-4 && b.level < 1e-6 {
		b.energy, b.level = 0, 0
		return b.shell[0].Next(floor) + 0.7*b.shell[1].Next(floor)
	}
	if 0.5+0.5*random(&b.grain) < grains*b.energy/sound.Rate {
		b.level += b.energy
	}
	b.level *= grainKeep
	x := b.level * random(&b.grain)
	return b.shell[0].Next(x) + 0.7*b.shell[1].Next(x)
}
