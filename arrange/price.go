package arrange

import (
	"math/bits"

	"lapwright/rig"
	"lapwright/steel"
)

// alone is what a grip costs by itself, term by term.
type alone struct {
	slant, cents, beside, high, thick, open, bender, harmonic, gesture, harmony, habit, lost int32
}

func (a *alone) sum() int32 {
	return a.slant + a.cents + a.beside + a.high + a.thick + a.open + a.bender + a.harmonic + a.gesture + a.harmony + a.habit + a.lost
}

// price sets what a grip costs by itself and how it can be plucked.
func (n *board) price(g *grip, wants []want) {
	g.used = 0
	for i := range wants {
		if g.strs[i] > 0 {
			g.used |= 1 << (g.strs[i] - 1)
		}
	}
	a := n.alone(g, wants)
	g.cost = a.sum()
	g.ways = n.handWays(g.plucked)
}

func (n *board) alone(g *grip, wants []want) alone {
	var a alone
	switch g.Kind {
	case steel.Forward:
		a.slant = costForward
	case steel.Reverse:
		a.slant = costReverse
	case steel.Split:
		a.slant = costSplit
	case steel.Nose:
		a.beside = costNose
	case steel.Straight:
		if g.First > 1 {
			a.beside += costBesideFar
		}
		if int(g.Last) < n.n {
			a.beside += costBesideNear
		}
	}
	if g.Slanted() {
		a.slant += max(g.lean, -g.lean) * costPerLean / 10
		if open := g.used &^ g.touches; open != 0 {
			if open&(1<<(g.First-1)-1) != 0 {
				a.beside += costBesideFar
			}
			if open>>g.Last != 0 {
				a.beside += costBesideNear
			}
		}
	}
	top := int32(0)
	begins := false
	for i := range wants {
		w := &wants[i]
		s, f := g.strs[i], g.frets[i]
		if s > 0 && f > 0 && g.node == 0 {
			a.cents += costPerCent * roundCents(g.cents[s-1])
			top = max(top, int32(f))
		}
		if s > 0 && f == 0 && w.long && g.node == 0 {
			a.open += costOpenLong
		}
		switch {
		case g.acts[i] == gone && w.kind != tied && w.kind != held && w.kind != offered:
			if begins {
				a.lost += costNoteLost
			} else {
				a.lost += costTopLost
			}
		case g.acts[i] == again:
			a.lost += costPluckedAgain
		case g.acts[i] == pluck && w.kind == glided:
			a.lost += costGlideLost
		case g.acts[i] == pluck && w.kind == slurred:
			a.gesture += costSlurPlucked
		case g.acts[i] == glide:
			a.gesture += costGlide
		case g.acts[i] == hammer || g.acts[i] == pull:
			a.gesture += costHammer
		}
		if w.kind == offered {
			a.thick += 2 * costThick * max(0, int32(s)-int32(n.n+1)/2)
		}
		if !begins && s > 0 && w.kind != tied && w.kind != held {
			a.thick = costThick * max(0, int32(s)-n.thin)
			if 2*int(s) > n.n {
				a.thick += costDull * max(0, int32(f)-7)
			}
		}
		if w.kind != tied && w.kind != held {
			begins = true
		}
	}
	if g.touches != 0 && g.used&^g.touches != 0 {
		a.beside += costBesideHigh * max(0, top-3)
	}
	a.harmony, a.habit = g.harmony, g.habit
	a.high = costUp*max(0, top-5) + costHigh*max(0, top-12) + costVeryHigh*max(0, top-19)
	a.bender = costBender * int32(bits.OnesCount16(uint16(g.set)))
	switch {
	case g.palm:
		a.harmonic = costPalm
	case g.node > 0:
		a.harmonic = costHarmonic
	}
	return a
}

func roundCents(c float32) int32 {
	if c < 0 {
		c = -c
	}
	return int32(c + 0.5)
}

// between is what it costs to go from one grip to the next, term by term.
type between struct {
	travel, fast, contrary, lean, lift, bender, ring, cut int32
	mm                                                    int32 // tenths of a millimetre travelled
	rings                                                 ringing
}

func (b *between) sum() int32 {
	return b.travel + b.fast + b.contrary + b.lean + b.lift + b.bender + b.ring + b.cut
}

// step works out what it costs to go from grip a, the bar hand at handA, to
// grip b in moment m, and whether it can be: a note that goes on must keep its
// string and its contact, a glide, hammer-on or pull-off needs its string
// sounding. It leaves the picking hand out.
func (n *board) step(handA int32, a, b *grip, before, m *due) (out between, ok bool) {
	for j := range m.wants {
		w := &m.wants[j]
		if w.from < 0 {
			continue
		}
		sa, sb := a.strs[w.from], b.strs[j]
		fa, fb := a.frets[w.from], b.frets[j]
		switch b.acts[j] {
		case on:
			if sa != sb || fa != fb {
				return out, false
			}
		case gone:
			if (w.kind == held || w.kind == tied) && sa > 0 {
				out.cut += costCutShort
			}
		case glide:
			apart := w.key - before.wants[w.from].key
			if sa != sb || fa != fb && (fa == 0 || fb == 0) || fa == fb && apart == 0 || max(apart, -apart) > m.glides {
				return out, false
			}
		case hammer:
			if sa != sb || fa != 0 {
				return out, false
			}
		case pull:
			if sa != sb || fa == 0 {
				return out, false
			}
		}
	}
	if b.hand >= 0 && b.Kind != steel.Lifted && handA >= 0 {
		out.mm = max(handA-b.hand, b.hand-handA)
		if out.mm > 0 {
			out.travel = out.mm*m.perMM/1000 + m.search*b.aim/1024
			out.fast = max(0, out.mm-m.reach) * costTooFast / 10
			if a.Kind != steel.Lifted && contrary(b.hand-handA, a, b, before, m) {
				out.contrary = costContrary
			}
		}
	}
	if a.Kind != steel.Lifted && b.Kind != steel.Lifted {
		if turn := max(a.lean-b.lean, b.lean-a.lean); turn > 0 {
			out.lean = costLean + turn*costPerDegree/10
		}
		if a.touches != b.touches && !a.Slanted() && !b.Slanted() {
			out.lift = costHop
		}
	}
	if (a.Kind == steel.Lifted) != (b.Kind == steel.Lifted) {
		out.lift = costLift + costLiftHigh*max(0, n.fretOf(max(handA, b.hand))-5)
	}
	if moved := uint16(a.set ^ b.set); moved != 0 {
		for i := moved; i != 0; i &= i - 1 {
			if n.r.Benders[bits.TrailingZeros16(i)].Kind == rig.Palm {
				out.bender += costBenderPalm
			} else {
				out.bender += costBenderMove
			}
		}
	}
	out.rings = n.ring(a, b, before, m)
	out.ring = out.rings.price()
	return out, true
}

// contrary says whether the bar moves against the melody: from one stopped
// highest note to another that begins.
func contrary(moved int32, a, b *grip, before, m *due) bool {
	if len(before.wants) == 0 || a.frets[0] == 0 || b.frets[0] == 0 || m.wants[0].kind == tied || m.wants[0].kind == held {
		return false
	}
	up := int32(m.wants[0].key - before.wants[0].key)
	return up > 0 && moved < 0 || up < 0 && moved > 0
}

// fretOf gives the fret nearest the bar hand, rounded down; 0 for a bar that was
// never laid.
func (n *board) fretOf(hand int32) int32 { return n.frets[min(max(0, int(hand/10)), len(n.frets)-1)] }

// ringing is what becomes of the top note of the moment before.
type ringing uint8

const (
	free    ringing = iota // nothing to be said: it goes on, or it would not be missed
	clashes                // it rings on, a step from the next, and must be damped
	stopped                // it would ring on well with the next, and can't
)

// price gives what it costs.
func (r ringing) price() int32 {
	switch r {
	case clashes:
		return costClash
	case stopped:
		return costRingBroken
	}
	return 0
}

// ring looks at the top note of the moment before and the top note that begins
// now: a note that would ring on well should, and one that would clash must be
// damped.
func (n *board) ring(a, b *grip, before, m *due) ringing {
	if len(before.wants) == 0 || len(m.wants) == 0 {
		return free
	}
	sa, sb := a.strs[0], b.strs[0]
	if sa == 0 || sb == 0 || m.wants[0].kind == tied || m.wants[0].kind == held {
		return free
	}
	apart := m.wants[0].key - before.wants[0].key
	if apart < 0 {
		apart = -apart
	}
	if apart == 0 {
		return free
	}
	rings := sa != sb && a.set == b.set && (a.place == b.place || a.frets[0] == 0 && b.touches>>(sa-1)&1 == 0)
	switch {
	case rings && apart <= 2:
		return clashes
	case !rings && consonant>>(apart%12)&1 == 1:
		return stopped
	}
	return free
}

// consonant has a bit for every interval in semitones that rings well: thirds,
// fourth, fifth, sixths, octave (common practice).
const consonant = 1<<0 | 1<<3 | 1<<4 | 1<<5 | 1<<7 | 1<<8 | 1<<9
