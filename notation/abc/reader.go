package abc

import (
	"strconv"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// reader reads one tune.
type reader struct {
	b         *book
	t         *tune.Tune
	at        textLine // its X: field
	ownHeader bool     // past the fields of the file header
	titled    bool
	sawUnit   bool
	tempos    []tune.Tempo
	last      *string // the text that a +: field goes on with
	lastWords *under
	order     posText   // part order
	held      *textLine // a field of the header that ended in a backslash: its next line is to come
	verse     int       // of the w: fields since the last music

	voices voices
	usage  usage
	macros macros // of m: fields
	music  musicReader
}

// posText is a text and where it stood.
type posText struct {
	text            string
	lineNumber, col int
}

func newReader(b *book, l textLine) *reader {
	r := &reader{
		b: b, at: l, t: &tune.Tune{},
		voices: voices{b: b, header: setting{unit: tune.Whole / 8}},
		usage:  usage{b: b, symbols: map[byte]string{}, breaks: "<EOL>$"},
		macros: macros{b: b},
	}
	r.music = musicReader{scan: scan{b: b}, usage: &r.usage, voices: &r.voices}
	value := strings.TrimSpace(uncomment(l.text[2:]))
	n, err := strconv.Atoi(value)
	if err != nil || n < 0 {
		b.warn(l.lineNumber, 3, "%q is no reference number; the tune is counted instead", terms.Clip(value))
		n = len(b.tunes) + 1
	}
	r.t.Index = n
	return r
}

func (r *reader) warn(lineNumber, col int, format string, args ...any) {
	r.b.warn(lineNumber, col, format, args...)
}

// line takes one line of the tune that is neither empty nor a comment.
func (r *reader) line(l textLine) {
	text := uncomment(l.text)
	if strings.TrimSpace(text) == "" {
		return
	}
	text, whole := r.joinContinued(textLine{l.lineNumber, text})
	if !whole {
		return
	}
	if letter, value, ok := field(text); ok && !r.music.joined {
		r.field(letter, value, l.lineNumber, 3)
		return
	} else if ok && strings.IndexByte("wWsKMLQPVTI", letter) >= 0 {
		// A field ends a joined line all the same.
		r.field(letter, value, l.lineNumber, 3)
		return
	}
	if !r.voices.begun() {
		r.warn(l.lineNumber, 1, "the notes begin without a K: field; C major is taken")
		r.begin()
	}
	r.notes(textLine{l.lineNumber, r.macros.expand(strings.TrimRight(text, " \t"), l.lineNumber)})
}

// joinContinued keeps a field of the header that ends in a backslash until its next line
// has come (section 10.3, an older way that +: has taken the place of). It returns
// the line to go on with, and false when there is none yet.
func (r *reader) joinContinued(l textLine) (string, bool) {
	letter, _, isField := field(l.text)
	if r.held != nil {
		if isField {
			r.endHeld()
		} else {
			h := *r.held
			r.held = nil
			l = textLine{h.lineNumber, h.text + " " + strings.TrimLeft(l.text, " \t")}
			letter, _, isField = field(l.text)
		}
	}
	text := strings.TrimRight(l.text, " \t")
	if !isField || r.voices.begun() || letter == 'K' || !strings.HasSuffix(text, `\`) || strings.HasSuffix(text, `\\`) || len(text) > MaxLine {
		return l.text, true
	}
	r.held = &textLine{l.lineNumber, strings.TrimRight(strings.TrimSuffix(text, `\`), " \t")}
	return "", false
}

// endHeld takes a field whose next line did not come.
func (r *reader) endHeld() {
	if h := r.held; h != nil {
		r.held = nil
		letter, value, _ := field(h.text)
		r.field(letter, value, h.lineNumber, 3)
	}
}

// begin starts the tune's body.
func (r *reader) begin() {
	if !r.sawUnit {
		r.voices.header.unit = terms.UnitOf(r.voices.header.meter)
	}
	r.voices.begin()
	first := r.voices.cur
	first.pending.tempos = append(first.pending.tempos, r.tempos...)
}

// notes takes a line of music with the fields inside it.
func (r *reader) notes(l textLine) {
	r.last, r.lastWords = nil, nil
	r.verse = 0
	m := &r.music
	m.begin(l)
	for m.more() {
		if !strings.HasPrefix(m.s[m.i:], "[V:") {
			r.voices.touch(r.voices.cur)
		}
		if !m.atField() {
			m.symbol()
		} else if letter, value, col, ok := m.field(); ok {
			r.field(letter, value, m.lineNumber, col)
		}
		if r.b.full() {
			return
		}
	}
	m.end()
}

// field takes a field, on its own line or inside the music.
func (r *reader) field(letter byte, value string, lineNumber, col int) {
	value = strings.TrimRight(value, " \t")
	trimmed := strings.TrimLeft(value, " \t")
	col += len(value) - len(trimmed)
	if letter != '+' && letter != 'w' {
		r.last, r.lastWords = nil, nil
	}
	add := func(to *string) {
		if text := terms.DecodeText(trimmed); *to == "" {
			*to = text
		} else if text != "" {
			*to += ", " + text
		}
		r.last = to
	}
	list := func(to *[]string, label string) {
		if text := terms.DecodeText(trimmed); text != "" {
			*to = append(*to, label+text)
			r.last = &(*to)[len(*to)-1]
		}
	}
	switch letter {
	case 'X':
		r.warn(lineNumber, col, "a second reference number %q inside a tune is left out", terms.Clip(trimmed))
	case 'T':
		if !r.titled && !r.voices.begun() {
			r.titled = true
			add(&r.t.Title)
		} else {
			if r.voices.begun() {
				r.warn(lineNumber, col, "the title %q inside the tune is kept as a subtitle, not at its place", terms.Clip(trimmed))
			}
			list(&r.t.Subtitles, "")
		}
	case 'C':
		add(&r.t.Composer)
	case 'O':
		add(&r.t.Origin)
	case 'R':
		add(&r.t.Rhythm)
	case 'S':
		add(&r.t.Source)
	case 'N':
		list(&r.t.Notes, "")
	case 'W':
		r.t.Words = append(r.t.Words, terms.DecodeText(trimmed))
		r.last = &r.t.Words[len(r.t.Words)-1]
	case 'A':
		list(&r.t.Notes, tune.FromArea)
	case 'B':
		list(&r.t.Notes, tune.FromBook)
	case 'D':
		list(&r.t.Notes, tune.FromRecording)
	case 'F':
		list(&r.t.Notes, tune.FromFile)
	case 'G':
		list(&r.t.Notes, tune.FromGroup)
	case 'H':
		list(&r.t.Notes, tune.FromHistory)
	case 'Z':
		list(&r.t.Notes, tune.FromScribe)
	case 'r':
		// A remark to readers of the file, left out as a comment is.
	case '+':
		r.goOn(trimmed, lineNumber, col)
	case 'M':
		r.meterField(trimmed, lineNumber, col)
	case 'L':
		r.unitField(trimmed, lineNumber, col)
	case 'Q':
		r.tempoField(trimmed, lineNumber, col)
	case 'K':
		r.keyField(trimmed, lineNumber, col)
	case 'P':
		r.partField(trimmed, lineNumber, col)
	case 'V':
		r.voiceField(trimmed, lineNumber, col)
	case 'I':
		r.usage.instruction(trimmed, lineNumber, col)
	case 'U':
		r.usage.symbolField(trimmed, lineNumber, col)
	case 'm':
		r.macros.add(trimmed, lineNumber, col)
	case 'w':
		r.lyricField(trimmed, lineNumber, col)
	case 's':
		r.symbolLine(trimmed, lineNumber, col)
	case 'Y':
		r.oldOrder(trimmed, lineNumber, col)
	default:
		r.warn(lineNumber, col-2, "the field %q is not known and is left out", string(letter)+":"+terms.Clip(trimmed))
	}
}

// goOn takes a +: field, which goes on with the field before.
func (r *reader) goOn(text string, lineNumber, col int) {
	switch {
	case r.lastWords != nil:
		r.lastWords.words(text, lineNumber, col)
	case r.last != nil:
		*r.last = strings.TrimSpace(*r.last + " " + terms.DecodeText(text))
	default:
		r.warn(lineNumber, col, "there is no text that %q could go on with", "+:"+terms.Clip(text))
	}
}

func (r *reader) meterField(s string, lineNumber, col int) {
	m, err := terms.ParseMeter(s)
	if err != nil {
		r.warn(lineNumber, col, "%s; the meter before goes on", err)
		return
	}
	if !r.voices.begun() {
		r.voices.header.meter = m
		return
	}
	for _, v := range r.voices.everyone() {
		v.setMeter(m, lineNumber, col)
	}
}

func (r *reader) unitField(s string, lineNumber, col int) {
	u, err := terms.ParseUnit(s)
	if err != nil {
		r.warn(lineNumber, col, "%s; the length before goes on", err)
		return
	}
	if !r.voices.begun() {
		r.voices.header.unit, r.sawUnit = u, true
		return
	}
	for _, v := range r.voices.everyone() {
		v.unit = u
	}
}

func (r *reader) tempoField(s string, lineNumber, col int) {
	unit := r.voices.header.unit
	if r.voices.begun() {
		unit = r.voices.cur.unit
	} else if !r.sawUnit {
		unit = terms.UnitOf(r.voices.header.meter)
	}
	tempo, old, err := terms.ParseTempo(s, unit)
	if err != nil {
		r.warn(lineNumber, col, "%s; it is left out", err)
		return
	}
	if old {
		r.warn(lineNumber, col, "the tempo %q is in an old form, read as %d/1000 times a note of %s a minute", terms.Clip(s), tempo.PerMinute, tempo.Beat)
	}
	r.b.things++
	if r.voices.begun() {
		r.voices.cur.pending.tempos = append(r.voices.cur.pending.tempos, tempo)
	} else {
		r.tempos = append(r.tempos, tempo)
	}
}

func (r *reader) keyField(s string, lineNumber, col int) {
	k := terms.ParseKey(s)
	if k.Unread != "" {
		r.warn(lineNumber, col, "in the key %q the word %q is not understood", terms.Clip(s), terms.Clip(k.Unread))
	}
	if !r.voices.begun() {
		if k.Set {
			r.voices.header.key = k.Key
		}
		if k.Clef != (terms.Clef{}) {
			r.voices.header.clef = k.Clef
			r.b.tellClef(k.Clef, lineNumber, col)
		}
		if r.ownHeader {
			r.begin()
		}
		return
	}
	for _, v := range r.voices.everyone() {
		if k.Clef != (terms.Clef{}) {
			v.clef = k.Clef
			r.b.tellClef(k.Clef, lineNumber, col)
		}
		if k.Set {
			v.setKey(k.Key, lineNumber, col)
		}
	}
}

func (r *reader) partField(s string, lineNumber, col int) {
	if !r.voices.begun() {
		r.order = posText{s, lineNumber, col}
		return
	}
	v := r.voices.cur
	label := terms.DecodeText(s)
	if strings.HasPrefix(label, ":") || label == "" {
		r.warn(lineNumber, col, "%q is no label of a part and is left out", terms.Clip(s))
		return
	}
	if !v.cur.empty() {
		if !v.cur.pickup(v.meter) {
			r.warn(lineNumber, col, "part %q begins inside a bar; it is put before the next", terms.Clip(s))
			v.nextPart = label
			return
		}
		v.closeBar(token{style: tune.SingleBarline, lineNumber: lineNumber, col: col})
	}
	v.cur.Part = label
}

// voiceField takes V: with the voice's name and properties.
func (r *reader) voiceField(s string, lineNumber, col int) {
	id, rest, _ := strings.Cut(s, " ")
	if id == "" {
		r.warn(lineNumber, col, "a voice has no name")
		return
	}
	if id == "*" {
		r.warn(lineNumber, col, "the field V:* for all voices is not read")
		return
	}
	v := r.voices.named(id)
	if v == nil {
		r.warn(lineNumber, col, "a tune has at most %d voices; voice %q is put into the one before", maxVoices, terms.Clip(id))
		return
	}
	r.voiceProperties(v, rest, lineNumber, col+len(id)+1)
	if r.voices.begun() {
		r.voices.choose(v)
	}
}

func (r *reader) voiceProperties(v *voice, s string, lineNumber, col int) {
	start := v.clef
	for i := 0; i < len(s); {
		if s[i] == ' ' || s[i] == '\t' {
			i++
			continue
		}
		j, quoted := i, false
		for j < len(s) && (quoted || s[j] != ' ' && s[j] != '\t') {
			if s[j] == '"' {
				quoted = !quoted
			}
			j++
		}
		w := s[i:j]
		name, value, _ := strings.Cut(w, "=")
		value = terms.DecodeText(strings.Trim(value, `"`))
		switch name {
		case "name", "nm":
			v.name = value
		case "subname", "snm", "sname", "brace", "bracket", "merge", "up", "down", "space", "cue", "dyn", "volume", "instrument", "program", "pan", "perc", "sound", "scale":
			r.b.once("V "+name, lineNumber, col+i, "the voice property %q is not kept", terms.Clip(w))
		default:
			if !v.clef.Read(w) {
				r.warn(lineNumber, col+i, "the voice property %q is not understood", terms.Clip(w))
			}
		}
		i = j
	}
	if v.clef != start {
		v.ownClef = true
		r.b.tellClef(v.clef, lineNumber, col)
	}
}

// oldOrder takes the Y: field of older collections, which gives the order of
// the parts.
func (r *reader) oldOrder(s string, lineNumber, col int) {
	if r.order.text == "" && !r.voices.begun() {
		r.order = posText{s, lineNumber, col}
		r.b.once("Y:", lineNumber, col-2, "the old field %q is read as the order of the parts", "Y:"+terms.Clip(s))
		return
	}
	r.warn(lineNumber, col-2, "the field %q is not known and is left out", "Y:"+terms.Clip(s))
}
