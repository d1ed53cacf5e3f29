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
// when of those that come near another onset at least half meet it exactly.
func endsWritten(heard []heardSound) bool {
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

// settleEnds ends each sound where written music would. An end under a sixteenth
// from another onset is there; else one so near to a beat is on it; else it goes
// to the grid: unit, or the triplet of twice the unit in a beat whose onsets are
// in triplets. Before those two it is brought to where a note that is let sound in
// full would end.
func (p *placing) settleEnds(unit tune.Ticks) {
	onsets := make([]tune.Ticks, 0, len(p.sounds))
	for i := range p.sounds {
		onsets = append(onsets, p.sounds[i].at)
	}
	slices.Sort(onsets)
	full := p.full(onsets)
	triplets := map[tune.Ticks]bool{} // by where a beat begins
	for _, o := range onsets {
		if p.inTriplet(o, unit) {
			bar := p.barAt(o)
			beat := max(p.bars[bar].Meter.Beat(), unit)
			triplets[p.starts[bar]+(o-p.starts[bar])/beat*beat] = true
		}
	}
	for i := range p.sounds {
		s := &p.sounds[i]
		if at, ok := nearest(onsets, s.played, s.at); ok && isNear(at, s.played) {
			s.endAt(at)
			continue
		}
		s.played = s.at + tune.Ticks(float64(s.played-s.at)*full)
		bar := p.barAt(s.played)
		rel, beat := s.played-p.starts[bar], max(p.bars[bar].Meter.Beat(), unit)
		to := min((rel+beat/2)/beat*beat, p.bars[bar].Len)
		if at := p.starts[bar] + to; at > s.at && isNear(at, s.played) {
			s.endAt(at)
			continue
		}
		grid := unit
		if triplets[p.starts[bar]+rel/beat*beat] || p.inTriplet(s.at, unit) {
			grid = unit * 2 / 3
		}
		at := p.starts[bar] + (rel+grid/2)/grid*grid
		if at <= s.at {
			at = p.starts[bar] + (max(s.at-p.starts[bar], 0)/grid+1)*grid
		}
		s.endAt(at)
	}
}

// inTriplet reports whether an onset lies on the grid of triplets of twice the unit
// and not on that of the unit.
func (p *placing) inTriplet(at, unit tune.Ticks) bool {
	rel := at - p.starts[p.barAt(at)]
	return rel%unit != 0 && rel%(unit*2/3) == 0
}

// full returns how much longer than it is played the usual note of the file is:
// the middle one of those that end near another onset. It is 1 where there are
// under three.
func (p *placing) full(onsets []tune.Ticks) float64 {
	var all []float64
	for i := range p.sounds {
		s := &p.sounds[i]
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
