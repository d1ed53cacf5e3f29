package tab

import (
	"fmt"
	"math"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tune"
)

// Check lists what is wrong with a tab, by bar and beat; nil when it keeps its
// promises: its strokes are the moments of its tune; every note is the Ref of
// exactly one Pluck or in a Compromise; no string is played twice at once;
// placements can be laid and frets are where the steel is; and, but for listed
// compromises, every pluck sounds its note and every note that goes on keeps its
// string and its contact.
func (t *Tab) Check() fault.List {
	c := &checker{t: t, g: steel.New(t.Rig), owed: map[tune.Ref]int{}, excused: map[tune.Ref]bool{}}
	for i := range t.Compromises {
		c.excused[t.Compromises[i].Ref] = true
	}
	moments := t.Performance().Moments()
	if len(moments) != len(t.Strokes) {
		c.faults.Add(&fault.Fault{Msg: fmt.Sprintf("the tune has %d moments and the tab %d strokes", len(moments), len(t.Strokes))})
		return c.faults
	}
	for i := range moments {
		for _, n := range moments[i].Notes {
			c.owed[n.Ref] = 1
		}
	}
	c.overJumps()
	for i := range t.Strokes {
		c.stroke(&t.Strokes[i], &moments[i])
	}
	for i := range moments {
		for _, n := range moments[i].Notes {
			if c.owed[n.Ref] == 1 && !c.excused[n.Ref] {
				c.add(moments[i].BarIndex, moments[i].At, 0, "%s is neither played nor a listed compromise", n.Name)
			}
		}
	}
	return c.faults
}

// CentsAllowed is how far a pluck may sound from its note without being a
// compromise: the loosest tolerance of any player level, with room for rounding.
const CentsAllowed = 15.5

type checker struct {
	t       *Tab
	g       *steel.Geometry
	owed    map[tune.Ref]int
	excused map[tune.Ref]bool
	ringing []ringing
	last    [rig.MaxStrings]ringing // what each string was last given to play
	jumped  map[tune.Ref]ringing    // what rings into a note that a jump leads to
	faults  fault.List
}

// ringing is a note that is meant to be sounding still.
type ringing struct {
	ref     tune.Ref
	str     int
	key     float64
	contact float64
	bar     int
	until   tune.Ticks // from the start of bar
}

func (c *checker) add(barIndex int, at tune.Ticks, str int, format string, a ...any) {
	c.faults.Add(&fault.Fault{
		Bar: fmt.Sprint(c.t.Tune.Bars[barIndex].Number), Beat: at.String(), Str: str, Msg: fmt.Sprintf(format, a...),
	})
}

func (c *checker) stroke(s *Stroke, m *tune.Moment) {
	if s.BarIndex != m.BarIndex || s.At != m.At || s.Grace != m.Grace {
		c.faults.Add(&fault.Fault{Msg: fmt.Sprintf("a stroke stands at %s in bar %d, where the tune has its moment at %s in bar %d", s.At, s.BarIndex, m.At, m.BarIndex)})
		return
	}
	if err := c.g.Check(s.Placement); err != nil {
		c.add(s.BarIndex, s.At, 0, "%v", err)
	}
	if int(s.Benders)>>len(c.t.Rig.Benders) != 0 {
		c.add(s.BarIndex, s.At, 0, "the rig has no bender set \"%b\"", s.Benders)
		return
	}
	here := map[tune.Ref]*tune.NoteAt{}
	for i := range m.Notes {
		here[m.Notes[i].Ref] = &m.Notes[i]
	}
	c.goOn(s)
	busy := map[int]bool{}
	for i := range s.Plucks {
		p := &s.Plucks[i]
		if p.String < 1 || p.String > len(c.t.Rig.Strings) {
			c.add(s.BarIndex, s.At, p.String, "the rig has no such string")
			continue
		}
		if busy[p.String] {
			c.add(s.BarIndex, s.At, p.String, "played twice in one stroke")
		}
		busy[p.String] = true
		n := here[p.Ref]
		if n == nil || c.owed[p.Ref] != 1 {
			c.add(s.BarIndex, s.At, p.String, "plays a note that is not there, or a second time")
			continue
		}
		c.owed[p.Ref] = 0
		c.pluck(s, p, n)
	}
}

// goOn looks at every note that is meant to ring through a stroke, and forgets
// those whose time is over.
func (c *checker) goOn(s *Stroke) {
	kept := c.ringing[:0]
	for _, r := range c.ringing {
		if r.bar != s.BarIndex || r.until <= s.At {
			continue
		}
		contact := c.g.Contact(s.Placement, r.str)
		key := c.g.Key(s.Placement, r.str, s.Benders)
		if (math.Abs(key-r.key)*100 > CentsAllowed || (contact == 0) != (r.contact == 0)) && !c.excused[r.ref] {
			c.add(s.BarIndex, s.At, r.str, "a held note is moved from %.2f to %.2f by the steel or a bender", r.contact, contact)
		}
		for i := range s.Plucks {
			if s.Plucks[i].String == r.str && s.Plucks[i].Attack != Tied && !c.excused[r.ref] {
				c.add(s.BarIndex, s.At, r.str, "plucked while it holds another note")
			}
		}
		kept = append(kept, r)
	}
	c.ringing = kept
}

// ringingOf returns what a pluck leaves ringing, but for when it ends.
func (c *checker) ringingOf(s *Stroke, p *Pluck) ringing {
	return ringing{ref: p.Ref, str: p.String, key: c.g.Key(s.Placement, p.String, s.Benders), contact: c.g.Contact(s.Placement, p.String), bar: s.BarIndex}
}

// overJumps looks up what rings into the notes that are first come to over a
// repeat, an ending or a jump: what was written before them is not what sounds
// before them.
func (c *checker) overJumps() {
	begun := map[tune.Ref][]tune.Ref{}
	for _, tie := range c.t.Performance().TiesOverJumps() {
		if tie.First {
			begun[tie.Held] = append(begun[tie.Held], tie.Begun)
		}
	}
	c.jumped = map[tune.Ref]ringing{}
	for i := range c.t.Strokes {
		s := &c.t.Strokes[i]
		for j := range s.Plucks {
			p := &s.Plucks[j]
			if len(begun[p.Ref]) == 0 || p.String < 1 || p.String > len(c.t.Rig.Strings) {
				continue
			}
			for _, to := range begun[p.Ref] {
				c.jumped[to] = c.ringingOf(s, p)
			}
		}
	}
}

func (c *checker) pluck(s *Stroke, p *Pluck, n *tune.NoteAt) {
	contact := c.g.Contact(s.Placement, p.String)
	switch p.Attack {
	case Harmonic:
		contact = NodeFret(int(p.Node))
	case Chopped:
		contact = 0
	}
	if math.Abs(contact-p.Fret) > 1e-6 {
		c.add(s.BarIndex, s.At, p.String, "fret %g is written and the steel is at %g", p.Fret, contact)
	}
	key := Key(c.g, s, p)
	if off := 100 * (key - float64(n.Name.Key())); p.Attack != Chopped && math.Abs(off) > CentsAllowed && !c.excused[p.Ref] {
		c.add(s.BarIndex, s.At, p.String, "sounds %.0f cents from %s", off, n.Name)
	}
	switch {
	case p.Attack == Tied && !n.Tied:
		c.add(s.BarIndex, s.At, p.String, "%s is begun anew in the tune, not held on", n.Name)
	case p.Attack != Tied && n.Tied && !c.excused[p.Ref]:
		c.add(s.BarIndex, s.At, p.String, "%s is held on in the tune, not begun anew", n.Name)
	}
	if chop := c.t.Tune.Note(p.Ref).Chop; chop != (p.Attack == Chopped) && !c.excused[p.Ref] {
		c.add(s.BarIndex, s.At, p.String, "%s is a stroke without pitch in one of tune and tab and not in the other", n.Name)
	}
	if (p.Attack == Harmonic || p.Attack == PalmHarmonic) != (p.Node > 1) {
		c.add(s.BarIndex, s.At, p.String, "harmonic number %d does not go with the attack", p.Node)
	}
	if from := p.Fret + p.Scoop; p.Scoop != 0 && (p.Fret == 0 || from <= 0) {
		c.add(s.BarIndex, s.At, p.String, "a scoop from fret %g to %g has nowhere to begin", from, p.Fret)
	}
	now := c.ringingOf(s, p)
	now.until = s.At + n.Len
	if p.Attack == Chopped {
		c.last[p.String-1] = ringing{}
		return
	}
	was := c.last[p.String-1]
	if before, ok := c.jumped[p.Ref]; ok {
		was = before
		if was.str != p.String {
			was = ringing{}
		}
	}
	if p.Attack == Tied && (was.str == 0 || math.Abs(was.key-now.key)*100 > CentsAllowed || (was.contact == 0) != (now.contact == 0)) {
		c.add(s.BarIndex, s.At, p.String, "nothing is sounding %s that could be held on", n.Name)
	}
	c.last[p.String-1] = now
	c.ringing = append(c.ringing, now)
}
