package sound

import (
	"math"

	"lapwright/tab"
	"lapwright/tune"
)

// stroking is how one string is struck: what a hand that plays softer or louder changes together.
// The force at the string goes by strength, from 0, as soft as sounds, over UsualStrength, an ordinary stroke, to 1.
type stroking struct {
	level float64 // against an ordinary stroke
	edge  float64 // how long the pick takes to slip off, against the same
	snap  float64 // how strong the click is against the string's swinging
	place float64 // how far from the bridge, against the usual place
}

// UsualStrength is that of an ordinary stroke.
const UsualStrength = 0.5

// What strength does: ours, set so that the centre of gravity of a loud note lies at least 1.3 times as high
// as a soft one's (TestStrengthChangesTheTone); that players who want more strike faster, harder and nearer
// the bridge is common practice, no source.
const (
	strengthRange = 20.0 // dB from 0 to 1
	edgeRange     = 2.0  // octaves that the edge gets shorter
	snapRange     = 10.0 // dB that the click grows more than the string
	placeRange    = 0.5  // of the usual distance that the hand goes nearer the bridge
)

func strokingOf(strength float64) stroking {
	x := strength - UsualStrength
	return stroking{
		level: amplitude(strengthRange * x), edge: math.Exp2(-edgeRange * x),
		snap: amplitude(snapRange * x), place: 1 - placeRange*x,
	}
}

// accents are what is added to the strength: where the stroke stands in its bar, and what is written over it.
// An accent is 2.6 dB, a strong one 4 dB, a grace note 2 dB less.
const (
	accentStrength       = 0.13
	strongAccentStrength = 0.20
	graceStrength        = -0.10
	firstBeatStrength    = 0.04
	laterBeatStrength    = 0.015 // a beat that begins a group, or the middle of a bar of four
	offbeatStrength      = -0.02
)

// meterStrength says how much stronger a stroke is played at a place in its bar.
func meterStrength(m tune.Meter, at tune.Ticks) float64 {
	beat := m.Beat()
	switch {
	case at == 0:
		return firstBeatStrength
	case beat <= 0 || m.Beats == 0:
		return 0
	case len(m.Groups) > 0:
		unit, sum := tune.Whole/tune.Ticks(max(m.Unit, 1)), tune.Ticks(0)
		for _, g := range m.Groups {
			if sum += tune.Ticks(g) * unit; sum == at {
				return laterBeatStrength
			}
		}
		if at%unit != 0 {
			return offbeatStrength
		}
	case at%beat != 0:
		return offbeatStrength
	case m.Len()/beat == 4 && at == 2*beat:
		return laterBeatStrength
	}
	return 0
}

// drift is the hand that is never twice the same: what it does wanders slowly from stroke to stroke,
// each stroke a little off besides.
type drift struct {
	noise noise
	now   [5]float64
}

// off is by how much one stroke is off.
type off struct {
	strength    float64 // more
	place, edge float64 // times
	lean        float64 // times as much of it goes along the top
	cents       float64 // the steel lies higher
}

const (
	driftKeep   = 0.85 // of where it was, each stroke: it forgets in some six strokes; ours
	driftBefore = 20   // strokes that nobody hears: four parts in a hundred of its place are left of where it began
	// How far it goes, as standard deviations, wandering and stroke by stroke alike; twice that at most. Ours, so that repeats differ as
	// TestRepeatsDiffer says, no note jumps out, and the steel lies where it should to a third of a cent on the average.
	driftStrength = 0.012
	driftPlace    = 0.12
	driftEdge     = 0.2
	driftLean     = 0.35
	driftCents    = 0.42
	// The ear corrects the steel, so it never lies farther off than this: what the body does to a pitch comes on top.
	maxCents = 0.6
)

// newDrift returns a hand that has been playing: it begins as far off as it will be later on.
func newDrift(seed noise) drift {
	d := drift{noise: seed}
	for range driftBefore {
		d.next()
	}
	return d
}

// next returns by how much the next stroke is off.
func (d *drift) next() off {
	const spread = 0.577 // standard deviation of the even noise
	var x [5]float64
	for k := range d.now {
		d.now[k] = driftKeep*d.now[k] + math.Sqrt(1-driftKeep*driftKeep)*d.noise.next()/spread
		x[k] = max(-2, min(2, (d.now[k]+d.noise.next()/spread)/math.Sqrt2))
	}
	return off{driftStrength * x[0], 1 + driftPlace*x[1], 1 + driftEdge*x[2], 1 + driftLean*x[3], max(-maxCents, min(maxCents, driftCents*x[4]))}
}

// unevenness is how far level and place of a stroke in a band are off, each way, drawn anew for each.
const unevenness = 0.06

// strengthOf returns how strongly a stroke is played, the hand's drift left out.
func strengthOf(w *scribe, si *sitting, p *tab.Pluck) float64 {
	out := w.o.strength()
	if e := w.event(p.Ref); e != nil {
		for _, m := range e.Marks {
			switch m {
			case tune.Accent:
				out += accentStrength
			case tune.StrongAccent:
				out += strongAccentStrength
			}
		}
	}
	if si.stroke.Grace {
		return out + graceStrength
	}
	return out + meterStrength(w.t.Tune.Bars[si.stroke.BarIndex].Meter, si.stroke.At)
}
