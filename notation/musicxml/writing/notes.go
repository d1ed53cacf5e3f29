package writing

import (
	"slices"
	"strconv"

	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// noteStaff writes the staff of notes of a part.
type noteStaff struct {
	staff
	t         *tune.Tune
	over      directionWriter
	voices    []voiceState
	firstFrom []int             // the bar that each is come to from the first time (tune.FirstFrom)
	missing   map[tune.Ref]bool // notes that the tablature has not
}

// tiesInto returns for each note of an event which note it is held on from, or −1:
// from the event before, in the bar or in the one that it is come to from the first
// time, as a second ending is from before the first.
func (w *noteStaff) tiesInto(bar, v, i int) []int {
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
func (w *noteStaff) line(bar, v int) {
	b := &w.t.Bars[bar]
	acc := terms.NewAccidentals(b.Key)
	beams := beamLevels(b, b.Lines[v])
	for i := range b.Lines[v] {
		e := &b.Lines[v][i]
		if v == 0 {
			w.over.within(b, e.At, e.At+e.Len, false)
		}
		w.graces(e, v, acc)
		if e.Kind != tune.Sounding {
			w.voices[v].slides = nil
			w.silence(e, v+1)
			continue
		}
		w.wedge(e, v, "crescendo")
		ties, written := w.tiesInto(bar, v, i), tune.TiedFrom(w.t.EventBefore(bar, v, i), e)
		st := &w.voices[v]
		for j := range e.Notes {
			n := &e.Notes[j]
			w.openNote(n, j > 0, false)
			w.duration(e.Len)
			w.ties(ties[j] >= 0, n.Tie)
			w.voice(v + 1)
			w.value(e)
			needed := !n.Chop && acc.Take(n.Name) && written[j] < 0
			w.accidental(n, needed)
			w.timeModification(e)
			w.cross(n.Chop)
			if !n.Chop && w.missing[tune.Ref{Bar: bar, Voice: v, Event: i, Grace: -1, Note: j}] {
				w.text("notehead", "normal", "parentheses", "yes")
			}
			w.place()
			if j == 0 {
				w.beams(beams[i])
			}
			w.notations(e, st, j, ties[j] >= 0, len(e.Notes)-1-j)
			if j == 0 {
				st.writeLyrics(w.emitter, e)
			}
			w.close()
		}
		st.endSlides()
		w.wedge(e, v, "stop")
	}
	if v == 0 {
		w.over.within(b, b.Len, b.Len, true)
	}
}

// wedge writes one end of the wedge under an event that swells.
func (w *noteStaff) wedge(e *tune.Event, v int, kind string) {
	if !slices.Contains(e.Marks, tune.Swell) {
		return
	}
	w.open("direction", "placement", "below")
	w.open("direction-type")
	w.empty("wedge", "type", kind, "number", strconv.Itoa(v%16+1))
	w.close()
	w.voice(v + 1)
	w.place()
	w.close()
}

// silence writes a rest with what hangs on it; what is skipped is not printed.
func (w *noteStaff) silence(e *tune.Event, voice int) {
	st := &w.voices[voice-1]
	w.openRest(e, voice, e.Kind == tune.Skip)
	if len(e.Tuplets) > 0 || hangs(e) || e.Slurs+e.SlurEnds > 0 {
		w.open("notations")
		w.tuplets(e)
		st.writeSlurs(w.emitter, e)
		w.marks(e)
		w.close()
	}
	st.writeLyrics(w.emitter, e)
	w.close()
}

// graces writes the graces of an event on the staff of notes.
func (w *noteStaff) graces(e *tune.Event, v int, acc *terms.Accidentals) {
	st := &w.voices[v]
	for g := range e.Graces {
		gr := &e.Graces[g]
		for j := range gr.Notes {
			n := &gr.Notes[j]
			w.openGrace(gr)
			w.openNote(n, j > 0, true)
			w.voice(v + 1)
			w.plainValue(gr.Value)
			w.accidental(n, !n.Chop && acc.Take(n.Name))
			w.cross(n.Chop)
			w.place()
			fromTop := len(gr.Notes) - 1 - j
			if n.Glide || n.Scoop != 0 || n.Chop || st.slideStops(fromTop) {
				w.open("notations")
				st.writeSlides(w.emitter, n, fromTop)
				w.scoop(n)
				w.close()
			}
			w.close()
		}
		st.endSlides()
	}
}

// notations writes everything that hangs on a note of the staff of notes. What
// belongs to the whole event goes on its first note.
func (w *noteStaff) notations(e *tune.Event, st *voiceState, j int, tied bool, fromTop int) {
	n := &e.Notes[j]
	whole := j == 0 && (edgeOfTuplet(e) || e.Slurs+e.SlurEnds > 0 || hangs(e))
	if !tied && !n.Tie && !n.Glide && n.Scoop == 0 && !n.Chop && !whole && !st.slideStops(fromTop) {
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
		st.writeSlurs(w.emitter, e)
		w.tuplets(e)
	}
	st.writeSlides(w.emitter, n, fromTop)
	if j == 0 {
		w.marks(e)
	}
	w.scoop(n)
	w.close()
}

// hangs reports whether an event has a mark that is written on its note; a swell is
// written as a direction.
func hangs(e *tune.Event) bool {
	return slices.ContainsFunc(e.Marks, func(m tune.Mark) bool { return m != tune.Swell })
}

// scoop writes how a note is come to.
func (w *noteStaff) scoop(n *tune.Note) {
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
