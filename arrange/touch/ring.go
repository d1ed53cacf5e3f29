package touch

import (
	"lapwright/grip"
	"lapwright/tab"
)

// StopRinging marks in a beginner's tab every string to stop when its note is over:
// one that would ring on into a note it clashes with.
func StopRinging(t *tab.Tab) {
	for i := range t.Strokes {
		for j := range t.Strokes[i].Plucks {
			p := &t.Strokes[i].Plucks[j]
			p.Damp = p.Damp || ringsInto(t, i, p)
		}
	}
}

// ringsInto reports whether a pluck would ring on into a note of the strokes after it
// that it clashes with.
func ringsInto(t *tab.Tab, i int, p *tab.Pluck) bool {
	s := &t.Strokes[i]
	n := t.Tune.Note(p.Ref)
	if n == nil || n.Tie || n.Chop || p.Glide {
		return false
	}
	for k := i + 1; k < len(t.Strokes) && k <= i+2; k++ {
		next := &t.Strokes[k]
		if p.Fret == 0 && next.Placement.Touches(p.String) || p.Fret > 0 && next.Placement != s.Placement || next.Benders != s.Benders {
			return false
		}
		for _, q := range next.Plucks {
			if q.String == p.String {
				return false
			}
			if m := t.Tune.Note(q.Ref); m != nil && !m.Chop && !grip.Consonant(m.Name.Key()-n.Name.Key()) {
				return true
			}
		}
	}
	return false
}
