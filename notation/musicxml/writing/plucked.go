package writing

import (
	"fmt"
	"math"
	"slices"

	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// place says where a pluck stands in the tab.
type place struct {
	stroke, pluck int
}

// plucked is a tab, found by the notes that its plucks play.
type plucked struct {
	tab      *tab.Tab
	geometry *steel.Geometry
	of       map[tune.Ref]place
	next     map[place]place // the string's next pluck, in written order
	before   map[place]place
	missing  map[tune.Ref]bool // notes named in a compromise
	after    [][]int           // the bars that may come after each
}

// newPlucked returns the plucks of a tab; after has the bars that may come after each.
func newPlucked(t *tab.Tab, after [][]int) (*plucked, error) {
	w := &plucked{tab: t, geometry: steel.New(t.Rig), after: after}
	w.of = map[tune.Ref]place{}
	w.next, w.before = map[place]place{}, map[place]place{}
	w.missing = map[tune.Ref]bool{}
	last := map[int]place{}
	for i := range w.tab.Strokes {
		for j := range w.tab.Strokes[i].Plucks {
			p := &w.tab.Strokes[i].Plucks[j]
			if p.String < 1 || p.String > len(w.tab.Rig.Strings) {
				return nil, fmt.Errorf("a pluck on string %d of a rig with %d strings", p.String, len(w.tab.Rig.Strings))
			}
			if p.Fret < 0 {
				return nil, fmt.Errorf("a pluck at fret %g", p.Fret)
			}
			here := place{i, j}
			w.of[p.Ref] = here
			if from, ok := last[p.String]; ok {
				w.next[from], w.before[here] = here, from
			}
			last[p.String] = here
		}
	}
	for _, c := range w.tab.Compromises {
		if _, ok := w.of[c.Ref]; !ok {
			w.missing[c.Ref] = true
		}
	}
	return w, nil
}

func (w *plucked) pluck(p place) *tab.Pluck { return &w.tab.Strokes[p.stroke].Plucks[p.pluck] }

// tiedOn reports whether the note's pluck is held on by a tied pluck.
func (w *plucked) tiedOn(bar, v, i, j int) bool {
	e := &w.tab.Tune.Bars[bar].Lines[v][i]
	if !e.Notes[j].Tie {
		return false
	}
	leads := func(next *tune.Event, nb, ne int) bool {
		for k, from := range tune.TiedFrom(e, next) {
			if from == j {
				p, ok := w.of[tune.Ref{Bar: nb, Voice: v, Event: ne, Grace: -1, Note: k}]
				return ok && w.pluck(p).Attack == tab.Tied
			}
		}
		return false
	}
	if i+1 < len(w.tab.Tune.Bars[bar].Lines[v]) {
		return leads(&w.tab.Tune.Bars[bar].Lines[v][i+1], bar, i+1)
	}
	return slices.ContainsFunc(w.after[bar], func(b int) bool {
		return v < len(w.tab.Tune.Bars[b].Lines) && len(w.tab.Tune.Bars[b].Lines[v]) > 0 && leads(&w.tab.Tune.Bars[b].Lines[v][0], b, 0)
	})
}

// sounds returns the name of what a pluck sounds: the tune's own spelling when
// it is that key, else the nearest.
func (w *plucked) sounds(p place, as pitch.Name) pitch.Name {
	key := tab.Key(w.geometry, &w.tab.Strokes[p.stroke], w.pluck(p))
	if k := int(math.Round(key)); k != as.Key() {
		return pitch.SpellKey(k, w.tab.Tune.Bars[w.tab.Strokes[p.stroke].BarIndex].Key.Fifths())
	}
	return as
}

// bent returns how many semitones the benders move a pluck's string.
func (w *plucked) bent(p place) int {
	s := w.pluck(p).String
	return w.tab.Rig.OpenKey(s, w.tab.Strokes[p.stroke].Benders) - w.tab.Rig.OpenKey(s, 0)
}

// bendsOn returns the semitones by which benders alone carry a pluck's sound into
// the string's next pluck, or 0.
func (w *plucked) bendsOn(p place) int {
	next, ok := w.next[p]
	if !ok || !w.pluck(p).Glide || w.pluck(next).Attack != tab.BentTo {
		return 0
	}
	return w.bent(next) - w.bent(p)
}
