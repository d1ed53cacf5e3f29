package arrange

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/rig"
	"lapwright/tab"
	"lapwright/tune"
)

// Pin fixes part of how a range of bars is played; the rest is solved around
// it. Fields that are zero or nil fix nothing.
type Pin struct {
	FromBarNumber, ToBarNumber int         // as printed, both included; ToBar 0 is FromBar
	At                         *tune.Ticks // only the moment at this place in the bars
	String                     int         // the highest note that begins is played on this string
	Fret                       *int        // and at this fret; 0 is open
	Low, High                  int         // stopped notes and natural harmonics lie between these frets, both included
	Closed                     bool        // no open string
	Square                     bool        // no slant and no split
	// Benders are engaged exactly where they move a string in use, and no
	// others are.
	Benders *rig.BenderSet
	Grip    []Stop // every string in use is one of these, at its fret
	Whole   bool   // and every one of these is in use
	// In is the key, octave and capo that the pin was made in: in any other it
	// fixes nothing. nil holds in all.
	In *Setting
}

// Stop is a string at a fret; fret 0 is open.
type Stop struct{ String, Fret int }

// Words tells what a pin asks for.
func (p *Pin) Words() string {
	var parts []string
	if p.String > 0 {
		parts = append(parts, fmt.Sprintf("string %d", p.String))
	}
	if p.Fret != nil {
		parts = append(parts, fmt.Sprintf("fret %d", *p.Fret))
	}
	switch {
	case p.Low > 0 && p.High > 0:
		parts = append(parts, fmt.Sprintf("frets %d to %d", p.Low, p.High))
	case p.Low > 0:
		parts = append(parts, fmt.Sprintf("fret %d and above", p.Low))
	case p.High > 0:
		parts = append(parts, fmt.Sprintf("fret %d and below", p.High))
	}
	if p.Closed {
		parts = append(parts, "no open strings")
	}
	if p.Square {
		parts = append(parts, "a square bar")
	}
	if p.Benders != nil {
		parts = append(parts, fmt.Sprintf("bender set %b", *p.Benders))
	}
	for _, s := range p.Grip {
		parts = append(parts, fmt.Sprintf("string %d at fret %d", s.String, s.Fret))
	}
	where := fmt.Sprintf("bar %d", p.FromBarNumber)
	if p.ToBarNumber > p.FromBarNumber {
		where = fmt.Sprintf("bars %d to %d", p.FromBarNumber, p.ToBarNumber)
	}
	if p.At != nil {
		where += fmt.Sprintf(", %s into it", *p.At)
	}
	return strings.Join(parts, ", ") + " in " + where
}

// check says what in a pin can't be, whatever the tune.
func (p *Pin) check(r *rig.Rig) error {
	n := len(r.Strings)
	switch {
	case p.ToBarNumber != 0 && p.ToBarNumber < p.FromBarNumber:
		return refuse("the pin's bars run backwards, from \"%d\" to \"%d\"", p.FromBarNumber, p.ToBarNumber)
	case p.String < 0 || p.String > n:
		return refuse("the rig has no string \"%d\" to pin a note to", p.String)
	case p.Low < 0 || p.High < 0 || p.High > 0 && p.Low > p.High:
		return refuse("a pin cannot keep the steel between frets \"%d\" and \"%d\"", p.Low, p.High)
	case p.Fret != nil && *p.Fret < 0:
		return refuse("a note cannot be pinned to fret \"%d\"", *p.Fret)
	case p.Benders != nil && int(*p.Benders)>>len(r.Benders) != 0:
		return refuse("the rig has no bender set \"%b\" to pin", *p.Benders)
	}
	for _, s := range p.Grip {
		if s.String < 1 || s.String > n || s.Fret < 0 {
			return refuse("a pinned grip names string \"%d\" at fret \"%d\", which the rig does not have", s.String, s.Fret)
		}
	}
	return nil
}

// covers reports whether a pin speaks of a place (tune.Place).
func (p *Pin) covers(number int, place tune.Ticks) bool {
	to := max(p.ToBarNumber, p.FromBarNumber)
	return number >= p.FromBarNumber && number <= to && (p.At == nil || *p.At == place)
}

// allows reports whether a grip does what a pin asks.
func (p *Pin) allows(n *neck, g *grip.Grip, m *moment) bool {
	if p.Square && g.Slanted() {
		return false
	}
	if p.Benders != nil {
		var asked rig.BenderSet
		for i := range n.Rig.Benders {
			if !p.Benders.Has(i) {
				continue
			}
			for _, mv := range n.Rig.Benders[i].Moves {
				if g.Used>>(mv.String-1)&1 == 1 {
					asked |= 1 << i
				}
			}
		}
		if g.Benders != asked {
			return false
		}
	}
	top, frets := true, grip.Region{Low: p.Low, High: p.High}
	for j := range m.Wants {
		s, f := int(g.Strings[j]), int(g.Frets[j])
		if k := m.Wants[j].Kind; top && k != grip.Tied && k != grip.Held && k != grip.Offered {
			top = false
			if p.String > 0 && s != p.String || p.Fret != nil && (s == 0 || f != *p.Fret) {
				return false
			}
		}
		if s == 0 {
			continue
		}
		if f == 0 && p.Closed && g.Node == 0 || f > 0 && !frets.Holds(f) {
			return false
		}
		if f == 0 && g.Node > 0 && !frets.Holds(int(tab.NodeFret(int(g.Node)))) {
			return false
		}
		if len(p.Grip) > 0 && !holds(p.Grip, s, f) {
			return false
		}
	}
	return !p.Whole || p.filled(g)
}

// filled reports whether a grip uses every string of the pin's.
func (p *Pin) filled(g *grip.Grip) bool {
	var asked uint16
	for _, s := range p.Grip {
		asked |= 1 << (s.String - 1)
	}
	return g.Used == asked
}

// pinsIn returns the pins that hold in a setting.
func (o *Options) pinsIn(c Setting) []Pin {
	return slices.DeleteFunc(slices.Clone(o.Pins), func(p Pin) bool { return p.In != nil && *p.In != c })
}

func holds(stops []Stop, s, f int) bool {
	for _, st := range stops {
		if st.String == s && st.Fret == f {
			return true
		}
	}
	return false
}

// pin keeps of every layer what the pins allow, or explains why nothing is
// left.
func (n *neck) pin(w *watch, p *problem, layers []layer) error {
	pins := n.opt.Pins
	used := make([]bool, len(pins))
	var mine []int
	for i := range layers {
		if err := w.moment(); err != nil {
			return err
		}
		m := &p.moments[i]
		number, place := p.t.Place(m.barIndex, m.at)
		mine = mine[:0]
		for k := range pins {
			if pins[k].covers(number, place) {
				mine = append(mine, k)
				used[k] = true
			}
		}
		if len(mine) == 0 {
			continue
		}
		var kept []grip.Grip
		for gi := range layers[i].grips {
			if n.allowed(&layers[i].grips[gi], m, mine) {
				kept = append(kept, layers[i].grips[gi])
			}
		}
		if len(kept) == 0 {
			return n.contradiction(p, &layers[i], m, mine)
		}
		layers[i].grips = kept
	}
	low, high := p.t.NumberRange()
	for k := range used {
		if !used[k] && (max(pins[k].ToBarNumber, pins[k].FromBarNumber) < low || pins[k].FromBarNumber > high) {
			return refuse("there is nothing to pin with %q: bars run from %d to %d", pins[k].Words(), low, high)
		}
		if !used[k] {
			return refuse("there is nothing to pin: the tune has no notes where %s is asked for", pins[k].Words())
		}
	}
	return nil
}

func (n *neck) allowed(g *grip.Grip, m *moment, mine []int) bool {
	for _, k := range mine {
		if !n.opt.Pins[k].allows(n, g, m) {
			return false
		}
	}
	return true
}

// contradiction tells which pins leave nothing, and the nearest miss.
func (n *neck) contradiction(p *problem, l *layer, m *moment, mine []int) error {
	number, place := p.t.Place(m.barIndex, m.at)
	f := &fault.Fault{Bar: fmt.Sprint(number), Beat: place.String()}
	var names []string
	for _, w := range m.Wants {
		if w.Kind == grip.Offered {
			continue
		}
		names = append(names, p.t.Note(w.Ref).Name.String())
	}
	notes := strings.Join(names, " with ")
	for _, k := range mine {
		if !n.anyAllowed(l, m, []int{k}) {
			f.Msg = fmt.Sprintf("%s cannot be played as pinned: %s", notes, n.opt.Pins[k].Words())
			f.Hint = n.nearest(l, m)
			return f
		}
	}
	for i, k := range mine {
		for _, j := range mine[:i] {
			if !n.anyAllowed(l, m, []int{j, k}) {
				f.Msg = fmt.Sprintf("for %s the pins contradict each other: %s, and %s", notes, n.opt.Pins[j].Words(), n.opt.Pins[k].Words())
				f.Hint = n.nearest(l, m)
				return f
			}
		}
	}
	f.Msg = fmt.Sprintf("for %s the pins together leave nothing", notes)
	f.Hint = n.nearest(l, m)
	return f
}

func (n *neck) anyAllowed(l *layer, m *moment, mine []int) bool {
	for gi := range l.grips {
		if n.allowed(&l.grips[gi], m, mine) {
			return true
		}
	}
	return false
}

// nearest names the cheapest grip that could be had without pins.
func (n *neck) nearest(l *layer, m *moment) string {
	best := -1
	for gi := range l.grips {
		if best < 0 || l.grips[gi].Cost < l.grips[best].Cost {
			best = gi
		}
	}
	if best < 0 {
		return ""
	}
	return "without pins: " + n.words(&l.grips[best], m)
}

// words describes a grip: "string 2 at fret 5, string 3 at fret 4, forward
// slant, with palm 1".
func (n *neck) words(g *grip.Grip, m *moment) string {
	var parts []string
	for j := range m.Wants {
		s := g.Strings[j]
		switch {
		case s == 0:
		case g.Frets[j] == 0 && g.Node > 0:
			parts = append(parts, fmt.Sprintf("string %d, harmonic at fret %.0f", s, tab.NodeFret(int(g.Node))))
		case g.Frets[j] == 0:
			parts = append(parts, fmt.Sprintf("string %d open", s))
		default:
			parts = append(parts, fmt.Sprintf("string %d at fret %s", s, fretText(n.Geometry.Contact(g.Placement, int(s)))))
		}
		switch g.Acts[j] {
		case grip.Glide:
			parts = append(parts, "reached by a glide")
		case grip.Hammer:
			parts = append(parts, "hammered on")
		case grip.Pull:
			parts = append(parts, "pulled off")
		case grip.Again:
			parts = append(parts, "plucked again")
		}
	}
	if len(parts) == 0 {
		return "nothing played"
	}
	if g.Slanted() || g.Used&^g.Touches != 0 && g.Touches != 0 {
		parts = append(parts, g.Kind.String())
	}
	if g.Palm {
		parts = append(parts, "palm harmonic")
	}
	for i := range n.Rig.Benders {
		if g.Benders.Has(i) {
			parts = append(parts, "with "+n.Rig.Benders[i].Name)
		}
	}
	return strings.Join(parts, ", ")
}

func fretText(f float64) string {
	if f == math.Round(f) {
		return fmt.Sprintf("%.0f", f)
	}
	return fmt.Sprintf("%.2f", f)
}
