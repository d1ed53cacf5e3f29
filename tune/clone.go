package tune

import (
	"slices"

	"lapwright/pitch"
)

// Clone returns a copy that shares nothing with t, so that either can be changed.
func (t *Tune) Clone() *Tune {
	out := *t
	out.Subtitles = slices.Clone(t.Subtitles)
	out.Notes = slices.Clone(t.Notes)
	out.Words = slices.Clone(t.Words)
	out.Voices = slices.Clone(t.Voices)
	out.Bars = slices.Clone(t.Bars)
	for i := range out.Bars {
		b := &out.Bars[i]
		b.Meter.Groups = slices.Clone(b.Meter.Groups)
		b.Endings = slices.Clone(b.Endings)
		b.Signs = slices.Clone(b.Signs)
		b.Tempos = slices.Clone(b.Tempos)
		b.Texts = slices.Clone(b.Texts)
		b.Chords = slices.Clone(b.Chords)
		for j, c := range b.Chords {
			b.Chords[j].Chord = cloneChord(c.Chord)
		}
		b.Lines = slices.Clone(b.Lines)
		for j := range b.Lines {
			b.Lines[j] = slices.Clone(b.Lines[j])
			for k := range b.Lines[j] {
				b.Lines[j][k].own()
			}
		}
	}
	return &out
}

// own makes the event's slices its own.
func (e *Event) own() {
	e.Notes = slices.Clone(e.Notes)
	e.Graces = slices.Clone(e.Graces)
	for i := range e.Graces {
		e.Graces[i].Notes = slices.Clone(e.Graces[i].Notes)
	}
	e.Tuplets = slices.Clone(e.Tuplets)
	e.Marks = slices.Clone(e.Marks)
	e.Lyrics = slices.Clone(e.Lyrics)
}

func cloneChord(c *pitch.Chord) *pitch.Chord {
	if c == nil {
		return nil
	}
	out := *c
	out.Tones = slices.Clone(c.Tones)
	return &out
}
