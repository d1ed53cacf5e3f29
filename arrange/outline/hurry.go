package outline

import (
	"slices"
	"strings"

	"lapwright/tune"
)

// slowKinds and quickKinds are words by which a kind of tune is known for its pace
// (common practice, no source).
var (
	slowKinds  = []string{"air", "hymn", "song", "ballad", "waltz", "lament", "carol", "lullaby"}
	quickKinds = []string{"reel", "jig", "hornpipe", "polka", "breakdown", "hoedown", "rag", "two-step", "march", "swing"}
)

// slowFrom is from how many seconds on the middle note of a tune with a tempo makes
// it slow: a quarter note at 120 a minute.
const slowFrom = 0.5

// Unhurried reports whether a tune is slow, so that its long notes are listened to.
// The kind of tune decides where it is named. Else a tempo does, by how long the
// middle one of the notes lasts, and without one the meter and the note values: three
// quarters or halves in a bar are slow, compound meters quick, and of the rest those
// are slow in which fewer than half the notes are eighths or shorter.
func Unhurried(perf *tune.Performance) bool {
	t := perf.Tune
	kind := strings.ToLower(t.Rhythm)
	named := func(words []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(kind, w) })
	}
	switch {
	case named(quickKinds):
		return false
	case named(slowKinds):
		return true
	}
	short, all := 0, 0
	var seconds []float64
	timed := slices.ContainsFunc(t.Bars[0].Tempos, func(x tune.Tempo) bool { return x.PerMinute > 0 })
	for b := range t.Bars {
		for _, line := range t.Bars[b].Lines[:min(1, len(t.Bars[b].Lines))] {
			for e := range line {
				if line[e].Kind != tune.Sounding {
					continue
				}
				all++
				if line[e].Len <= tune.Whole/8 {
					short++
				}
				if timed {
					seconds = append(seconds, perf.Seconds(b, line[e].At, line[e].Len))
				}
			}
		}
	}
	if timed && all > 0 {
		slices.Sort(seconds)
		return seconds[len(seconds)/2] >= slowFrom
	}
	m := t.Bars[len(t.Bars)/2].Meter
	switch {
	case m.Beats == 3 && m.Unit <= 4:
		return true
	case m.Unit >= 8 && m.Beats%3 == 0:
		return false
	}
	return 2*short < all
}

// Single reports whether a tune never has two notes at once.
func Single(t *tune.Tune) bool {
	for b := range t.Bars {
		for v, line := range t.Bars[b].Lines {
			for i := range line {
				if line[i].Kind == tune.Sounding && (v > 0 || len(line[i].Notes) > 1) {
					return false
				}
			}
		}
	}
	return true
}
