package arrange

import (
	"cmp"
	"fmt"

	"lapwright/arrange/outline"
	"lapwright/arrange/touch"
	"lapwright/grip"
	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// finished is a way that was found, to be written down and told of.
type finished struct {
	scene
	way    []chosen
	rolled []int // the tab's strokes that a roll adds, once it is written
}

// tab writes a finished way down.
func (f *finished) tab(semitones int) (*tab.Tab, error) {
	t := &tab.Tab{Tune: f.p.t, Rig: f.n.Rig, Transposed: semitones, Performed: f.p.perf}
	where := map[tune.Ref][2]int{} // stroke and pluck of every note played
	t.Strokes = make([]tab.Stroke, 0, len(f.way))
	for i := range f.way {
		if err := f.w.moment(); err != nil {
			return nil, err
		}
		m, c := &f.p.moments[i], &f.way[i]
		st := tab.Stroke{BarIndex: m.barIndex, At: m.at, Len: m.len, Grace: m.grace, Placement: c.grip.Placement, Benders: c.grip.Benders}
		st.Plucks = make([]tab.Pluck, 0, len(m.Wants))
		for j := range m.Wants {
			w := &m.Wants[j]
			if w.Kind == grip.Held || c.grip.Acts[j] == grip.Gone {
				continue
			}
			st.Plucks = append(st.Plucks, f.pluck(m, w, c, j, f.p.perf.Seconds(m.barIndex, m.at, w.Len)))
		}
		inorder.Stable(st.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
		for j := range st.Plucks {
			where[st.Plucks[j].Ref] = [2]int{i, j}
		}
		var before *tab.Stroke
		if i > 0 {
			before = &t.Strokes[i-1]
		}
		m.chop(f.n.Rig, &st, before)
		t.Strokes = append(t.Strokes, st)
		f.compromises(t, i)
		f.joins(t, i, where)
	}
	t.NameBends()
	t.Added = f.harmonyAdded(t)
	if f.n.opt.Touch == FullTouch {
		touch.SlideIn(t)
		if t.Rig.Habits.RollsOn(t.Rig.Body) == rig.RollsWelcome {
			var rolls []tab.Added
			rolls, f.rolled = touch.Roll(t, outline.ChordsOf(t.Tune).Has, f.n.Limits.Repeat)
			t.Added = append(t.Added, rolls...)
		}
	}
	t.Added = append(t.Added, tab.Touched(t)...)
	tab.SortAdded(t.Added)
	t.Compromises = append(t.Compromises, tab.HoldOverJumps(t)...)
	inorder.Stable(t.Compromises, func(a, b tab.Compromise) int {
		return cmp.Or(cmp.Compare(a.Ref.Bar, b.Ref.Bar), cmp.Compare(a.At, b.At))
	})
	return t, nil
}

func (f *finished) pluck(m *moment, w *grip.Note, c *chosen, j int, seconds float64) tab.Pluck {
	g := c.grip
	str := int(g.Strings[j])
	p := tab.Pluck{Ref: w.Ref, String: str, Fret: f.n.Geometry.Contact(g.Placement, str), Len: w.Len, Finger: fingerOf(c.hand, g.Strings[j])}
	switch g.Acts[j] {
	case grip.On:
		p.Attack, p.Finger = tab.Tied, tab.NoFinger
	case grip.Glide:
		p.Attack, p.Finger = tab.Glided, tab.NoFinger
	case grip.Hammer:
		p.Attack, p.Finger = tab.Hammered, tab.NoFinger
	case grip.Pull:
		p.Attack, p.Finger = tab.PulledOff, tab.NoFinger
	}
	if g.Node > 0 {
		p.Attack, p.Node = tab.Harmonic, g.Node
		if g.Palm {
			p.Attack = tab.PalmHarmonic
		} else {
			p.Fret = tab.NodeFret(int(g.Node))
		}
	}
	square := g.Kind == steel.Straight || g.Kind == steel.Nose
	p.Vibrato = f.n.opt.Vibrato && f.n.Limits.Vibrato > 0 && seconds >= f.n.Limits.Vibrato && g.Frets[j] > 0 && g.Node == 0 && square
	if note := f.p.t.Note(w.Ref); note != nil && note.Scoop != 0 && f.scoops(g, j, note) {
		p.Scoop = float64(note.Scoop)
	}
	return p
}

// scoops reports whether a scoop into a note can be played: the bar must be on the
// string, and stay between the nut and the highest fret.
func (f *finished) scoops(g *grip.Grip, j int, note *tune.Note) bool {
	from := int(g.Frets[j]) + int(note.Scoop)
	return g.Frets[j] > 0 && from > 0 && from <= f.n.Rig.Frets && g.Acts[j] == grip.Pluck && g.Node == 0
}

func fingerOf(h grip.Hand, str int8) tab.Finger {
	switch {
	case h.Middle == str:
		return tab.Middle
	case h.Index == str:
		return tab.Index
	case h.Thumb >= str && h.ThumbEnd <= str && h.Thumb > 0:
		return tab.Thumb
	}
	return tab.NoFinger
}

// joins marks what the new stroke does to notes played before: glides that
// begin on them, and notes that must be damped.
func (f *finished) joins(t *tab.Tab, i int, where map[tune.Ref][2]int) {
	if i == 0 {
		return
	}
	m, before := &f.p.moments[i], &f.p.moments[i-1]
	g := f.way[i].grip
	for j := range m.Wants {
		if g.Acts[j] != grip.Glide {
			continue
		}
		if at, ok := where[before.Wants[m.Wants[j].From].Ref]; ok {
			t.Strokes[at[0]].Plucks[at[1]].Glide = true
		}
	}
	if f.n.Ring(f.way[i-1].grip, g, &before.Due, &m.Due) == grip.RingsClash {
		if at, ok := where[before.Wants[0].Ref]; ok {
			t.Strokes[at[0]].Plucks[at[1]].Damp = true
		}
	}
}

// compromises lists what moment i does not sound as the tune says.
func (f *finished) compromises(t *tab.Tab, i int) {
	m, g := &f.p.moments[i], f.way[i].grip
	add := func(ref tune.Ref, k tab.Kind, held tune.Ticks, why string) {
		t.Compromises = append(t.Compromises, tab.NewCompromise(t.Tune, ref, m.at, k, held, why))
	}
	for _, l := range m.lost {
		add(l.ref, l.kind, 0, l.why)
	}
	for j := range m.Wants {
		w := &m.Wants[j]
		if w.Kind == grip.Offered {
			continue
		}
		note := t.Tune.Note(w.Ref)
		going := w.Kind == grip.Held || w.Kind == grip.Tied
		a := g.Acts[j]
		switch {
		case a == grip.Gone && !going:
			add(w.Ref, tab.NotPlayed, 0, f.n.whyLost(m, w))
		case a == grip.Gone && i > 0 && f.way[i-1].grip.Strings[w.From] > 0:
			add(w.Ref, tab.LetGoEarly, w.Len, "its string or the bar is needed elsewhere")
		case a == grip.Gone && w.Kind == grip.Tied:
			add(w.Ref, tab.AlreadyGone, 0, "it had been let go before")
		case a == grip.Again:
			add(w.Ref, tab.PluckedAgain, 0, "its string or the bar is needed elsewhere")
		case w.Kind == grip.Glided && a == grip.Pluck:
			add(w.Ref, tab.GlidePlucked, 0, "the glide would need another string, start from an open one, or be too fast")
		}
		if w.Kind == grip.Slurred && a == grip.Pluck {
			add(w.Ref, tab.SlurPlucked, 0, "what it is slurred to lies on another string, or too far for the time")
		}
		if w.Kind == grip.Begun && f.p.tiedIn[w.Ref] {
			add(w.Ref, tab.PluckedAgain, 0, "the tie comes from elsewhere in the piece, where it was played on no fixed string")
		}
		if note.Scoop != 0 && begins(g, j) && !f.scoops(g, j, note) {
			add(w.Ref, tab.ScoopLeftOut, 0, "an open string or one near the nut cannot be scooped into")
		}
	}
}

// begins reports whether note j of a grip begins there and sounds.
func begins(g *grip.Grip, j int) bool { return g.Acts[j] != grip.Gone && g.Acts[j] != grip.On }

// whyLost tells why a note can't be had.
func (n *neck) whyLost(m *moment, w *grip.Note) string {
	lowest, highest := n.Compass()
	switch {
	case int(w.Key) < lowest:
		return "below the lowest string"
	case int(w.Key) > highest:
		return fmt.Sprintf("above fret %d of the highest string", n.High)
	case len(m.Wants) == 1:
		return "no string has it within the limits asked for"
	}
	return "no placement of the bar sounds it together with the others"
}

// Rolls finds the rolls of an arrangement, in order; no stroke is in two.
func (r *Result) Rolls() []touch.Pattern { return touch.Rolls(r.Tab) }
