package midi

import (
	"slices"

	"lapwright/tune"
)

// exactLengths is the text event by which a file of ours says that its notes
// end where the music has them end. Others let them end a little early or late.
const exactLengths = "note lengths as written"

// shortGap is the silence, or the overlap, that is a way of playing and no
// music: what is under it closes.
const shortGap = tune.Whole / 16

// endsWritten reports whether the ends of notes are to be taken as they stand:
// when the file says so, or when of those that come near another onset at least
// half meet it exactly.
func (im *importer) endsWritten(heard []heardSound) bool {
	if im.f.exact {
		return true
	}
	onsets := make([]tune.Ticks, len(heard))
	for i := range heard {
		onsets[i] = near(heard[i].at())
	}
	slices.Sort(onsets)
	by, met := 0, 0
	for i := range heard {
		end := near(heard[i].end())
		at, ok := nearest(onsets, end, near(heard[i].at()))
		if d := end - at; !ok || d <= -shortGap || d >= shortGap {
			continue
		}
		by++
		if at == end {
			met++
		}
	}
	return by > 0 && met*2 >= by
}

// nearest returns the time in a sorted list that is nearest to t, of those after
// another time.
func nearest(times []tune.Ticks, t, after tune.Ticks) (tune.Ticks, bool) {
	before, _ := slices.BinarySearch(times, t)
	from, _ := slices.BinarySearch(times, max(t, after+1))
	var best tune.Ticks
	ok := false
	for _, j := range []int{before - 1, from} {
		if j < 0 || j >= len(times) || times[j] <= after {
			continue
		}
		if !ok || max(times[j]-t, t-times[j]) < max(best-t, t-best) {
			best, ok = times[j], true
		}
	}
	return best, ok
}

// settleEnds ends each sound where written music would. An end under a sixteenth
// from another onset is there; else one so near to a beat is on it; else it goes
// to the grid: unit, or the triplet of twice the unit in a beat whose onsets are
// in triplets. Before those two it is brought to where a note that is let sound in
// full would end.
func (im *importer) settleEnds(unit tune.Ticks) {
	onsets := make([]tune.Ticks, 0, len(im.sounds))
	for i := range im.sounds {
		onsets = append(onsets, im.sounds[i].at)
	}
	slices.Sort(onsets)
	full := im.full(onsets)
	for i := range im.sounds {
		s := &im.sounds[i]
		if at, ok := nearest(onsets, s.played, s.at); ok && isNear(at, s.played) {
			s.endAt(at)
			continue
		}
		s.played = s.at + tune.Ticks(float64(s.played-s.at)*full)
		bar := im.barAt(s.played)
		rel, beat := s.played-im.starts[bar], max(im.bars[bar].Meter.Beat(), unit)
		to := min((rel+beat/2)/beat*beat, im.bars[bar].Len)
		if at := im.starts[bar] + to; at > s.at && isNear(at, s.played) {
			s.endAt(at)
			continue
		}
		grid := unit
		lo, _ := slices.BinarySearch(onsets, im.starts[bar]+rel/beat*beat)
		hi, _ := slices.BinarySearch(onsets, im.starts[bar]+rel/beat*beat+beat)
		for _, o := range append(slices.Clone(onsets[lo:hi]), s.at) {
			if (o-im.starts[im.barAt(o)])%unit != 0 && (o-im.starts[im.barAt(o)])%(unit*2/3) == 0 {
				grid = unit * 2 / 3
			}
		}
		at := im.starts[bar] + (rel+grid/2)/grid*grid
		if at <= s.at {
			at = im.starts[bar] + (max(s.at-im.starts[bar], 0)/grid+1)*grid
		}
		s.endAt(at)
	}
}

// full returns how much longer than it is played the usual note of the file is:
// the middle one of those that end near another onset. It is 1 where there are
// under three.
func (im *importer) full(onsets []tune.Ticks) float64 {
	var all []float64
	for i := range im.sounds {
		s := &im.sounds[i]
		if at, ok := nearest(onsets, s.played, s.at); ok && isNear(at, s.played) && s.played > s.at {
			all = append(all, float64(at-s.at)/float64(s.played-s.at))
		}
	}
	if len(all) < 3 {
		return 1
	}
	slices.Sort(all)
	return min(max(all[len(all)/2], 0.75), 1.25)
}

// isNear reports whether two times are under a sixteenth apart.
func isNear(a, b tune.Ticks) bool { return a-b < shortGap && b-a < shortGap }

// endAt sets a sound's end and leaves out the pitches that it would have come to
// after that.
func (s *sound) endAt(at tune.Ticks) {
	s.end = at
	for len(s.parts) > 1 && s.parts[len(s.parts)-1].at >= at {
		s.parts = s.parts[:len(s.parts)-1]
	}
}

// trim takes away the bars after the last sound, which laying out the bars by the
// ends as they were played may have left.
func (im *importer) trim() {
	var end tune.Ticks
	for i := range im.sounds {
		end = max(end, im.sounds[i].end)
	}
	n := len(im.bars)
	for n > 1 && im.starts[n-1] >= end {
		n--
	}
	im.bars, im.starts = im.bars[:n], im.starts[:n+1]
	// A last bar shorter than the one before makes up for the pickup.
	if n > 1 && im.bars[n-1].Len < im.bars[n-2].Len && im.bars[n-2].Len == im.bars[n-2].Meter.Len() {
		im.bars[n-1].Meter = im.bars[n-2].Meter
	}
}
