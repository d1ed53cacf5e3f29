package writing

import "lapwright/tune"

// divisions is how many parts a quarter note is counted in.
type divisions int64

// of returns a time in divisions; divisionsFor has made that exact.
func (d divisions) of(t tune.Ticks) int64 {
	num, den := t.Fraction()
	return num * (int64(d) * 4 / den)
}

// staff is what the staff of notes and the tablature write in the same way.
type staff struct {
	*emitter
	divisions divisions
	row       int // from 1, the highest; 0 where the part has one staff alone
}

func (w staff) openNote(as *tune.Note, chord, grace bool) {
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

// cross writes the head of a stroke without pitch.
func (w staff) cross(chop bool) {
	if chop {
		w.text("notehead", "x")
	}
}

// duration writes how long a note or rest is.
func (w staff) duration(t tune.Ticks) { w.number("duration", w.divisions.of(t)) }

// voice writes the number of a voice.
func (w staff) voice(n int) { w.number("voice", int64(n)) }

// place writes which staff it is, in a part of several.
func (w staff) place() {
	if w.row > 0 {
		w.number("staff", int64(w.row))
	}
}

// openRest begins a rest; a hidden one is not printed.
func (w staff) openRest(e *tune.Event, voice int, hidden bool) {
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
	w.duration(e.Len)
	w.voice(voice)
	if e.Kind != tune.Skip {
		w.value(e)
	}
	w.timeModification(e)
	w.place()
}

// own writes one of our own marks (marks.go).
func (w staff) own(text string) {
	w.text("other-notation", text, "type", "single", "print-object", "no")
}

func edgeOfTuplet(e *tune.Event) bool {
	for _, t := range e.Tuplets {
		if t.Starts || t.Ends {
			return true
		}
	}
	return false
}
