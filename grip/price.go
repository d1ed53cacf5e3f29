package grip

import (
	"math"
	"math/bits"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// Alone is what a grip costs by itself, term by term.
type Alone struct {
	Slant, Cents, Beside, High, Thick, Open, Bender, Harmonic, Gesture, Harmony, Habit, Lost int32
}

func (a *Alone) sum() int32 {
	return a.Slant + a.Cents + a.Beside + a.High + a.Thick + a.Open + a.Bender + a.Harmonic + a.Gesture + a.Harmony + a.Habit + a.Lost
}

// price sets what a grip costs by itself and how it can be plucked.
func (n *Neck) price(g *Grip, wants []Note) {
	g.Used = 0
	for i := range wants {
		if g.Strings[i] > 0 {
			g.Used |= 1 << (g.Strings[i] - 1)
		}
	}
	a := n.Alone(g, wants)
	g.Cost = a.sum()
	g.Hands = n.HandWays(g.plucked)
}

// Alone returns what a grip costs by itself, the picking fingers left out.
// Wants are the notes of its moment, the highest first.
func (n *Neck) Alone(g *Grip, wants []Note) Alone {
	a := Alone{Harmony: g.harmony, Habit: g.Habit, Bender: n.prices.Bender * int32(bits.OnesCount16(uint16(g.Benders)))}
	n.lying(&a, g)
	top := int32(0) // the highest fret stopped
	begins := false // a note that begins here has come
	for i := range wants {
		w := &wants[i]
		s, f := g.Strings[i], g.Frets[i]
		if f > 0 && g.Node == 0 {
			a.Cents += n.prices.PerCent * WholeCents(g.Cents[s-1])
			top = max(top, int32(f))
		}
		if s > 0 && f == 0 && g.Node == 0 && g.Acts[i] != On {
			a.Open += n.openCost
		}
		if s > 0 && f == 0 && w.Long && g.Node == 0 && n.Limits.Vibrato > 0 {
			if w.Slow {
				a.Open += n.prices.OpenSlow
			} else {
				a.Open += n.prices.OpenLong
			}
		}
		a.come(n.prices, g.Acts[i], w, begins)
		switch {
		case g.Acts[i] == Hammer || g.Acts[i] == Pull:
			a.Gesture += n.hammerCost
		case g.Acts[i] == Glide && w.Kind != Glided:
			a.Gesture += n.slideCost
		}
		if w.Kind == Offered {
			a.Thick += 2 * n.prices.Thick * max(0, int32(s)-int32(n.Strings+1)/2)
		}
		if !begins && w.Kind != Tied && w.Kind != Held {
			a.Thick = n.prices.ThickPrice(int(s), int(n.thin), n.Strings, int(f))
		}
		if w.Kind != Tied && w.Kind != Held {
			begins = true
		}
	}
	if g.Touches != 0 && g.Used&^g.Touches != 0 {
		a.Beside += n.prices.BesideHigh * max(0, top-3)
	}
	a.High = n.prices.HighPrice(int(top))
	switch {
	case g.Palm:
		a.Harmonic = n.prices.Palm
	case g.Node > 0:
		a.Harmonic = n.prices.Harmonic
	}
	return a
}

// lying adds what the way costs in which the steel lies.
func (n *Neck) lying(a *Alone, g *Grip) {
	switch g.Kind {
	case steel.Forward:
		a.Slant = n.prices.Forward
	case steel.Reverse:
		a.Slant = n.prices.Reverse
	case steel.Split:
		a.Slant = n.prices.Split
	case steel.Nose:
		a.Beside = n.prices.Nose
	case steel.Straight:
		if g.First > 1 {
			a.Beside += n.prices.BesideFar
		}
		if int(g.Last) < n.Strings {
			a.Beside += n.prices.BesideNear
		}
	}
	if !g.Slanted() {
		return
	}
	a.Slant += n.slantCost + max(g.Lean, -g.Lean)*n.prices.PerLean/10
	open := g.Used &^ g.Touches
	if open&(1<<(g.First-1)-1) != 0 {
		a.Beside += n.prices.BesideFar
	}
	if open>>g.Last != 0 {
		a.Beside += n.prices.BesideNear
	}
}

// come adds what it costs how a note comes about, or that it doesn't. Another
// note that begins may have come before it.
func (a *Alone) come(p *Prices, act Act, w *Note, another bool) {
	kind := w.Kind
	switch {
	case act == Gone && (kind == Tied || kind == Held || kind == Offered):
	case act == Gone && another:
		a.Lost += p.NoteLost
	case act == Gone:
		a.Lost += p.TopLost
	case act == Again:
		a.Lost += p.PluckedAgain
	case act == Pluck && kind == Glided:
		a.Lost += p.GlideLost
	case act == Pluck && kind == Slurred:
		a.Gesture += p.SlurPlucked
	case act == Pluck && kind == Graced:
		a.Gesture += p.GracePlucked
	case kind == Stepped && act != Pluck && w.Beat:
		a.Gesture += p.JoinBeat
	case kind == Stepped && act != Pluck && w.Slow:
		a.Gesture += p.JoinSlow
	case kind == Stepped && act != Pluck:
		a.Gesture += p.Join
	case act == Glide:
		a.Gesture += p.Glide
	case act == Hammer || act == Pull:
		a.Gesture += p.Hammer
	}
}

// HighPrice returns what it costs that the highest fret stopped is so high.
func (p *Prices) HighPrice(fret int) int32 {
	f := int32(fret)
	return p.Up*max(0, f-5) + p.High*max(0, f-12) + p.VeryHigh*max(0, f-19)
}

// ThickPrice returns what a melody note costs for its string, where thin is the
// last one that suits a melody and strings how many there are.
func (p *Prices) ThickPrice(str, thin, strings, fret int) int32 {
	cost := p.Thick * int32(max(0, str-thin))
	if 2*str > strings {
		cost += p.Dull * int32(max(0, fret-7))
	}
	return cost
}

// SkipPrice returns what it costs to go from one string to another.
func (p *Prices) SkipPrice(a, b int) int32 { return p.Skip * int32(max(0, max(a-b, b-a)-2)) }

// LiftPrice returns what it costs to lift the steel at a fret, or to lay it there.
func (p *Prices) LiftPrice(fret int32) int32 { return p.Lift + p.LiftHigh*max(0, fret-3) }

// WholeCents returns how far off a string is, to the nearest cent and without
// its sign: what is priced and told.
func WholeCents(c float32) int32 {
	return int32(max(c, -c) + 0.5)
}

// Between is what it costs to go from one grip to the next, term by term.
type Between struct {
	Travel, Fast, Contrary, Lean, Lift, Bender, Ring, Cut, Again int32
	Travelled                                                    int32 // tenths of a millimetre travelled
	Rings                                                        Ringing
}

func (b *Between) Sum() int32 {
	return b.Travel + b.Fast + b.Contrary + b.Lean + b.Lift + b.Bender + b.Ring + b.Cut + b.Again
}

// Leads reports whether every note of grip b that goes on has the string that it
// sounds on in grip a, which Step asks first: most pairs that can't be fail there.
func (m *Due) Leads(a, b *Grip) bool {
	if b.Run > 0 && b.Run != a.Run+1 {
		return false
	}
	for j := range m.Wants {
		if from := m.Wants[j].From; from >= 0 && a.Strings[from] != b.Strings[j] && b.Acts[j].RingsOn() {
			return false
		}
	}
	return true
}

// RingsFrom returns the first note of the moment before that goes on in grip b, by
// its index in that moment's wants, and its string: what Leads asks of the grip before.
// ok is false where none goes on.
func (m *Due) RingsFrom(b *Grip) (from, str int8, ok bool) {
	for j := range m.Wants {
		if from := m.Wants[j].From; from >= 0 && b.Acts[j].RingsOn() {
			return from, b.Strings[j], true
		}
	}
	return 0, 0, false
}

// Step works out what it costs to go from grip a, the bar hand at handA, to
// grip b in moment m, and whether it can be: a note that goes on must keep its
// string and its contact, as near as tab.SameStop asks (two slants may each be a
// little off, to either side), a glide, hammer-on or pull-off needs its string
// sounding. It leaves the picking hand out.
func (n *Neck) Step(handA int32, a, b *Grip, before, m *Due) (out Between, ok bool) {
	if !m.Leads(a, b) {
		return out, false
	}
	for j := range m.Wants {
		w := &m.Wants[j]
		if w.From < 0 {
			continue
		}
		sa, sb := a.Strings[w.From], b.Strings[j]
		fa, fb := a.Frets[w.From], b.Frets[j]
		if w.Kind == Stepped && b.Acts[j] != Pluck && b.Acts[j] != Gone && a.Used&(a.Used-1) != 0 {
			return out, false // what rings beside it would be dragged along
		}
		switch b.Acts[j] {
		case On:
			if fa != fb || !sameStop(a.Cents[sb-1], b.Cents[sb-1]) {
				return out, false
			}
		case Gone:
			if (w.Kind == Held || w.Kind == Tied) && sa > 0 {
				out.Cut += n.prices.CutShort
			}
		case Glide:
			apart := w.Key - before.Wants[w.From].Key
			if a.Node > 0 && w.Kind != Glided {
				return out, false
			}
			most := m.glides
			if w.Kind == Graced {
				most = max(most, WidestJoin)
			}
			if fa != fb && (fa == 0 || fb == 0) || fa == fb && apart == 0 || max(apart, -apart) > most {
				return out, false
			}
		case Pluck:
			if w.Kind == Stepped && sa == sb {
				out.Again += m.again
			}
		case Hammer:
			if fa != 0 || a.Node > 0 || !m.Hammer && w.Kind != Graced {
				return out, false
			}
		case Pull:
			if fa == 0 || a.Node > 0 || !m.Hammer && w.Kind != Graced {
				return out, false
			}
		}
	}
	if b.Hand >= 0 && handA >= 0 { // the steel is laid, and was before
		out.Travelled = max(handA-b.Hand, b.Hand-handA)
		if out.Travelled > 0 {
			out.Travel = out.Travelled*m.perMM/1000 + m.Leave*b.aim/1024
			out.Fast = max(0, out.Travelled-m.reach) * n.prices.TooFast / 10
			if a.Kind != steel.Lifted && contrary(b.Hand-handA, a, b, before, m) {
				out.Contrary = n.prices.Contrary + n.prices.ContraryFar*max(0, int32(abs8(b.Frets[0]-a.Frets[0]))-2)
			}
		}
	}
	if a.Kind != steel.Lifted && b.Kind != steel.Lifted {
		if turn := max(a.Lean-b.Lean, b.Lean-a.Lean); turn > 0 {
			out.Lean = n.prices.Lean + turn*n.prices.PerDegree/10
		}
		if a.Touches != b.Touches && !a.Slanted() && !b.Slanted() {
			out.Lift = n.prices.Hop
		}
	}
	if (a.Kind == steel.Lifted) != (b.Kind == steel.Lifted) {
		out.Lift = n.prices.LiftPrice(n.fretOf(max(handA, b.Hand)))
	}
	if a.Benders != b.Benders {
		out.Bender = n.engaging(a.Benders ^ b.Benders)
	}
	out.Rings = n.Ring(a, b, before, m)
	out.Ring = n.prices.ringing(out.Rings)
	return out, true
}

// sameStop reports whether a string that is a and b cents off one fret is stopped at
// one place, as tab.SameStop has it, rounding left out.
func sameStop(a, b float32) bool {
	return math.Abs(float64(a)-float64(b)) <= tab.CentsAllowed-CentsSlack
}

// engaging returns what it costs to take up or let go of some benders.
func (n *Neck) engaging(moved rig.BenderSet) int32 {
	cost := int32(0)
	for i := uint16(moved); i != 0; i &= i - 1 {
		if n.Rig.Benders[bits.TrailingZeros16(i)].Kind == rig.Palm {
			cost += n.prices.BenderPalm
		} else {
			cost += n.prices.BenderMove
		}
	}
	return cost
}

// contrary reports whether the steel moves against the melody: from one stopped
// highest note to another that begins.
func contrary(moved int32, a, b *Grip, before, m *Due) bool {
	if len(before.Wants) == 0 || a.Frets[0] == 0 || b.Frets[0] == 0 || m.Wants[0].Kind == Tied || m.Wants[0].Kind == Held {
		return false
	}
	up := int32(m.Wants[0].Key - before.Wants[0].Key)
	return up > 0 && moved < 0 || up < 0 && moved > 0
}

// fretOf returns the fret nearest the bar hand, rounded down; 0 for a steel that was
// never laid, the hand of which is at −1.
func (n *Neck) fretOf(hand int32) int32 { return n.frets[hand/10] }

// Ringing is what becomes of the top note of the moment before.
type Ringing uint8

const (
	RingsFree   Ringing = iota // nothing to be said: it goes on, or it would not be missed
	RingsClash                 // it rings on, a step from the next, and must be damped
	RingsBroken                // it would ring on well with the next, and can't
)

// price returns what it costs.
func (p *Prices) ringing(r Ringing) int32 {
	switch r {
	case RingsClash:
		return p.Clash
	case RingsBroken:
		return p.RingBroken
	}
	return 0
}

// Ring looks at the top note of the moment before and the top note that begins
// now: a note that would ring on well should, and one that would clash must be
// damped.
func (n *Neck) Ring(a, b *Grip, before, m *Due) Ringing {
	if len(before.Wants) == 0 || len(m.Wants) == 0 {
		return RingsFree
	}
	sa, sb := a.Strings[0], b.Strings[0]
	if sa == 0 || sb == 0 || m.Wants[0].Kind == Tied || m.Wants[0].Kind == Held {
		return RingsFree
	}
	up := m.Wants[0].Key - before.Wants[0].Key
	apart := max(up, -up)
	if apart == 0 {
		return RingsFree
	}
	rings := sa != sb && a.Benders == b.Benders && (a.Place == b.Place || a.Frets[0] == 0 && b.Touches>>(sa-1)&1 == 0)
	switch {
	case rings && apart <= 2:
		return RingsClash
	case !rings && Consonant(int(apart)):
		return RingsBroken
	}
	return RingsFree
}

// Consonant reports whether two notes so many semitones apart ring well together:
// thirds, fourth, fifth, sixths, octave (common practice).
func Consonant(semitones int) bool { return consonant>>pitch.Mod(semitones, 12)&1 == 1 }

const consonant = 1<<0 | 1<<3 | 1<<4 | 1<<5 | 1<<7 | 1<<8 | 1<<9
