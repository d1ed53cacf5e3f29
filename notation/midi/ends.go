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
		onsets[i] = near(heard[i].start())
	}
	slices.Sort(onsets)
	by, met := 0, 0
	for i := range heard {
		end := near(heard[i].end())
		at, ok := nearest(onsets, end, near(heard[i].start()))
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
	triplets := map[tune.Ticks]bool{} // by where a beat begins
	for _, o := range onsets {
		if im.inTriplet(o, unit) {
			bar := im.barAt(o)
			beat := max(im.bars[bar].Meter.Beat(), unit)
			triplets[im.starts[bar]+(o-im.starts[bar])/beat*beat] = true
		}
	}
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
		if triplets[im.starts[bar]+rel/beat*beat] || im.inTriplet(s.at, unit) {
			grid = unit * 2 / 3
		}
		at := im.starts[bar] + (rel+grid/2)/grid*grid
		if at <= s.at {
			at = im.starts[bar] + (max(s.at-im.starts[bar], 0)/grid+1)*grid
		}
		s.endAt(at)
	}
}

// inTriplet reports whether an onset lies on the grid of triplets of twice the unit
// and not on that of the unit.
func (im *importer) inTriplet(at, unit tune.Ticks) bool {
	rel := at - im.starts[im.barAt(at)]
	return rel%unit != 0 && rel%(unit*2/3) == 0
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
