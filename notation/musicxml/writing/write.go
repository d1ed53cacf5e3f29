package writing

import (
	"fmt"
	"strconv"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tab"
	"lapwright/tune"
)

// Tab returns a tab as MusicXML 4.0: one part with a staff of notes and, under
// it, the tablature of the same notes. A note that the rig can't play stands
// in the staff with its head in brackets and is missing from the tablature.
func Tab(t *tab.Tab) ([]byte, error) {
	return Together([]*tab.Tab{t})
}

// Together returns several tabs as one MusicXML 4.0 score: a part for each, in order,
// with its staff and tablature. Title, composer and what else belongs to the piece are
// those of the first. It fails, as Tab does, for a score that would be beyond what is read
// again, and for tabs of bars that are not as long.
func Together(tabs []*tab.Tab) ([]byte, error) {
	if len(tabs) == 0 {
		return nil, &fault.Fault{Msg: "a score needs a part"}
	}
	if len(tabs) > terms.MaxParts {
		return nil, &fault.Fault{Msg: fmt.Sprintf("the score would have %d parts, and %d is the most that is read again", len(tabs), terms.MaxParts)}
	}
	s := &score{emitter: &emitter{}}
	for i, t := range tabs {
		sung := t.Tune
		if i > 0 {
			sung = unsung(sung)
		}
		p, err := newPart(s.emitter, i+1, sung, t)
		if err != nil {
			return nil, err
		}
		if err := sameBars(tabs[0].Tune, t.Tune); err != nil {
			return nil, err
		}
		s.parts = append(s.parts, p)
	}
	return s.bounded()
}

// unsung returns a tune without its syllables, which stay with the first part.
func unsung(t *tune.Tune) *tune.Tune {
	out := t.Clone()
	for i := range out.Bars {
		for _, line := range out.Bars[i].Lines {
			for k := range line {
				line[k].Lyrics = nil
			}
		}
	}
	return out
}

// sameBars says why two tunes can't be parts of one score.
func sameBars(a, b *tune.Tune) error {
	if len(a.Bars) != len(b.Bars) {
		return &fault.Fault{Msg: fmt.Sprintf("one part has %d bars and another %d", len(a.Bars), len(b.Bars))}
	}
	for i := range a.Bars {
		if a.Bars[i].Len != b.Bars[i].Len {
			return &fault.Fault{Bar: strconv.Itoa(a.Bars[i].Number), Msg: fmt.Sprintf("the bar is %s long in one part and %s in another", a.Bars[i].Len, b.Bars[i].Len)}
		}
	}
	return nil
}

// Tune returns a tune as MusicXML 4.0: one part of one staff. It fails, as Tab
// does, for a score that would be beyond what is read again.
func Tune(t *tune.Tune) ([]byte, error) {
	e := &emitter{}
	p, err := newPart(e, 1, t, nil)
	if err != nil {
		return nil, err
	}
	return (&score{e, []*part{p}}).bounded()
}

// Lost lists what MusicXML has no place for in a tune, by bar: a text for each,
// as docs/formats/musicxml.md has it.
func Lost(t *tune.Tune) fault.List {
	var out fault.List
	var prev pitch.Key
	for i := range t.Bars {
		b := &t.Bars[i]
		add := func(msg string) { out.Add(&fault.Fault{Bar: strconv.Itoa(b.Number), Msg: msg}) }
		if f := b.Key.Fifths(); (i == 0 || b.Key != prev) && (f < -7 || f > 7 || b.Key.Signature != pitch.SignatureOf(f)) {
			add("the key signature is the music's own, and MusicXML then has no place for the key's name")
		}
		prev = b.Key
		if b.Right.Repeat > 0 && b.Right.Style == tune.FinalBarline {
			add("a final barline with a repeat is written as a repeat")
		}
	}
	return out
}
