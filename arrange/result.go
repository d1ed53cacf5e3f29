package arrange

import (
	"cmp"
	"fmt"
	"slices"

	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// tab writes a finished way down.
func (s *search) tab(way []chosen, semitones int) (*tab.Tab, error) {
	t := &tab.Tab{Tune: s.p.t, Rig: s.n.r, Transposed: semitones}
	clock := secondsOf(s.p.t)
	where := map[tune.Ref][2]int{} // stroke and pluck of every note played
	t.Strokes = make([]tab.Stroke, 0, len(way))
	for i := range way {
		if err := s.w.moment(); err != nil {
			return nil, err
		}
		m, c := &s.p.moments[i], &way[i]
		st := tab.Stroke{Bar: m.bar, At: m.at, Len: m.len, Grace: m.grace, Placement: c.grip.Placement, Benders: c.grip.set}
		st.Plucks = make([]tab.Pluck, 0, len(m.wants))
		for j := range m.wants {
			w := &m.wants[j]
			if w.kind == held || c.grip.acts[j] == gone {
				continue
			}
			st.Plucks = append(st.Plucks, s.pluck(m, w, c, j, clock(m, w.len)))
		}
		slices.SortFunc(st.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
		for j := range st.Plucks {
			where[st.Plucks[j].Ref] = [2]int{i, j}
		}
		t.Strokes = append(t.Strokes, st)
		s.compromises(t, way, i)
		s.joins(t, way, i, where)
	}
	t.Compromises = append(t.Compromises, overJumps(t)...)
	slices.SortStableFunc(t.Compromises, func(a, b tab.Compromise) int {
		return cmp.Or(cmp.Compare(a.Ref.Bar, b.Ref.Bar), cmp.Compare(a.At, b.At))
	})
	return t, nil
}

// secondsOf gives a function that tells how long a note of a moment lasts the
// first time that it sounds.
func secondsOf(t *tune.Tune) func(m *moment, length tune.Ticks) float64 {
	clock := tune.NewClock(t)
	start := make([]tune.Ticks, len(t.Bars))
	passes, _ := tune.Unfold(t)
	for i := len(passes) - 1; i >= 0; i-- {
		start[passes[i].Bar] = passes[i].Start
	}
	return func(m *moment, length tune.Ticks) float64 {
		at := start[m.bar] + m.at
		return clock.Seconds(at+length) - clock.Seconds(at)
	}
}

func (s *search) pluck(m *moment, w *want, c *chosen, j int, seconds float64) tab.Pluck {
	g := c.grip
	str := int(g.strs[j])
	p := tab.Pluck{Ref: w.ref, String: str, Fret: s.n.geo.Contact(g.Placement, str), Len: w.len, Finger: fingerOf(c.hand, g.strs[j])}
	switch g.acts[j] {
	case on:
		p.Attack, p.Finger = tab.Tied, tab.NoFinger
	case glide:
		p.Attack, p.Finger = tab.Glided, tab.NoFinger
	case hammer:
		p.Attack, p.Finger = tab.Hammered, tab.NoFinger
	case pull:
		p.Attack, p.Finger = tab.PulledOff, tab.NoFinger
	}
	if g.node > 0 {
		p.Attack, p.Node = tab.Harmonic, g.node
		if g.palm {
			p.Attack = tab.PalmHarmonic
		} else {
			p.Fret = tab.NodeFret(int(g.node))
		}
	}
	square := g.Kind == steel.Straight || g.Kind == steel.Nose
	p.Vibrato = s.n.opt.Vibrato && s.n.lim.Vibrato > 0 && seconds >= s.n.lim.Vibrato && g.frets[j] > 0 && g.node == 0 && square
	if note := s.p.t.Note(w.ref); note != nil && note.Scoop != 0 && s.scoops(g, j, note) {
		p.Scoop = float64(note.Scoop)
	}
	return p
}

// scoops says whether a scoop into a note can be played: the bar must be on the
// string, and stay between the nut and the highest fret.
func (s *search) scoops(g *grip, j int, note *tune.Note) bool {
	from := int(g.frets[j]) + int(note.Scoop)
	return g.frets[j] > 0 && from > 0 && from <= s.n.r.Frets && g.acts[j] == pluck && g.node == 0
}

func fingerOf(h hand, str int8) tab.Finger {
	switch {
	case h.m == str:
		return tab.Middle
	case h.i == str:
		return tab.Index
	case h.t >= str && h.last <= str && h.t > 0:
		return tab.Thumb
	}
	return tab.NoFinger
}

// joins marks what the new stroke does to notes played before: glides that
// begin on them, and notes that must be damped.
func (s *search) joins(t *tab.Tab, way []chosen, i int, where map[tune.Ref][2]int) {
	if i == 0 {
		return
	}
	m, before := &s.p.moments[i], &s.p.moments[i-1]
	g := way[i].grip
	for j := range m.wants {
		if g.acts[j] != glide {
			continue
		}
		if at, ok := where[before.wants[m.wants[j].from].ref]; ok {
			t.Strokes[at[0]].Plucks[at[1]].Glide = true
		}
	}
	if s.n.ring(way[i-1].grip, g, &before.due, &m.due) == clashes {
		if at, ok := where[before.wants[0].ref]; ok {
			t.Strokes[at[0]].Plucks[at[1]].Damp = true
		}
	}
}

// compromises lists what moment i does not sound as the tune says.
func (s *search) compromises(t *tab.Tab, way []chosen, i int) {
	m, g := &s.p.moments[i], way[i].grip
	add := func(ref tune.Ref, wanted, got, why string) {
		t.Compromises = append(t.Compromises, tab.Compromise{
			Ref: ref, Bar: t.Tune.Bars[m.bar].Number, At: m.at, Wanted: wanted, Got: got, Why: why,
		})
	}
	name := func(ref tune.Ref) pitch.Name { return t.Tune.Note(ref).Name }
	for _, l := range m.lost {
		add(l.ref, name(l.ref).String(), l.got, l.why)
	}
	for j := range m.wants {
		w := &m.wants[j]
		if w.kind == offered {
			continue
		}
		note := t.Tune.Note(w.ref)
		n := note.Name.String()
		going := w.kind == held || w.kind == tied
		switch a := g.acts[j]; {
		case a == gone && !going:
			add(w.ref, n, "nothing", s.n.whyLost(m, w))
		case a == gone && i > 0 && way[i-1].grip.strs[w.from] > 0:
			add(w.ref, fmt.Sprintf("%s held for %s", n, w.len), "let go early", "its string or the bar is needed elsewhere")
		case a == gone && w.kind == tied:
			add(w.ref, n+" held on", "nothing", "it had been let go before")
		case a == again:
			add(w.ref, n+" held on", n+" plucked again", "its string or the bar is needed elsewhere")
		case w.kind == glided && a == pluck:
			add(w.ref, "a glide into "+n, n+" plucked", "the glide would need another string, start from an open one, or be too fast")
		}
		if w.kind == begun && s.p.tiedIn[w.ref] {
			add(w.ref, n+" held on", n+" plucked again", "the tie comes from elsewhere in the piece, where it was played on no fixed string")
		}
		if note.Scoop != 0 && begins(g, j) && !s.scoops(g, j, note) {
			add(w.ref, "a scoop into "+n, n+" without it", "an open string or one near the nut cannot be scooped into")
		}
	}
}

// begins says whether note j of a grip begins there and sounds.
func begins(g *grip, j int) bool { return g.acts[j] != gone && g.acts[j] != on }

// whyLost tells why a note can't be had.
func (n *neck) whyLost(m *moment, w *want) string {
	lowest, highest := n.compass()
	switch {
	case int(w.key) < lowest:
		return "below the lowest string"
	case int(w.key) > highest:
		return fmt.Sprintf("above fret %d of the highest string", n.high)
	case len(m.wants) == 1:
		return "no string has it within the limits asked for"
	}
	return "no placement of the bar sounds it together with the others"
}
