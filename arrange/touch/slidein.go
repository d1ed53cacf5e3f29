package touch

import (
	"lapwright/arrange/outline"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// When a note is slid into (common practice, no source): it is long enough that the
// slide is heard as its beginning, and in a longer one there is time for two frets.
const (
	slideFrom    = 0.45 // seconds
	slideFromTwo = 0.90
)

// SlideIn has long notes slid into from one or two frets below, and chords as a whole:
// what is plucked on stopped strings on a strong beat, while nothing rings beside it,
// once in two bars at the most.
func SlideIn(t *tab.Tab) {
	perf := t.Performance()
	last := -2 // the bar that has one
	until := tune.Ticks(0)
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if i > 0 && t.Strokes[i-1].BarIndex != s.BarIndex {
			until = 0
		}
		alone := s.At >= until
		for _, p := range s.Plucks {
			until = max(until, s.At+p.Len)
		}
		strong := s.At%outline.Strong(&t.Tune.Bars[s.BarIndex].Meter) == 0
		if s.BarIndex < last+2 || !alone || !strong || s.Grace || s.Placement.Kind != steel.Straight || len(s.Plucks) == 0 || repeats(t, i) {
			continue
		}
		seconds := perf.Seconds(s.BarIndex, s.At, s.Len)
		if seconds < slideFrom || !slides(t, s) {
			continue
		}
		from := -1.0
		if seconds >= slideFromTwo && s.Placement.FirstFret > 3 {
			from = -2
		}
		for j := range s.Plucks {
			s.Plucks[j].Scoop = from
		}
		last = s.BarIndex
	}
}

// slides reports whether everything in a stroke can be slid into.
func slides(t *tab.Tab, s *tab.Stroke) bool {
	for i := range s.Plucks {
		p := &s.Plucks[i]
		n, e := t.Tune.Note(p.Ref), t.Tune.Event(p.Ref)
		if p.Attack != tab.Picked || p.Scoop != 0 || p.Fret < 2 || n == nil || len(e.Marks) > 0 || len(e.Graces) > 0 {
			return false
		}
	}
	return true
}

// repeats reports whether a stroke's note is the one before it again, which nobody
// slides into.
func repeats(t *tab.Tab, i int) bool {
	if i == 0 || len(t.Strokes[i-1].Plucks) == 0 {
		return false
	}
	a, b := t.Tune.Note(t.Strokes[i-1].Plucks[0].Ref), t.Tune.Note(t.Strokes[i].Plucks[0].Ref)
	return a != nil && b != nil && a.Name.Key() == b.Name.Key()
}
