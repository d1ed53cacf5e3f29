package abc

import (
	"slices"

	"lapwright/tune"
)

// speller writes what was read as events: notes and rests of plain values, tied where
// one value has not the length.
type speller struct {
	b       *book
	implied []bool // room for which events stand in a tuplet that the file did not write
}

// line writes one line of a bar as events, and puts what goes with them to the bar. An overlay
// is a line beside the voice's own.
func (s *speller) line(b *bar, items []item, overlay bool) {
	var (
		events  = make([]tune.Event, 0, len(items))
		pos     = make([]place, 0, len(items))
		implied = s.implied[:0]
		at      tune.Ticks
	)
	for i := range items {
		it := &items[i]
		if !overlay {
			if b.firsts == nil {
				b.firsts = make([]int32, 0, len(items))
			}
			b.firsts = append(b.firsts, int32(len(events)))
		}
		for _, x := range it.tempos {
			x.At = at
			b.Tempos = append(b.Tempos, x)
		}
		for _, x := range it.chords {
			x.At = at
			b.Chords = append(b.Chords, x)
		}
		for _, x := range it.texts {
			x.At = at
			b.Texts = append(b.Texts, x)
		}
		for _, x := range it.signs {
			x.At = at
			b.Signs = append(b.Signs, x)
		}
		from := len(events)
		var lone bool
		events, lone = s.spell(events, it, b, len(items) == 1)
		for j := from; j < len(events); j++ {
			events[j].At = at
			at += events[j].Len
			pos = append(pos, it.at)
			implied = append(implied, lone)
		}
	}
	s.b.things += 2 * (len(events) - len(items))
	joinTriplets(events, implied)
	s.implied = implied
	b.Len = max(b.Len, at)
	if overlay && !slices.ContainsFunc(events, func(e tune.Event) bool { return e.Kind != tune.Skip }) {
		// An overlay of invisible rests only holds chord symbols or words in
		// their places: it is no voice.
		return
	}
	b.Lines = append(b.Lines, events)
	b.pos = append(b.pos, pos)
}

// fill adds time to the end of a line that is shorter than its bar.
func fill(events []tune.Event, length tune.Ticks) []tune.Event {
	var at tune.Ticks
	if n := len(events); n > 0 {
		at = events[n-1].At + events[n-1].Len
	}
	if at < length {
		events = append(events, tune.Event{At: at, Len: length - at, Kind: tune.Skip, BeamEnd: true})
	}
	return events
}

// spell appends the events that an item is written as: one where a single note
// value has its length, else several tied. lone says that it is one event in a
// tuplet of its own which the file did not write.
func (s *speller) spell(events []tune.Event, it *item, b *bar, alone bool) (out []tune.Event, lone bool) {
	length, ok := it.length()
	if !ok || length <= 0 {
		s.b.warn(int(it.at.lineNumber), int(it.at.col), "a note of %s in its tuplets is no whole number of ticks; its tuplets are left out", it.nominal)
		it.tuplets = nil
		length = it.nominal
	}
	if it.kind == tune.Skip {
		return append(events, tune.Event{Len: length, Kind: tune.Skip, Tuplets: it.tuplets, BeamEnd: it.beamEnd, Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks}), false
	}
	if it.kind == tune.Rest && (it.barRest || alone && length == b.Meter.Len() && len(it.tuplets) == 0) {
		return append(events, tune.Event{
			Len: length, Kind: tune.Rest, Value: tune.Value{BarRest: true}, BeamEnd: it.beamEnd, Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks,
		}), false
	}
	values, inner := s.values(it)
	e := tune.Event{
		Kind: it.kind, Notes: it.notes, Graces: it.graces, Tuplets: it.tuplets, BeamEnd: it.beamEnd,
		Slurs: it.slurs, SlurEnds: it.slurEnds, Marks: it.marks, Lyrics: it.lyrics,
	}
	if inner.Actual > 0 {
		inner.Starts, inner.Ends = true, true
		e.Tuplets = append(slices.Clip(e.Tuplets), inner)
	}
	if len(values) == 1 {
		e.Value = values[0]
		e.Len, _ = e.Value.Scaled(e.Tuplets)
		return append(events, e), inner.Actual > 0 && len(e.Tuplets) == 1
	}
	for i, value := range values {
		part := e
		part.Value = value
		part.Tuplets = slices.Clone(e.Tuplets)
		for j := range part.Tuplets {
			x := &part.Tuplets[j]
			x.Starts = x.Starts && i == 0
			x.Ends = x.Ends && i == len(values)-1
		}
		part.Len, _ = value.Scaled(part.Tuplets)
		if i > 0 {
			part.Graces, part.Marks, part.Lyrics, part.Slurs = nil, nil, nil, 0
		}
		if i < len(values)-1 {
			part.BeamEnd, part.SlurEnds = false, 0
		}
		part.Notes = slices.Clone(e.Notes)
		for j := range part.Notes {
			x := &part.Notes[j]
			if i > 0 {
				x.Scoop, x.Show, x.Courtesy = 0, false, false
			}
			if i < len(values)-1 {
				x.Tie, x.Glide = true, false
			}
		}
		events = append(events, part)
	}
	return events, false
}

// values returns the note values that add up to an item's length, and the tuplet
// that they stand in when the length is a third, fifth … of one.
func (s *speller) values(it *item) ([]tune.Value, tune.Tuplet) {
	if value, ok := tune.ValueOf(it.nominal); ok {
		return []tune.Value{value}, tune.Tuplet{}
	}
	if values, ok := tune.Values(it.nominal); ok {
		return values, tune.Tuplet{}
	}
	_, den := it.nominal.Fraction()
	odd := int(den)
	for odd%2 == 0 {
		odd /= 2
	}
	normal := 1
	for normal*2 < odd {
		normal *= 2
	}
	if odd > 1 && odd <= tune.MaxTuplet {
		if values, ok := tune.Values(it.nominal * tune.Ticks(odd) / tune.Ticks(normal)); ok {
			return values, tune.Tuplet{Actual: odd, Normal: normal}
		}
	}
	s.b.warn(int(it.at.lineNumber), int(it.at.col), "a note of %s can't be written; a sixteenth is taken", it.nominal)
	it.tuplets = nil
	return []tune.Value{{Log2: 4}}, tune.Tuplet{}
}

// joinTriplets makes one tuplet of neighbours that each make the same tuplet
// alone, as lengths such as 1/12 1/12 1/12 do, where together they last a plain
// note value. lone says which events those are.
func joinTriplets(events []tune.Event, lone []bool) {
	for i := 0; i < len(events); i++ {
		if !lone[i] {
			continue
		}
		x := events[i].Tuplets[0]
		var sum tune.Ticks
		for j := i; j < len(events) && lone[j] && events[j].Tuplets[0] == x; j++ {
			sum += events[j].Len
			if _, den := sum.Fraction(); den&(den-1) != 0 {
				continue
			}
			for k := i; k <= j; k++ {
				events[k].Tuplets[0].Starts, events[k].Tuplets[0].Ends = k == i, k == j
			}
			i = j
			break
		}
	}
}
