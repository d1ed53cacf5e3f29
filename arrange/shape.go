package arrange

import (
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/tab"
	"lapwright/tune"
)

// Shape is a way of playing to follow, note by note.
type Shape struct {
	// Strokes holds how the notes of each of the tune's moments were played.
	Strokes [][]Played
	// Whole asks for just that way, and fails where it can't be had; otherwise
	// leaving it has its price, and phrases that come again are not made alike
	// beyond what the shape has.
	Whole bool
	// Melody keeps to it wherever it can be had, and leaves free what is offered under
	// the tune's notes.
	Melody bool
}

// Played is how a note was played, said for the rig to be played on.
type Played struct {
	Ref     tune.Ref
	String  int
	Fret    int // counts nothing for a natural harmonic
	Attack  tab.Attack
	Slanted bool // the steel leaned
}

// ShapeOf returns how a tab is played, its strings and frets moved by so many: strings
// that have other numbers, frets that lie elsewhere on another rig.
func ShapeOf(t *tab.Tab, strings, frets int) *Shape {
	out := &Shape{Strokes: make([][]Played, len(t.Strokes))}
	for i := range t.Strokes {
		st := &t.Strokes[i]
		for _, p := range st.Plucks {
			fret := int(math.Round(p.Fret))
			if p.Attack != tab.Harmonic {
				fret += frets
			}
			out.Strokes[i] = append(out.Strokes[i], Played{Ref: p.Ref, String: p.String + strings, Fret: fret, Attack: p.Attack, Slanted: st.Placement.Slanted()})
		}
	}
	return out
}

// followShape leaves of each moment what follows the shape that is asked for, or
// prices what does not.
func (s *search) followShape() error {
	shape := s.o.Shape
	if shape == nil {
		return nil
	}
	if shape.Whole && len(s.lattice.layers) != len(shape.Strokes) {
		return refuse("the tab's strokes are not its tune's moments")
	}
	for i := range s.lattice.layers {
		if err := s.w.moment(); err != nil {
			return err
		}
		if i >= len(shape.Strokes) {
			break
		}
		l, m := &s.lattice.layers[i], &s.p.moments[i]
		plan := m.planned(shape.Strokes[i])
		if !shape.Whole && !shape.Melody {
			l.prefer(m, plan, s.o.prices())
			continue
		}
		kept := slices.DeleteFunc(slices.Clone(l.grips), func(g grip.Grip) bool { return !follows(&g, m, plan, shape.Melody) })
		if len(kept) == 0 && shape.Melody {
			l.prefer(m, plan, s.o.prices())
			continue
		}
		if l.grips = kept; len(kept) == 0 {
			return refuse("the shape can't be laid there")
		}
	}
	return nil
}

// planned returns how each want of a moment is to be played; the zero value where
// the shape says nothing.
func (m *moment) planned(notes []Played) []Played {
	out := make([]Played, len(m.Wants))
	for j := range m.Wants {
		if i := slices.IndexFunc(notes, func(p Played) bool { return p.Ref == m.Wants[j].Ref }); i >= 0 {
			out[j] = notes[i]
		}
	}
	return out
}

// actOf returns what an attack is for a note of a kind: a tied note that was not
// held on was plucked again.
func actOf(a tab.Attack, k grip.Kind) grip.Act {
	switch a {
	case tab.Tied:
		return grip.On
	case tab.Glided, tab.BentTo:
		return grip.Glide
	case tab.Hammered:
		return grip.Hammer
	case tab.PulledOff:
		return grip.Pull
	}
	if k == grip.Tied {
		return grip.Again
	}
	return grip.Pluck
}

// follows reports whether a grip plays every note as planned. Held notes follow
// from where they began; what is offered may be free.
func follows(g *grip.Grip, m *moment, plan []Played, free bool) bool {
	for j := range m.Wants {
		if k := m.Wants[j].Kind; k == grip.Held || free && k == grip.Offered {
			continue
		}
		p := &plan[j]
		if int(g.Strings[j]) != p.String {
			return false
		}
		if p.String > 0 && (g.Acts[j] != actOf(p.Attack, m.Wants[j].Kind) || g.Node == 0 && int(g.Frets[j]) != p.Fret) {
			return false
		}
	}
	return true
}

// prefer adds to each grip of a layer what it costs to leave the plan.
func (l *layer) prefer(m *moment, plan []Played, w *prices) {
	l.grips = slices.Clone(l.grips)
	for gi := range l.grips {
		g := &l.grips[gi]
		for j := range m.Wants {
			p := &plan[j]
			if m.Wants[j].Kind == grip.Held || g.Strings[j] == 0 || p.String == 0 {
				continue
			}
			if int(g.Strings[j]) != p.String {
				g.Habit += w.OtherString
			}
			if (g.Frets[j] == 0) != (p.Fret == 0) {
				g.Habit += w.OtherOpen
			}
			if g.Acts[j] != actOf(p.Attack, m.Wants[j].Kind) {
				g.Habit += w.OtherAttack
			}
			if j == 0 && g.Slanted() != p.Slanted {
				g.Habit += w.OtherLean
			}
		}
		g.Cost += g.Habit
	}
}
