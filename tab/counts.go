package tab

import (
	"math"

	"lapwright/steel"
)

// Slants counts how often the steel is leaned afresh, each written bar once, and
// how many of those are splits. A slant that stays as it lies is one.
func (t *Tab) Slants() (all, splits int) {
	var before steel.Placement
	for i := range t.Strokes {
		p := t.Strokes[i].Placement
		if p.Slanted() && p != before {
			all++
			if p.Kind == steel.Split {
				splits++
			}
		}
		before = p
	}
	return all, splits
}

// Frets returns the lowest and the highest fret at which the steel stops a string
// that is played, to thousandths of a fret; 0 and 0 when everything is open. Places
// where a natural harmonic is touched are left out.
func (t *Tab) Frets() (low, high float64) {
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			if p.Fret == 0 || p.Attack == Harmonic {
				continue
			}
			if low == 0 || p.Fret < low {
				low = p.Fret
			}
			high = max(high, p.Fret)
		}
	}
	return math.Round(1000*low) / 1000, math.Round(1000*high) / 1000
}

// Open counts the notes that are begun on open strings, each written bar once.
func (t *Tab) Open() int {
	n := 0
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			if p.Fret == 0 && p.Attack != Tied {
				n++
			}
		}
	}
	return n
}

// Lost counts the notes of the tune that are not played at all.
func (t *Tab) Lost() int {
	n := 0
	for i := range t.Compromises {
		if t.Compromises[i].Kind.Lost() {
			n++
		}
	}
	return n
}
