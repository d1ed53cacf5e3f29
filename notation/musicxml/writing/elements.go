package writing

import (
	"strconv"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// Elements that say one thing of the tune, whatever part or staff they stand in.

// ties writes that a note is tied from the one before, and on to the next.
func (w *emitter) ties(stop, start bool) {
	if stop {
		w.empty("tie", "type", "stop")
	}
	if start {
		w.empty("tie", "type", "start")
	}
}

// value writes what an event is drawn as; a rest for the bar says it otherwise.
func (w *emitter) value(e *tune.Event) {
	if e.Value.BarRest {
		return
	}
	w.plainValue(e.Value)
}

// plainValue writes a value and its dots.
func (w *emitter) plainValue(v tune.Value) {
	i := int(v.Log2) - terms.FirstTypeLog2
	if i < 0 || i >= len(terms.TypeNames) {
		return
	}
	w.text("type", terms.TypeNames[i])
	for range v.Dots {
		w.empty("dot")
	}
}

// accidental writes a sign before a note where it is needed or shown to remind.
func (w *emitter) accidental(n *tune.Note, needed bool) {
	if !needed && !n.Show && !n.Courtesy {
		return
	}
	courtesy := ""
	if n.Courtesy {
		courtesy = "yes"
	}
	w.text("accidental", terms.AccidentalNames[n.Name.Alter+2], "cautionary", courtesy, "parentheses", courtesy)
}

// timeModification writes what the tuplets round an event make of its value.
func (w *emitter) timeModification(e *tune.Event) {
	if len(e.Tuplets) == 0 {
		return
	}
	actual, normal := int64(1), int64(1)
	for _, t := range e.Tuplets {
		actual *= int64(t.Actual)
		normal *= int64(t.Normal)
	}
	w.open("time-modification")
	w.number("actual-notes", actual)
	w.number("normal-notes", normal)
	w.close()
}

// beams writes how each level of beam goes on at a note.
func (w *emitter) beams(levels []string) {
	for i, kind := range levels {
		w.text("beam", kind, "number", strconv.Itoa(i+1))
	}
}

// openGrace begins the note of a grace.
func (w *emitter) openGrace(g *tune.Grace) {
	w.open("note")
	slash := "no"
	if g.Slash {
		slash = "yes"
	}
	w.empty("grace", "slash", slash)
}

// tuplets writes the brackets that begin and end at an event.
func (w *emitter) tuplets(e *tune.Event) {
	for i, t := range e.Tuplets {
		if t.Starts {
			w.open("tuplet", "type", "start", "number", strconv.Itoa(min(i+1, 16)))
			w.open("tuplet-actual")
			w.number("tuplet-number", int64(t.Actual))
			w.close()
			w.open("tuplet-normal")
			w.number("tuplet-number", int64(t.Normal))
			w.close()
			w.close()
		}
	}
	for i := len(e.Tuplets) - 1; i >= 0; i-- {
		if e.Tuplets[i].Ends {
			w.empty("tuplet", "type", "stop", "number", strconv.Itoa(min(i+1, 16)))
		}
	}
}

// marks writes the signs at an event.
func (w *emitter) marks(e *tune.Event) {
	for _, m := range e.Marks {
		el, ok := terms.MarkElements[m]
		switch {
		case !ok:
		case el.Holder == "":
			w.empty(el.Name)
		default:
			w.open(el.Holder)
			if el.Text != "" {
				w.text(el.Name, el.Text)
			} else {
				w.empty(el.Name)
			}
			w.close()
		}
	}
}

// key writes a signature: by its place in the circle of fifths, else letter by letter.
func (w *emitter) key(k pitch.Key) {
	w.open("key")
	f := k.Fifths()
	if f >= -7 && f <= 7 && k.Signature == pitch.SignatureOf(f) {
		w.number("fifths", int64(f))
		w.text("mode", k.Mode.String())
	} else {
		// Only what is altered is written, sharps in their usual order first.
		for _, l := range []pitch.Letter{pitch.F, pitch.C, pitch.G, pitch.D, pitch.A, pitch.E, pitch.B} {
			if a := k.Alter(l); a != 0 {
				w.text("key-step", l.String())
				w.number("key-alter", int64(a))
			}
		}
	}
	w.close()
}

// meter writes a time signature.
func (w *emitter) meter(m tune.Meter) {
	symbol := ""
	switch m.Symbol {
	case "C":
		symbol = "common"
	case "C|":
		symbol = "cut"
	}
	w.open("time", "symbol", symbol)
	if m.Beats == 0 {
		w.empty("senza-misura")
	} else {
		w.text("beats", m.Numerator())
		w.number("beat-type", int64(m.Unit))
	}
	w.close()
}

// class writes a letter and its alteration.
func (w *emitter) class(name, step, alter string, c pitch.Class) {
	w.open(name)
	w.text(step, c.Letter.String())
	if c.Alter != 0 {
		w.number(alter, int64(c.Alter))
	}
	w.close()
}
