package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// noteReader reads the notes and rests of a part.
type noteReader struct {
	r       *reader
	clock   *clock
	concert *concertPitch
	staffs  staffs
	verses  verses
	beamed  bool // the part has beams of its own
	pitched int  // notes that sound, graces counted in
}

// note reads one note element: a rest, a note, a note of a chord or a grace.
func (nr *noteReader) note(c *measure, n *node) error {
	if nr.r.notes++; nr.r.notes > terms.MaxNotes {
		return nr.r.fail(n.line, n.col, "the score has more than %d notes", terms.MaxNotes)
	}
	voice, staff := strings.TrimSpace(n.value("voice")), staffNumber(n.value("staff"))
	if voice == "" {
		voice = "1"
	}
	chord := n.kid("chord") != nil
	graceAt := n.kid("grace")
	note, sounds := nr.tone(n)
	if n.kid("cue") != nil && sounds {
		nr.r.leave(n, "small notes that others play (cue)")
		sounds = false
	}
	if graceAt != nil {
		if sounds {
			nr.grace(c, n, graceAt, voice, staff, note, chord)
		}
		return nil
	}
	d, err := nr.clock.duration(n)
	if err != nil {
		return err
	}
	if chord {
		if c.last == nil {
			nr.r.warn(n.line, n.col, "a note is said to belong to a chord that has not begun, and stands by itself")
		} else {
			if sounds {
				if d != c.last.Len {
					nr.r.warn(n.line, n.col, "a note of a chord has another length than its first, and is given that one")
				}
				nr.addTone(c.last, n, note)
			}
			return nil
		}
	}
	e := &rawEvent{voice: voice, staff: staff, actual: 1, normal: 1, line: n.line, col: n.col}
	e.At, e.Len, e.Kind = c.at, d, tune.Rest
	if sounds {
		e.Kind = tune.Sounding
	} else if n.attr("print-object") == "no" || n.kid("rest") == nil {
		e.Kind = tune.Skip
	}
	if d == 0 {
		nr.r.warn(n.line, n.col, "a note of no length is left out")
		return nil
	}
	if rest := n.kid("rest"); rest != nil && rest.attr("measure") == "yes" {
		e.measureRest = true
	}
	e.readValue(n)
	if sounds {
		nr.addTone(e, n, note)
	} else {
		hangingOn(nr.r, e, n, nil)
	}
	e.Lyrics = nr.verses.lyrics(nr.r, n)
	for _, k := range n.kids {
		if k.name == "beam" && (k.attr("number") == "" || k.attr("number") == "1") {
			e.beam = strings.TrimSpace(k.text)
			nr.beamed = true
		}
	}
	// Graces wait for a note; in a staff that only shows another's music they
	// belong to whatever stands there, for the note itself may be left out of it.
	if sounds || nr.staffs.at(staff).alternate {
		kept := c.graces[:0]
		for _, g := range c.graces {
			if g.voice != voice {
				kept = append(kept, g)
				continue
			}
			if g.late {
				nr.r.warn(g.line, g.col, "a grace at the end of a measure is played before the next note")
			}
			e.Graces = append(e.Graces, g.grace)
			for _, f := range g.fingers {
				f.Ref.Grace = len(e.Graces) - 1
				e.fingers = append(e.fingers, f)
			}
		}
		c.graces = kept
	}
	c.at += d
	c.end = max(c.end, c.at)
	c.last, c.grace = e, nil
	c.events = append(c.events, e)
	return nil
}

// tone reads the pitch of a note as it sounds; false for rests and for notes
// without a pitch.
func (nr *noteReader) tone(n *node) (tune.Note, bool) {
	if k := n.kid("pitch"); k != nil {
		name, wrong := nr.concert.pitchOf(k, "step", "alter", "octave")
		if wrong != "" {
			nr.r.warn(k.line, k.col, "%s, and the note becomes a rest", wrong)
			return tune.Note{}, false
		}
		name = name.Up(nr.concert.transpose)
		if name.Key() < pitch.MinKey || name.Key() > pitch.MaxKey {
			nr.r.warn(k.line, k.col, "the note %s is beyond all instruments and becomes a rest", name)
			return tune.Note{}, false
		}
		nr.pitched++
		return tune.Note{Name: name}, true
	}
	if k := n.kid("unpitched"); k != nil {
		if name, ok := chopOf(n); ok {
			nr.pitched++
			return tune.Note{Name: name, Chop: true}, true
		}
		nr.r.leave(k, "notes without a pitch (unpitched)")
	}
	return tune.Note{}, false
}

// chopOf returns the open string that our own mark gives a stroke without pitch.
func chopOf(n *node) (pitch.Name, bool) {
	for _, all := range n.kids {
		if all.name != "notations" {
			continue
		}
		for _, k := range all.kids {
			if rest, ok := strings.CutPrefix(k.text, terms.WordChop+" "); ok && k.name == "other-notation" {
				name, err := pitch.ParseName(strings.TrimSpace(rest))
				return name, err == nil && name.Key() >= pitch.MinKey && name.Key() <= pitch.MaxKey
			}
		}
	}
	return pitch.Name{}, false
}

// readValue reads type, dots and time modification.
func (e *rawEvent) readValue(n *node) {
	if k := n.kid("type"); k != nil {
		if i := slices.Index(terms.TypeNames[:], strings.TrimSpace(k.text)); i >= 0 {
			e.Value.Log2 = int8(i + terms.FirstTypeLog2)
			e.hasValue = true
		}
	}
	for _, k := range n.kids {
		if k.name == "dot" {
			e.Value.Dots++
		}
		if k.name == "time-modification" {
			a, err := strconv.Atoi(strings.TrimSpace(k.value("actual-notes")))
			m, err2 := strconv.Atoi(strings.TrimSpace(k.value("normal-notes")))
			if err == nil && err2 == nil && a >= 1 && m >= 1 && a <= 4096 && m <= 4096 {
				e.actual, e.normal = a, m
			}
		}
	}
	if e.Value.Dots > tune.MaxDots {
		e.hasValue = false
	}
}

// addTone puts a note into an event, from low to high, and reads what hangs on
// it.
func (nr *noteReader) addTone(e *rawEvent, n *node, note tune.Note) {
	if len(e.Notes) == tune.MaxNotes {
		nr.r.leave(n, "notes of chords of more than %d", tune.MaxNotes)
		return
	}
	for _, k := range n.kids {
		if k.name == "tie" && k.attr("type") == "start" {
			note.Tie = true
		}
	}
	readAccidental(&note, n)
	f := hangingOn(nr.r, e, n, &note)
	i := 0
	for i < len(e.Notes) && e.Notes[i].Name.Key() <= note.Name.Key() {
		i++
	}
	e.Notes = slices.Insert(e.Notes, i, note)
	for _, g := range e.fingers {
		if g.Ref.Grace < 0 && g.Ref.Note >= i {
			g.Ref.Note++
		}
	}
	if f != nil {
		f.Ref.Grace, f.Ref.Note = -1, i
		e.fingers = append(e.fingers, f)
	}
}

// readAccidental notes that an accidental is printed; assembling the bar finds
// out whether it would be anyway.
func readAccidental(note *tune.Note, n *node) {
	a := n.kid("accidental")
	if a == nil {
		return
	}
	note.Courtesy = a.attr("cautionary") == "yes" || a.attr("parentheses") == "yes" || a.attr("bracket") == "yes"
	note.Show = !note.Courtesy
}

// grace reads a note or chord played before the event that follows.
func (nr *noteReader) grace(c *measure, n, graceAt *node, voice string, staff int, note tune.Note, chord bool) {
	e := &rawEvent{actual: 1, normal: 1}
	e.readValue(n)
	v := e.Value
	if !e.hasValue {
		v = tune.Value{Log2: 3}
	}
	readAccidental(&note, n)
	f := hangingOn(nr.r, e, n, &note)
	note.Tie = false
	if len(e.slurs) > 0 {
		nr.r.leave(n, "slurs on graces")
	}
	if len(e.Marks) > 0 {
		nr.r.leave(n, "marks on graces")
	}
	if n.kid("lyric") != nil {
		nr.r.leave(n.kid("lyric"), "syllables on graces")
	}
	if f != nil {
		f.graced = true
	}
	if chord && c.grace != nil {
		g := &c.graces[len(c.graces)-1]
		i := 0
		for i < len(g.grace.Notes) && g.grace.Notes[i].Name.Key() <= note.Name.Key() {
			i++
		}
		g.grace.Notes = slices.Insert(g.grace.Notes, i, note)
		for _, x := range g.fingers {
			if x.Ref.Note >= i {
				x.Ref.Note++
			}
		}
		if f != nil {
			f.Ref.Note = i
			g.fingers = append(g.fingers, f)
		}
		return
	}
	count := 0
	for _, g := range c.graces {
		if g.voice == voice {
			count++
		}
	}
	if count == tune.MaxGraces {
		nr.r.leave(n, "more than %d graces before one note", tune.MaxGraces)
		return
	}
	g := pendingGrace{voice: voice, staff: staff, grace: tune.Grace{Notes: []tune.Note{note}, Value: v, Slash: graceAt.attr("slash") == "yes"}, line: n.line, col: n.col}
	if f != nil {
		g.fingers = append(g.fingers, f)
	}
	c.graces = append(c.graces, g)
	c.grace, c.last = &c.graces[len(c.graces)-1], nil
}
