package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// note reads one note element: a rest, a note, a note of a chord or a grace.
func (p *partReader) note(b *rawBar, c *cursor, n *node) error {
	if p.r.notes++; p.r.notes > terms.MaxNotes {
		return p.r.fail(n.line, n.col, "the score has more than %d notes", terms.MaxNotes)
	}
	voice, staff := strings.TrimSpace(n.value("voice")), staffNumber(n.value("staff"))
	if voice == "" {
		voice = "1"
	}
	chord := n.kid("chord") != nil
	graceAt := n.kid("grace")
	note, sounds := p.tone(n)
	if n.kid("cue") != nil && sounds {
		p.r.leave(n, "small notes that others play (cue)")
		sounds = false
	}
	if graceAt != nil {
		if sounds {
			p.grace(c, n, graceAt, voice, staff, note, chord)
		}
		return nil
	}
	d, err := p.duration(n)
	if err != nil {
		return err
	}
	if chord {
		if c.last == nil {
			p.r.warn(n.line, n.col, "a note is said to belong to a chord that has not begun, and stands by itself")
		} else {
			if sounds {
				if d != c.last.Len {
					p.r.warn(n.line, n.col, "a note of a chord has another length than its first, and is given that one")
				}
				p.addTone(c.last, n, note)
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
		p.r.warn(n.line, n.col, "a note of no length is left out")
		return nil
	}
	if rest := n.kid("rest"); rest != nil && rest.attr("measure") == "yes" {
		e.measureRest = true
	}
	p.value(e, n)
	if sounds {
		p.addTone(e, n, note)
	} else {
		p.notations(e, n, nil)
	}
	p.lyrics(e, n)
	for _, k := range n.kids {
		if k.name == "beam" && (k.attr("number") == "" || k.attr("number") == "1") {
			e.beam = strings.TrimSpace(k.text)
			p.beamed = true
		}
	}
	// Graces wait for a note; in a staff that only shows another's music they
	// belong to whatever stands there, for the note itself may be left out of it.
	if sounds || p.staff(staff).alternate {
		kept := c.graces[:0]
		for _, g := range c.graces {
			if g.voice != voice {
				kept = append(kept, g)
				continue
			}
			if g.late {
				p.r.warn(g.line, g.col, "a grace at the end of a measure is played before the next note")
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
	b.events = append(b.events, e)
	return nil
}

// tone reads the pitch of a note as it sounds; false for rests and for notes
// without a pitch.
func (p *partReader) tone(n *node) (tune.Note, bool) {
	if k := n.kid("pitch"); k != nil {
		name, wrong := p.pitchOf(k, "step", "alter", "octave")
		if wrong != "" {
			p.r.warn(k.line, k.col, "%s, and the note becomes a rest", wrong)
			return tune.Note{}, false
		}
		name = name.Up(p.transpose)
		if name.Key() < pitch.MinKey || name.Key() > pitch.MaxKey {
			p.r.warn(k.line, k.col, "the note %s is beyond all instruments and becomes a rest", name)
			return tune.Note{}, false
		}
		p.out.Notes++
		return tune.Note{Name: name}, true
	}
	if k := n.kid("unpitched"); k != nil {
		if name, ok := chopOf(n); ok {
			p.out.Notes++
			return tune.Note{Name: name, Chop: true}, true
		}
		p.r.leave(k, "notes without a pitch (unpitched)")
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

// value reads type, dots and time modification.
func (p *partReader) value(e *rawEvent, n *node) {
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
func (p *partReader) addTone(e *rawEvent, n *node, note tune.Note) {
	if len(e.Notes) == tune.MaxNotes {
		p.r.leave(n, "notes of chords of more than %d", tune.MaxNotes)
		return
	}
	for _, k := range n.kids {
		if k.name == "tie" && k.attr("type") == "start" {
			note.Tie = true
		}
	}
	readAccidental(&note, n)
	f := p.notations(e, n, &note)
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
func (p *partReader) grace(c *cursor, n, graceAt *node, voice string, staff int, note tune.Note, chord bool) {
	e := &rawEvent{actual: 1, normal: 1}
	p.value(e, n)
	v := e.Value
	if !e.hasValue {
		v = tune.Value{Log2: 3}
	}
	readAccidental(&note, n)
	f := p.notations(e, n, &note)
	note.Tie = false
	if e.Slurs+e.SlurEnds+len(e.slurs) > 0 {
		p.r.leave(n, "slurs on graces")
	}
	if len(e.Marks) > 0 {
		p.r.leave(n, "marks on graces")
	}
	if n.kid("lyric") != nil {
		p.r.leave(n.kid("lyric"), "syllables on graces")
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
		p.r.leave(n, "more than %d graces before one note", tune.MaxGraces)
		return
	}
	g := pendingGrace{voice: voice, staff: staff, grace: tune.Grace{Notes: []tune.Note{note}, Value: v, Slash: graceAt.attr("slash") == "yes"}, line: n.line, col: n.col}
	if f != nil {
		g.fingers = append(g.fingers, f)
	}
	c.graces = append(c.graces, g)
	c.grace, c.last = &c.graces[len(c.graces)-1], nil
}

// marksByElement finds a mark by the element that writes it.
var marksByElement = func() map[string]tune.Mark {
	out := map[string]tune.Mark{}
	for m, el := range terms.MarkElements {
		if el.Text == "" {
			out[el.Name] = m
		}
	}
	return out
}()

// notations reads what hangs on a note. note is nil for rests.
func (p *partReader) notations(e *rawEvent, n *node, note *tune.Note) *Finger {
	var f *Finger
	finger := func() *Finger {
		if f == nil {
			f = &Finger{line: n.line, col: n.col}
			f.Ref.Grace = -1
		}
		return f
	}
	hasString, hasFret := false, false
	for _, all := range n.kids {
		if all.name != "notations" {
			continue
		}
		for _, k := range all.kids {
			switch k.name {
			case "tied":
				if note != nil && k.attr("type") == "start" {
					note.Tie = true
				}
				if k.attr("type") == "stop" {
					finger().tied = true
				}
			case "slur":
				if t := k.attr("type"); t == "start" || t == "stop" {
					e.slurs = append(e.slurs, slurMark{slurNumber(k), t == "start"})
				}
			case "tuplet":
				e.tuplets = append(e.tuplets, readTuplet(k))
			case "slide", "glissando":
				switch k.attr("type") {
				case "start":
					if note != nil {
						note.Glide = true
					}
					finger().slideOn = true
				case "stop":
					finger().slideTo = true
				}
			case "fermata":
				if !e.fermata {
					e.fermata = true
					e.Marks = append(e.Marks, tune.Fermata)
				}
			case "arpeggiate":
				if !e.arpeggio {
					e.arpeggio = true
					e.Marks = append(e.Marks, tune.Arpeggio)
				}
			case "articulations", "ornaments":
				p.ornaments(e, k, note, finger)
			case "technical":
				s, fr := p.technical(e, k, finger)
				hasString, hasFret = hasString || s, hasFret || fr
			case "other-notation":
				p.ownMark(k, note, finger)
			case "dynamics":
				p.r.leave(k, "dynamics")
			case "accidental-mark", "non-arpeggiate":
				p.r.leave(k, "the notation %q", k.name)
			case "footnote", "level":
			default:
				p.r.leave(k, "the notation %q", fault.Clip(k.name))
			}
		}
	}
	if f == nil {
		return nil
	}
	if f.bend != 0 && !p.r.header.own {
		p.r.leave(n, "bends while a note sounds")
	}
	if !hasString {
		for _, x := range []struct {
			there bool
			what  string
		}{
			{hasFret, "frets without a string"},
			{f.hammered, "hammer-ons without a string"},
			{f.pulled, "pull-offs without a string"},
			{f.natural || f.palm, "harmonics without a string"},
			{f.preBend != 0, "bends without a string"},
			{f.pluck != "", "plucking fingers without a string"},
			{f.vibrato, "vibrato without a string (wavy-line)"},
		} {
			if x.there {
				p.r.leave(n, "%s", x.what)
			}
		}
		return nil
	}
	if !hasFret {
		if f.natural {
			return f
		}
		p.r.leave(n, "strings without a fret")
		return nil
	}
	return f
}

func slurNumber(k *node) string {
	if s := k.attr("number"); s != "" {
		return s
	}
	return "1"
}

func readTuplet(k *node) tupletMark {
	t := tupletMark{number: k.attr("number"), starts: k.attr("type") == "start"}
	for _, x := range []struct {
		name string
		to   *int
	}{{"tuplet-actual", &t.actual}, {"tuplet-normal", &t.normal}} {
		if a := k.kid(x.name); a != nil {
			if n, err := strconv.Atoi(strings.TrimSpace(a.value("tuplet-number"))); err == nil && n >= 1 && n <= tune.MaxTuplet {
				*x.to = n
			}
		}
	}
	return t
}

// ornaments reads articulations and ornaments.
func (p *partReader) ornaments(e *rawEvent, n *node, note *tune.Note, finger func() *Finger) {
	for _, k := range n.kids {
		if m, ok := marksByElement[k.name]; ok {
			if !slices.Contains(e.Marks, m) {
				e.Marks = append(e.Marks, m)
			}
			continue
		}
		switch {
		case k.name == "scoop" && note != nil:
			note.Scoop = -1
		case k.name == "plop" && note != nil:
			note.Scoop = 1
		case k.name == "wavy-line":
			finger().vibrato = true
		case k.name == "other-ornament" && k.text == terms.MarkElements[tune.Roll].Text:
			e.Marks = append(e.Marks, tune.Roll)
		default:
			p.r.leave(k, "the mark %q", fault.Clip(k.name))
		}
	}
}

// technical reads string, fret and how the note is played.
func (p *partReader) technical(e *rawEvent, n *node, finger func() *Finger) (hasString, hasFret bool) {
	for _, k := range n.kids {
		switch k.name {
		case "string":
			s, err := strconv.Atoi(strings.TrimSpace(k.text))
			if err != nil || s < 1 || s > 100 {
				p.r.warn(k.line, k.col, "the string %q is none", fault.Clip(k.text))
				continue
			}
			finger().String, hasString = s, true
		case "fret":
			s, err := strconv.Atoi(strings.TrimSpace(k.text))
			if err != nil || s < 0 || s > 48 {
				p.r.warn(k.line, k.col, "the fret %q is none", fault.Clip(k.text))
				continue
			}
			finger().Fret, hasFret = s, true
		case "pluck":
			finger().pluck = strings.TrimSpace(k.text)
		case "hammer-on":
			finger().hammered = finger().hammered || k.attr("type") == "stop"
		case "pull-off":
			finger().pulled = finger().pulled || k.attr("type") == "stop"
		case "harmonic":
			if k.kid("artificial") != nil {
				finger().palm = true
			} else {
				finger().natural = true
			}
		case "bend":
			f, ok := parseDecimal(k.value("bend-alter"))
			if !ok {
				continue
			}
			semitones := f.Float()
			if k.kid("pre-bend") != nil {
				finger().preBend += semitones
			} else {
				finger().bend += semitones
			}
		default:
			if m, ok := marksByElement[k.name]; ok {
				if !slices.Contains(e.Marks, m) {
					e.Marks = append(e.Marks, m)
				}
				continue
			}
			p.r.leave(k, "the way of playing %q", fault.Clip(k.name))
		}
	}
	return hasString, hasFret
}

// ownMark reads one of our own marks.
func (p *partReader) ownMark(k *node, note *tune.Note, finger func() *Finger) {
	words := strings.Fields(k.text)
	if len(words) == 0 {
		return
	}
	switch words[0] {
	case terms.WordScoop:
		if len(words) == 2 && note != nil {
			if n, err := strconv.Atoi(words[1]); err == nil && n >= -tune.MaxScoop && n <= tune.MaxScoop {
				note.Scoop = int8(n)
			}
		}
	case terms.WordPlacement, terms.WordBenders, terms.WordContact, terms.WordScoopFret, terms.WordNode, terms.WordDamp, terms.WordCarry, terms.WordGrace, terms.WordChop:
		finger().own = append(finger().own, k.text)
	default:
		p.r.leave(k, "the notation %q", fault.Clip(k.text))
	}
}

// lyrics reads the syllables under a note.
func (p *partReader) lyrics(e *rawEvent, n *node) {
	for _, k := range n.kids {
		if k.name != "lyric" {
			continue
		}
		l := tune.Lyric{Verse: p.verse(k)}
		var text strings.Builder
		for _, x := range k.kids {
			switch x.name {
			case "text":
				text.WriteString(x.text)
			case "elision":
				if x.text == "" {
					text.WriteByte(' ')
				} else {
					text.WriteString(x.text)
				}
			case "syllabic":
				l.Hyphen = x.text == "begin" || x.text == "middle"
			case "extend":
				l.Extend = x.attr("type") != "stop"
			case "laughing", "humming":
				p.r.leave(x, "%s", x.name)
			}
		}
		l.Text = text.String()
		if l.Text != "" || l.Extend {
			e.Lyrics = append(e.Lyrics, l)
		}
	}
}

// verse returns the verse of a lyric: its number, or one in the order in which
// other names come.
func (p *partReader) verse(k *node) int {
	name := k.attr("number")
	if name == "" {
		name = k.attr("name")
	}
	if name == "" {
		return 1
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= 99 {
		return n
	}
	if p.verses[name] == 0 {
		p.verses[name] = min(len(p.verses)+1, 99)
	}
	return p.verses[name]
}
