package midi

import (
	"slices"

	"lapwright/tune"
)

// layout is the bars of a tune, without music, and where they stand.
type layout struct {
	bars   []tune.Bar
	starts []tune.Ticks // of each bar, and of the end
}

// barAt returns the bar that a time falls in.
func (l *layout) barAt(at tune.Ticks) int {
	i, found := slices.BinarySearch(l.starts, at)
	if !found {
		i--
	}
	return max(min(i, len(l.bars)-1), 0)
}

// extend adds a bar when a note has come to end past the last one.
func (l *layout) extend(sounds []sound) {
	for i := range sounds {
		for n := len(l.bars); sounds[i].end > l.starts[n] && n <= MaxBars; n = len(l.bars) {
			b := l.bars[n-1]
			b.Len = b.Meter.Len()
			b.Number++
			l.bars = append(l.bars, b)
			l.starts = append(l.starts, l.starts[n]+b.Len)
		}
	}
}

// trim takes away the bars after the last sound, which laying out the bars by the
// ends as they were played may have left.
func (l *layout) trim(sounds []sound) {
	var end tune.Ticks
	for i := range sounds {
		end = max(end, sounds[i].end)
	}
	n := len(l.bars)
	for n > 1 && l.starts[n-1] >= end {
		n--
	}
	l.bars, l.starts = l.bars[:n], l.starts[:n+1]
	// A last bar shorter than the one before makes up for the pickup.
	if n > 1 && l.bars[n-1].Len < l.bars[n-2].Len && l.bars[n-2].Len == l.bars[n-2].Meter.Len() {
		l.bars[n-1].Meter = l.bars[n-2].Meter
	}
}
