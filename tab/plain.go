package tab

import (
	"slices"

	"lapwright/tune"
)

// Plain returns a tab without what is Added to it but for vibrato: added notes are gone from tune and
// strokes, and the others are plucked and end as their tune says. What is LeftOut
// stays out. t is not changed; it is returned as it is when nothing is added.
func (t *Tab) Plain() *Tab {
	if !slices.ContainsFunc(t.Added, func(a Added) bool { return a.Kind != AddVibrato }) {
		return t
	}
	out := *t
	out.Added, out.Performed = nil, nil
	gone, how := map[tune.Ref]bool{}, map[tune.Ref][]Addition{}
	for _, a := range t.Added {
		switch {
		case a.Kind.Note():
			gone[a.Ref] = true
		case a.Kind == AddVibrato:
			out.Added = append(out.Added, a)
		default:
			how[a.Ref] = append(how[a.Ref], a.Kind)
		}
	}
	out.Strokes = make([]Stroke, 0, len(t.Strokes))
	last := map[int]*Pluck{} // by string
	for i := range t.Strokes {
		s := t.Strokes[i]
		s.Plucks = slices.DeleteFunc(slices.Clone(s.Plucks), func(p Pluck) bool { return gone[p.Ref] })
		if len(s.Plucks) == 0 && len(t.Strokes[i].Plucks) > 0 {
			continue // a stroke of added notes alone
		}
		out.Strokes = append(out.Strokes, s)
		for j := range s.Plucks {
			p := &s.Plucks[j]
			for _, k := range how[p.Ref] {
				p.pluckPlainly(k, last[p.String], t.Tune)
			}
			last[p.String] = p
		}
	}
	if len(gone) > 0 {
		out.withoutNotes(gone)
	}
	return &out
}

// pluckPlainly takes one addition from a pluck; before is what its string played last.
func (p *Pluck) pluckPlainly(k Addition, before *Pluck, t *tune.Tune) {
	switch k {
	case AddJoin, AddBend:
		p.Attack = Picked
		if before != nil && before.Glide {
			n := t.Note(before.Ref)
			before.Glide = n != nil && n.Glide
		}
	case AddSlideIn:
		p.Scoop = 0
	}
}

// withoutNotes takes notes from the tune, and lets what points into it follow. A voice
// of nothing else is gone with them.
func (t *Tab) withoutNotes(gone map[tune.Ref]bool) {
	voices := map[int]bool{}
	t.Tune = t.Tune.Clone()
	follow := func(r tune.Ref) tune.Ref {
		if r.Grace >= 0 {
			return r
		}
		n := 0
		for i := range r.Note {
			at := r
			if at.Note = i; gone[at] {
				n++
			}
		}
		r.Note -= n
		return r
	}
	for r := range gone {
		voices[r.Voice] = true
	}
	for b := range t.Tune.Bars {
		for v := range t.Tune.Bars[b].Lines {
			takeAway(t.Tune.Bars[b].Lines[v], b, v, gone)
		}
	}
	for i := range t.Strokes {
		for j := range t.Strokes[i].Plucks {
			t.Strokes[i].Plucks[j].Ref = follow(t.Strokes[i].Plucks[j].Ref)
		}
	}
	t.Added = slices.DeleteFunc(t.Added, func(a Added) bool { return gone[a.Ref] })
	for i := range t.Added {
		t.Added[i].Ref = follow(t.Added[i].Ref)
	}
	t.Compromises = slices.Clone(t.Compromises)
	for i := range t.Compromises {
		t.Compromises[i].Ref = follow(t.Compromises[i].Ref)
	}
	dropSilent(t.Tune, voices)
}

// dropSilent takes those of some voices away, from the last, that hold no note.
func dropSilent(t *tune.Tune, some map[int]bool) {
	for v := len(t.Voices) - 1; v > 0 && some[v]; v-- {
		for b := range t.Bars {
			if v < len(t.Bars[b].Lines) && slices.ContainsFunc(t.Bars[b].Lines[v], func(e tune.Event) bool { return e.Kind == tune.Sounding }) {
				return
			}
		}
		t.Voices = t.Voices[:v]
		for b := range t.Bars {
			t.Bars[b].Lines = t.Bars[b].Lines[:min(v, len(t.Bars[b].Lines))]
		}
	}
}
