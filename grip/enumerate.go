package grip

import (
	"math"
	"math/bits"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// Act is what happens to a wanted note in a grip.
type Act uint8

const (
	Gone   Act = iota // not played, or let go early
	Pluck             // begun by the picking hand
	On                // goes on, untouched
	Again             // a tied note plucked again
	Glide             // reached by the steel or a bender under the ringing string
	Hammer            // the steel comes down on the ringing open string
	Pull              // the steel leaves the ringing string
)

// RingsOn reports whether a note comes about on a string that sounds already.
func (a Act) RingsOn() bool { return a == On || a == Glide || a == Hammer || a == Pull }

// Grip is one way to sound the wanted notes of a moment.
type Grip struct {
	*Place
	Benders rig.BenderSet
	Node    int8 // the harmonic's number, 0 for none
	Palm    bool // a palm harmonic
	Strings [MaxNotes]int8
	Frets   [MaxNotes]int8 // wanted fret of each note, 0 for open
	Acts    [MaxNotes]Act
	Used    uint16 // strings in use, bit s−1
	plucked uint16
	// Run counts the notes running, this one among them, that the player joins and
	// no slur asks for; at most MostJoins.
	Run     int8
	harmony int32 // the part of cost that is for the harmony chosen
	Habit   int32 // and for leaving the way that a tab was played on another rig
	Cost    int32 // what it costs by itself
	Hands   []int32
}

// Grips returns all grips for the wanted notes. Notes that begin are given up
// only as far as no grip has them all: with d the fewest that must be given up,
// every choice of d is tried. Notes that go on may be let go at any time, since
// what was played before may leave nothing else. Harmonics serve single notes
// that nothing else reaches.
func (n *Neck) Grips(m *Due) []Grip {
	wants := m.Wants
	n.key = n.key[:0]
	for _, w := range wants {
		flags := byte(0)
		for i, is := range [...]bool{w.Long, w.Slow, w.Beat} {
			if is {
				flags |= 1 << i
			}
		}
		n.key = append(n.key, byte(w.Key), byte(w.Key>>8), byte(w.Kind), flags)
	}
	for _, o := range m.Offers {
		n.key = append(n.key, byte(o.Notes), byte(o.Notes>>8), byte(o.Cost), byte(o.Cost>>8))
	}
	n.key = append(n.key, byte(m.Single), byte(m.Single>>8))
	if out, ok := n.cache[string(n.key)]; ok {
		return out
	}
	var begun, going []int
	for i := range wants {
		switch wants[i].Kind {
		case Tied, Held:
			going = append(going, i)
		case Offered:
		default:
			begun = append(begun, i)
		}
	}
	e := &enumerator{n: n, wants: wants, harmony: m.Single}
	for d := 0; len(e.out) == 0; d++ {
		for lose := range uint(1) << len(begun) {
			if bits.OnesCount(lose) != d {
				continue
			}
			for let := range uint(1) << len(going) {
				e.present = e.present[:0]
				for i, w := range begun {
					if lose>>i&1 == 0 {
						e.present = append(e.present, w)
					}
				}
				for i, w := range going {
					if let>>i&1 == 0 {
						e.present = append(e.present, w)
					}
				}
				e.run()
			}
		}
		if d == 0 && len(e.out) == 0 && len(begun) == 1 && len(going) == 0 {
			e.harmonics()
		}
		if d == 0 {
			for _, o := range m.Offers {
				e.present = append(e.present[:0], begun...)
				for i := range wants {
					if o.Notes>>i&1 == 1 {
						e.present = append(e.present, i)
					}
				}
				e.harmony = o.Cost
				e.run()
			}
		}
	}
	n.cache[string(n.key)] = e.out
	return e.out
}

// enumerator lays present notes on strings in every way.
type enumerator struct {
	n       *Neck
	wants   []Note
	present []int
	harmony int32
	g       Grip
	out     []Grip
}

func (e *enumerator) run() {
	if len(e.present) == 0 {
		e.g = Grip{Place: e.n.places.of(steel.Placement{}), harmony: e.harmony}
		e.act(0)
		return
	}
	for b := range e.n.sets {
		e.g = Grip{Benders: e.n.sets[b].set, harmony: e.harmony}
		e.lay(&e.n.sets[b], 0, 0, 0)
	}
}

// lay places the k-th present note and those after it; lo and hi are the lowest
// and highest stopped frets so far, 0 when there are none.
func (e *enumerator) lay(b *bendSet, k int, lo, hi int8) {
	if k == len(e.present) {
		e.leaf(b)
		return
	}
	w := e.present[k]
	for s := 1; s <= e.n.Strings; s++ {
		bit := uint16(1) << (s - 1)
		if e.g.Used&bit != 0 {
			continue
		}
		fret := int(e.wants[w].Key) - int(b.open[s-1])
		if fret < 0 || fret > e.n.High || fret > 0 && fret < e.n.low || fret == 0 && e.n.Region.Closed {
			continue
		}
		nlo, nhi := lo, hi
		if fret > 0 {
			f := int8(fret)
			if hi == 0 {
				nlo, nhi = f, f
			} else {
				nlo, nhi = min(lo, f), max(hi, f)
				if int(nhi-nlo) > e.n.Limits.SlantSpan {
					continue
				}
			}
		}
		e.g.Used |= bit
		e.g.Strings[w], e.g.Frets[w] = int8(s), int8(fret)
		e.lay(b, k+1, nlo, nhi)
		e.g.Used &^= bit
		e.g.Strings[w], e.g.Frets[w] = 0, 0
	}
}

// leaf finds the placement that stops what must be stopped.
func (e *enumerator) leaf(b *bendSet) {
	if !b.allServe(e.g.Used) {
		return // a bender that moves nothing in use
	}
	var fret [rig.MaxStrings]int8
	var stopped uint16
	for _, w := range e.present {
		s := e.g.Strings[w]
		fret[s-1] = e.g.Frets[w]
		if e.g.Frets[w] > 0 {
			stopped |= 1 << (s - 1)
		}
	}
	if pl := e.n.places.stops(stopped, e.g.Used&^stopped, &fret); pl != nil {
		e.g.Place = pl
		e.act(0)
	}
}

// act gives the k-th present note and those after it their acts, in every way
// that there is, and keeps the grips.
func (e *enumerator) act(k int) {
	if k == len(e.present) {
		g := e.g
		g.plucked = 0
		for _, w := range e.present {
			if g.Acts[w] == Pluck || g.Acts[w] == Again {
				g.plucked |= 1 << (g.Strings[w] - 1)
			}
		}
		e.n.price(&g, e.wants)
		e.out = append(e.out, g)
		return
	}
	w := e.present[k]
	try := func(a Act) {
		e.g.Acts[w] = a
		e.act(k + 1)
		e.g.Acts[w] = Gone
	}
	switch e.wants[w].Kind {
	case Tied:
		try(On)
		try(Again)
	case Held:
		try(On)
	case Glided:
		try(Glide)
		try(Pluck)
	case Slurred, Graced:
		try(Pluck)
		e.join(try, w)
	case Stepped:
		try(Pluck)
		for e.g.Run = 1; e.g.Run <= MostJoins; e.g.Run++ {
			e.join(try, w)
		}
		e.g.Run = 0
	default:
		try(Pluck)
	}
}

// join tries what joins a note to the one before: open strings are hammered on
// and pulled off to, between stopped notes the steel slides, and a bender moves
// either.
func (e *enumerator) join(try func(Act), w int) {
	if e.g.Frets[w] > 0 {
		try(Hammer)
	} else {
		try(Pull)
	}
	if e.g.Frets[w] > 0 || len(e.n.Rig.Benders) > 0 {
		try(Glide)
	}
}

// harmonics adds the harmonics that sound the only wanted note.
func (e *enumerator) harmonics() {
	w := &e.wants[0]
	if !w.Kind.Single() {
		return
	}
	b := &e.n.sets[0]
	for s := 1; s <= e.n.Strings; s++ {
		above := int(w.Key) - int(b.open[s-1])
		for node := 2; node <= e.n.Limits.Harmonics; node++ {
			exact := 12 * math.Log2(float64(node))
			touch := int(tab.NodeFret(node))
			if e.n.Region.Holds(touch) && math.Abs(exact-float64(above))*100 <= e.n.Limits.Cents {
				e.harmonic(s, 0, int8(node), false)
			}
		}
		if fret := above - 12; e.n.Limits.Palm && fret >= e.n.low && fret <= e.n.High {
			e.harmonic(s, int8(fret), 2, true)
		}
	}
}

func (e *enumerator) harmonic(s int, fret, node int8, palm bool) {
	p := steel.Placement{}
	if fret > 0 {
		p = steel.Placement{Kind: steel.Straight, First: 1, Last: int8(e.n.Strings), FirstFret: float64(fret), LastFret: float64(fret)}
	}
	pl := e.n.places.of(p)
	if !pl.ok {
		return
	}
	g := Grip{Place: pl, Node: node, Palm: palm, harmony: e.harmony, plucked: 1 << (s - 1)}
	g.Strings[0], g.Frets[0], g.Acts[0] = int8(s), fret, Pluck
	e.n.price(&g, e.wants)
	e.out = append(e.out, g)
}
