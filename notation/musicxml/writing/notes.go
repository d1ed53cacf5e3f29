package writing

import (
	"slices"
	"strconv"

	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// tiesInto returns for each note of an event which note it is held on from, or −1:
// from the event before, in the bar or in the one that it is come to from the first
// time, as a second ending is from before the first.
func (w *writer) tiesInto(bar, v, i int) []int {
	e := &w.t.Bars[bar].Lines[v][i]
	if i > 0 {
		return tune.TiedFrom(&w.t.Bars[bar].Lines[v][i-1], e)
	}
	b := w.firstFrom[bar]
	if b < 0 || v >= len(w.t.Bars[b].Lines) || len(w.t.Bars[b].Lines[v]) == 0 {
		return tune.TiedFrom(nil, e)
	}
	line := w.t.Bars[b].Lines[v]
	return tune.TiedFrom(&line[len(line)-1], e)
}

// line writes one voice of one bar on the staff of notes.
func (w *writer) line(bar, v int) {
	b := &w.t.Bars[bar]
	acc := terms.NewAccidentals(b.Key)
	beams := beamLevels(b, b.Lines[v])
	for i := range b.Lines[v] {
		e := &b.Lines[v][i]
		if v == 0 {
			w.within(b, e.At, e.At+e.Len, false)
		}
		w.graces(e, v, acc)
		if e.Kind != tune.Sounding {
			w.voices[v].slides = nil
			w.silence(e, v+1, 1, e.Kind == tune.Skip)
			continue
		}
		writeWedge(w, e, v, "crescendo")
		ties, written := w.tiesInto(bar, v, i), tune.TiedFrom(w.t.EventBefore(bar, v, i), e)
		st := &w.voices[v]
		for j := range e.Notes {
			n := &e.Notes[j]
			w.openNote(n, j > 0, false)
			w.number("duration", w.duration(e.Len))
			w.ties(ties[j] >= 0, n.Tie)
			w.number("voice", int64(v+1))
			w.value(e)
			needed := !n.Chop && acc.Take(n.Name) && written[j] < 0
			w.accidental(n, needed)
			w.timeModification(e)
			writeCross(w, n.Chop)
			if !n.Chop && w.missing[tune.Ref{Bar: bar, Voice: v, Event: i, Grace: -1, Note: j}] {
				w.text("notehead", "normal", "parentheses", "yes")
			}
			w.staffNumber(1)
			if j == 0 {
				w.beams(beams[i])
			}
			w.notations(e, st, j, ties[j] >= 0, len(e.Notes)-1-j)
			if j == 0 {
				w.lyrics(e, st)
			}
			w.close()
		}
		w.endSlides(st)
		writeWedge(w, e, v, "stop")
	}
	if v == 0 {
		w.within(b, b.Len, b.Len, true)
	}
}

func (w *writer) openNote(as *tune.Note, chord, grace bool) {
	if !grace {
		w.open("note")
	}
	if chord {
		w.empty("chord")
	}
	n := as.Name
	if as.Chop {
		w.open("unpitched")
		w.text("display-step", n.Letter.String())
		w.number("display-octave", int64(n.Octave))
		w.close()
		return
	}
	w.open("pitch")
	w.text("step", n.Letter.String())
	if n.Alter != 0 {
		w.number("alter", int64(n.Alter))
	}
	w.number("octave", int64(n.Octave))
	w.close()
}

// writeWedge writes one end of the wedge under an event that swells.
func writeWedge(w *writer, e *tune.Event, v int, kind string) {
	if !slices.Contains(e.Marks, tune.Swell) {
		return
	}
	w.open("direction", "placement", "below")
	w.open("direction-type")
	w.empty("wedge", "type", kind, "number", strconv.Itoa(v%16+1))
	w.close()
	w.number("voice", int64(v+1))
	w.staffNumber(1)
	w.close()
}

// writeCross writes the head of a stroke without pitch.
func writeCross(w *writer, chop bool) {
	if chop {
		w.text("notehead", "x")
	}
}

func (w *writer) staffNumber(n int) {
	if w.tab != nil {
		w.number("staff", int64(n))
	}
}

// silence writes a rest; a hidden one is not printed.
func (w *writer) silence(e *tune.Event, voice, staff int, hidden bool) {
	print := ""
	if hidden {
		print = "no"
	}
	w.open("note", "print-object", print)
	if e.Value.BarRest {
		w.empty("rest", "measure", "yes")
	} else {
		w.empty("rest")
	}
	w.number("duration", w.duration(e.Len))
	w.number("voice", int64(voice))
	if e.Kind != tune.Skip {
		w.value(e)
	}
	w.timeModification(e)
	w.staffNumber(staff)
	if staff == 1 && (len(e.Tuplets) > 0 || hangs(e) || e.Slurs+e.SlurEnds > 0) {
		w.open("notations")
		w.tuplets(e)
		w.slurs(e, &w.voices[voice-1])
		w.marks(e)
		w.close()
	} else if staff == 2 && edgeOfTuplet(e) {
		w.open("notations")
		w.tuplets(e)
		w.close()
	}
	if staff == 1 {
		w.lyrics(e, &w.voices[voice-1])
	}
	w.close()
}

func edgeOfTuplet(e *tune.Event) bool {
	for _, t := range e.Tuplets {
		if t.Starts || t.Ends {
			return true
		}
	}
	return false
}

// graces writes the graces of an event on the staff of notes.
func (w *writer) graces(e *tune.Event, v int, acc *terms.Accidentals) {
	st := &w.voices[v]
	for g := range e.Graces {
		gr := &e.Graces[g]
		for j := range gr.Notes {
			n := &gr.Notes[j]
			w.openGrace(gr)
			w.openNote(n, j > 0, true)
			w.number("voice", int64(v+1))
			w.plainValue(gr.Value)
			w.accidental(n, !n.Chop && acc.Take(n.Name))
			writeCross(w, n.Chop)
			w.staffNumber(1)
			fromTop := len(gr.Notes) - 1 - j
			if n.Glide || n.Scoop != 0 || n.Chop || w.slideStops(st, fromTop) {
				w.open("notations")
				w.slides(st, n, fromTop)
				w.scoop(n)
				w.close()
			}
			w.close()
		}
		w.endSlides(st)
	}
}

// notations writes everything that hangs on a note of the staff of notes. What
// belongs to the whole event goes on its first note.
func (w *writer) notations(e *tune.Event, st *voiceState, j int, tied bool, fromTop int) {
	n := &e.Notes[j]
	whole := j == 0 && (edgeOfTuplet(e) || e.Slurs+e.SlurEnds > 0 || hangs(e))
	if !tied && !n.Tie && !n.Glide && n.Scoop == 0 && !n.Chop && !whole && !w.slideStops(st, fromTop) {
		return
	}
	w.open("notations")
	if tied {
		w.empty("tied", "type", "stop")
	}
	if n.Tie {
		w.empty("tied", "type", "start")
	}
	if j == 0 {
		w.slurs(e, st)
		w.tuplets(e)
	}
	w.slides(st, n, fromTop)
	if j == 0 {
		w.marks(e)
	}
	w.scoop(n)
	w.close()
}

func (w *writer) slurs(e *tune.Event, st *voiceState) {
	for range e.SlurEnds {
		if n := len(st.slurs); n > 0 {
			w.empty("slur", "type", "stop", "number", strconv.Itoa(st.slurs[n-1]))
			st.slurs = st.slurs[:n-1]
		}
	}
	for range e.Slurs {
		n := len(st.slurs)%16 + 1
		st.slurs = append(st.slurs, n)
		w.empty("slur", "type", "start", "number", strconv.Itoa(n))
	}
}

// hangs reports whether an event has a mark that is written on its note; a swell is
// written as a direction.
func hangs(e *tune.Event) bool {
	return slices.ContainsFunc(e.Marks, func(m tune.Mark) bool { return m != tune.Swell })
}

// slideStops reports whether a glide of the voice ends on the note that many
// places below the top.
func (w *writer) slideStops(st *voiceState, fromTop int) bool {
	for _, s := range st.slides {
		if s.fromTop == fromTop {
			return true
		}
	}
	return false
}

// slides ends the glide that comes to a note and begins the one that leaves it.
// Glides that begin here are kept apart by a negative place until endSlides.
func (w *writer) slides(st *voiceState, n *tune.Note, fromTop int) {
	used := map[int]bool{}
	for _, s := range st.slides {
		used[s.number] = true
		if s.fromTop == fromTop {
			w.empty("slide", "type", "stop", "number", strconv.Itoa(s.number), "line-type", "solid")
		}
	}
	if n.Glide {
		number := 1
		for used[number] && number < 16 {
			number++
		}
		w.empty("slide", "type", "start", "number", strconv.Itoa(number), "line-type", "solid")
		st.slides = append(st.slides, slideEnd{-1 - fromTop, number})
	}
}

// endSlides leaves only the glides that have just begun.
func (w *writer) endSlides(st *voiceState) {
	var left []slideEnd
	for _, s := range st.slides {
		if s.fromTop < 0 {
			left = append(left, slideEnd{-1 - s.fromTop, s.number})
		}
	}
	st.slides = left
}

func (w *writer) lyrics(e *tune.Event, st *voiceState) {
	for _, l := range e.Lyrics {
		syllabic := "single"
		switch within := st.verses[l.Verse]; {
		case within && l.Hyphen:
			syllabic = "middle"
		case within:
			syllabic = "end"
		case l.Hyphen:
			syllabic = "begin"
		}
		st.verses[l.Verse] = l.Hyphen
		w.open("lyric", "number", strconv.Itoa(l.Verse))
		w.text("syllabic", syllabic)
		w.text("text", l.Text)
		if l.Extend {
			w.empty("extend")
		}
		w.close()
	}
}

// scoop writes how a note is come to.
func (w *writer) scoop(n *tune.Note) {
	if n.Chop {
		w.own(terms.WordChop + " " + n.Name.String())
	}
	if n.Scoop == 0 {
		return
	}
	w.open("articulations")
	if n.Scoop < 0 {
		w.empty("scoop")
	} else {
		w.empty("plop")
	}
	w.close()
	w.own(terms.WordScoop + " " + strconv.Itoa(int(n.Scoop)))
}

// own writes one of our own marks (marks.go).
func (w *writer) own(text string) {
	w.text("other-notation", text, "type", "single", "print-object", "no")
}
