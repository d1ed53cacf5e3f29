package writing

import (
	"fmt"
	"strconv"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
)

// score writes a score of several parts. What belongs to the piece is of the first.
type score struct {
	*emitter
	parts []*part
}

// roughly returns about how many bytes the score has, which saves copying them as they
// come.
func (w *score) roughly() int {
	const note, measure = 350, 400
	n := 0
	for _, p := range w.parts {
		notes := note
		if p.tablature != nil {
			notes *= 2
		}
		for i := range p.t.Bars {
			n += measure
			for _, line := range p.t.Bars[i].Lines {
				n += notes * len(line)
			}
		}
	}
	return min(n, terms.MaxBytes)
}

// bounded writes the score and fails when Read would refuse it.
func (w *score) bounded() ([]byte, error) {
	refuse := func(what string, have, most int) ([]byte, error) {
		return nil, &fault.Fault{Msg: fmt.Sprintf("the score would have %d %s, and %d is the most that is read again", have, what, most)}
	}
	for _, p := range w.parts {
		if n := len(p.t.Voices); n > terms.MaxVoices {
			return refuse("voices", n, terms.MaxVoices)
		}
	}
	if n := len(w.parts[0].t.Bars) * len(w.parts); n > terms.MaxMeasures {
		return refuse("measures", n, terms.MaxMeasures)
	}
	w.Grow(w.roughly())
	out := w.write()
	switch {
	case w.notes > terms.MaxNotes:
		return refuse("notes", w.notes, terms.MaxNotes)
	case w.directions > terms.MaxMarks:
		return refuse("directions and chord symbols", w.directions, terms.MaxMarks)
	case w.most > terms.MaxElements:
		return refuse("elements in one measure", w.most, terms.MaxElements)
	case len(out) > terms.MaxBytes:
		return refuse("bytes", len(out), terms.MaxBytes)
	}
	return out, nil
}

func (w *score) write() []byte {
	w.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	w.WriteString("<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\">\n")
	w.open("score-partwise", "version", "4.0")
	w.header()
	for _, p := range w.parts {
		w.open("part", "id", p.id())
		for i := range p.t.Bars {
			p.measure(i)
		}
		w.close()
	}
	w.close()
	return w.Bytes()
}

func (w *score) header() {
	t := w.parts[0].t
	if t.Title != "" {
		w.open("work")
		w.text("work-title", t.Title)
		w.close()
	}
	w.open("identification")
	if t.Composer != "" {
		w.text("creator", t.Composer, "type", "composer")
	}
	w.open("encoding")
	w.text("software", "Lapwright")
	for _, element := range []string{"accidental", "beam"} {
		w.empty("supports", "element", element, "type", "yes")
	}
	w.close()
	if t.Source != "" {
		w.text("source", t.Source)
	}
	w.miscellaneous()
	w.close()
	for _, s := range t.Subtitles {
		w.open("credit", "page", "1")
		w.text("credit-type", "subtitle")
		w.text("credit-words", s)
		w.close()
	}
	w.open("part-list")
	for _, p := range w.parts {
		p.writeListed()
	}
	w.close()
}

func (w *score) miscellaneous() {
	t := w.parts[0].t
	var fields [][2]string
	add := func(name, value string) {
		if value != "" {
			fields = append(fields, [2]string{name, value})
		}
	}
	if t.Index != 0 {
		add(terms.FieldIndex, strconv.Itoa(t.Index))
	}
	add(terms.FieldRhythm, t.Rhythm)
	add(terms.FieldOrigin, t.Origin)
	add(terms.FieldPartOrder, t.PartOrder)
	for _, s := range t.Notes {
		add(terms.FieldNote, s)
	}
	for _, s := range t.Words {
		fields = append(fields, [2]string{terms.FieldWords, s}) // an empty line parts verses
	}
	for _, p := range w.parts {
		p.ownFields(add)
	}
	if len(fields) == 0 {
		return
	}
	w.open("miscellaneous")
	for _, f := range fields {
		w.text("miscellaneous-field", f[1], "name", f[0])
	}
	w.close()
}
