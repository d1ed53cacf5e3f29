package abc

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/say"
	"lapwright/tune"
)

// reader reads one tune.
type reader struct {
	b         *book
	t         *tune.Tune
	at        textLine // its X: field
	ownHeader bool     // past the fields of the file header
	titled    bool
	body      bool
	sawUnit   bool
	header    voice // what K:, M: and L: of the header give every voice
	tempos    []tune.Tempo
	voices    []*voice
	cur       *voice // nil until the body begins
	chosen    bool   // a V: in the body has chosen a voice
	touched   []*voice
	symbols   map[byte]string // of U: fields and the standard's own
	macros    []macro         // of m: fields
	plus      bool            // decorations between plus signs
	breaks    string          // what breaks a line: some of "<EOL>", "$", "!"
	carry     terms.Carry     // how far an accidental carries
	last      *string         // the text that a +: field goes on with
	lastWords *under
	order     posText   // part order
	joined    bool      // the line before ended in a backslash
	held      *textLine // a field of the header that ended in one: its next line is to come
	verse     int       // of the w: fields since the last music
}

// posText is a text and where it stood.
type posText struct {
	text            string
	lineNumber, col int
}

func newReader(b *book, l textLine) *reader {
	r := &reader{b: b, at: l, t: &tune.Tune{}, symbols: map[byte]string{}, breaks: "<EOL>$"}
	r.header.unit = tune.Whole / 8
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
	if letter, value, ok := field(text); ok && !r.joined {
		r.field(letter, value, l.lineNumber, 3)
		return
	} else if ok && strings.IndexByte("wWsKMLQPVTI", letter) >= 0 {
		// A field ends a joined line all the same.
		r.field(letter, value, l.lineNumber, 3)
		return
	}
	if !r.body {
		r.warn(l.lineNumber, 1, "the notes begin without a K: field; C major is taken")
		r.begin()
	}
	r.music(textLine{l.lineNumber, r.expand(strings.TrimRight(text, " \t"), l.lineNumber)})
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
	if !isField || r.body || letter == 'K' || !strings.HasSuffix(text, `\`) || strings.HasSuffix(text, `\\`) || len(text) > MaxLine {
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
	r.body = true
	if !r.sawUnit {
		r.header.unit = terms.UnitOf(r.header.meter)
	}
	for _, v := range r.voices {
		v.inherit(&r.header)
	}
	if len(r.voices) == 0 {
		v := &voice{b: r.b}
		v.inherit(&r.header)
		r.voices = append(r.voices, v)
	}
	r.cur = r.voices[0]
	r.cur.pending.tempos = append(r.cur.pending.tempos, r.tempos...)
}

// everyone returns the voices that a field in the body is for: all of them until
// one has been chosen, then that one (section 7.3 leaves it open; this is how
// files are written).
func (r *reader) everyone() []*voice {
	if r.chosen {
		return []*voice{r.cur}
	}
	return r.voices
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
		if !r.titled && !r.body {
			r.titled = true
			add(&r.t.Title)
		} else {
			if r.body {
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
		r.instruction(trimmed, lineNumber, col)
	case 'U':
		r.symbolField(trimmed, lineNumber, col)
	case 'm':
		r.macroField(trimmed, lineNumber, col)
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
		r.words(text, lineNumber, col, r.lastWords)
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
	if !r.body {
		r.header.meter = m
		return
	}
	for _, v := range r.everyone() {
		v.setMeter(m, lineNumber, col)
	}
}

func (r *reader) unitField(s string, lineNumber, col int) {
	u, err := terms.ParseUnit(s)
	if err != nil {
		r.warn(lineNumber, col, "%s; the length before goes on", err)
		return
	}
	if !r.body {
		r.header.unit, r.sawUnit = u, true
		return
	}
	for _, v := range r.everyone() {
		v.unit = u
	}
}

func (r *reader) tempoField(s string, lineNumber, col int) {
	unit := r.header.unit
	if r.body {
		unit = r.cur.unit
	} else if !r.sawUnit {
		unit = terms.UnitOf(r.header.meter)
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
	if r.body {
		r.cur.pending.tempos = append(r.cur.pending.tempos, tempo)
	} else {
		r.tempos = append(r.tempos, tempo)
	}
}

func (r *reader) keyField(s string, lineNumber, col int) {
	k := terms.ParseKey(s)
	if k.Unread != "" {
		r.warn(lineNumber, col, "in the key %q the word %q is not understood", terms.Clip(s), terms.Clip(k.Unread))
	}
	if !r.body {
		if k.Set {
			r.header.key = k.Key
		}
		if k.Clef != (terms.Clef{}) {
			r.header.clef = k.Clef
			r.tellClef(k.Clef, lineNumber, col)
		}
		if r.ownHeader {
			r.begin()
		}
		return
	}
	for _, v := range r.everyone() {
		if k.Clef != (terms.Clef{}) {
			v.clef = k.Clef
			r.tellClef(k.Clef, lineNumber, col)
		}
		if k.Set {
			v.setKey(k.Key, lineNumber, col)
		}
	}
}

// tellClef warns of a clef, which a tune does not keep, but for the treble clef
// that every sheet has.
func (r *reader) tellClef(c terms.Clef, lineNumber, col int) {
	if c.Name != "" && c.Name != "treble" && c.Name != "auto" && c.Name != "none" {
		r.b.once("clef "+c.Name, lineNumber, col, "the clef %q is not kept; its notes are", c.Name)
	}
	if c.Semitones != 0 {
		r.warn(lineNumber, col, "the notes are moved by %s as asked, under the key signature as written", say.Count(c.Semitones, "semitone"))
	}
}

func (r *reader) partField(s string, lineNumber, col int) {
	if !r.body {
		r.order = posText{s, lineNumber, col}
		return
	}
	v := r.cur
	label := terms.DecodeText(s)
	if strings.HasPrefix(label, ":") || label == "" {
		r.warn(lineNumber, col, "%q is no label of a part and is left out", terms.Clip(s))
		return
	}
	if !v.empty() {
		if !v.pickup() {
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
	var v *voice
	for _, old := range r.voices {
		if old.id == id {
			v = old
		}
	}
	if v == nil {
		switch {
		case len(r.voices) == maxVoices:
			r.warn(lineNumber, col, "a tune has at most %d voices; voice %q is put into the one before", maxVoices, terms.Clip(id))
			return
		case r.body && len(r.voices) == 1 && r.voices[0].id == "" && r.voices[0].unused():
			v = r.voices[0]
		default:
			v = &voice{b: r.b}
			if r.body {
				v.inherit(&r.header)
			}
			r.voices = append(r.voices, v)
		}
		v.id = terms.DecodeText(id)
	}
	r.voiceProperties(v, rest, lineNumber, col+len(id)+1)
	if r.body {
		r.cur, r.chosen = v, true
	}
}

// touch notes that the line in hand has music of a voice. Words and symbols
// under the line are for that music alone.
func (r *reader) touch(v *voice) {
	if !slices.Contains(r.touched, v) {
		r.touched = append(r.touched, v)
		v.lyric = v.lyric[:0]
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
		r.tellClef(v.clef, lineNumber, col)
	}
}

// instruction takes I: or %%.
func (r *reader) instruction(s string, lineNumber, col int) {
	name, value, _ := strings.Cut(strings.TrimSpace(s), " ")
	value = strings.TrimSpace(value)
	switch name {
	case "linebreak":
		r.breaks = value
	case "decoration":
		r.plus = value == "+"
	case "propagate-accidentals":
		switch value {
		case "not":
			r.carry = terms.CarryNot
		case "octave":
			r.carry = terms.CarryOctave
		case "pitch":
			r.carry = terms.CarryPitch
		default:
			r.warn(lineNumber, col, "%q is no way for accidentals to carry", terms.Clip(value))
		}
	case "abc-charset":
		if !strings.EqualFold(value, "utf-8") && !strings.EqualFold(value, "us-ascii") && !strings.EqualFold(value, "iso-8859-1") {
			r.warn(lineNumber, col, "the character set %q is not known; UTF-8 or ISO 8859-1 is read", terms.Clip(value))
		}
	case "abc-version", "abc-creator", "":
	default:
		r.b.once("%%"+name, lineNumber, col, "the instruction %q is not used", terms.Clip(name))
	}
}

// symbolField takes U: such as "T = !trill!".
func (r *reader) symbolField(s string, lineNumber, col int) {
	name, value, ok := strings.Cut(s, "=")
	name, value = strings.TrimSpace(name), strings.TrimSpace(value)
	if !ok || len(name) != 1 || !(name[0] >= 'H' && name[0] <= 'Z' || name[0] >= 'h' && name[0] <= 'z' || name[0] == '~') || strings.IndexByte("XYZxyz", name[0]) >= 0 {
		r.warn(lineNumber, col, "%q defines no symbol: a letter H to W or h to w, or ~, is wanted", terms.Clip(s))
		return
	}
	if len(value) < 3 || value[0] != value[len(value)-1] || strings.IndexByte(`!+"`, value[0]) < 0 {
		r.warn(lineNumber, col, "%q is neither a decoration nor an annotation", terms.Clip(value))
		return
	}
	r.symbols[name[0]] = value
}

// oldOrder takes the Y: field of older collections, which gives the order of
// the parts.
func (r *reader) oldOrder(s string, lineNumber, col int) {
	if r.order.text == "" && !r.body {
		r.order = posText{s, lineNumber, col}
		r.b.once("Y:", lineNumber, col-2, "the old field %q is read as the order of the parts", "Y:"+terms.Clip(s))
		return
	}
	r.warn(lineNumber, col-2, "the field %q is not known and is left out", "Y:"+terms.Clip(s))
}
