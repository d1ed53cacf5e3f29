package abc

import (
	"strconv"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// shorthand are the signs that stand for decorations (section 4.14).
var shorthand = map[byte]string{
	'.': "staccato", '~': "roll", 'H': "fermata", 'L': "accent", 'M': "lowermordent", 'O': "coda",
	'P': "uppermordent", 'S': "segno", 'T': "trill", 'u': "upbow", 'v': "downbow",
}

// near are decorations kept as one that is like them, with a warning.
var near = map[string]string{
	"turnx": "turn", "invertedturn": "turn", "invertedturnx": "turn", "shortphrase": "breath", "mediumphrase": "breath", "longphrase": "breath",
	"trill(": "trill", "wedge": "staccato",
}

// words are decorations kept as words under or over the staff.
var words = map[string]tune.TextAt{
	"pppp": {Text: "pppp", Below: true}, "ppp": {Text: "ppp", Below: true}, "pp": {Text: "pp", Below: true}, "p": {Text: "p", Below: true},
	"mp": {Text: "mp", Below: true}, "mf": {Text: "mf", Below: true}, "f": {Text: "f", Below: true}, "ff": {Text: "ff", Below: true},
	"fff": {Text: "fff", Below: true}, "ffff": {Text: "ffff", Below: true}, "sfz": {Text: "sfz", Below: true},
	"0": {Text: "0"}, "1": {Text: "1"}, "2": {Text: "2"}, "3": {Text: "3"}, "4": {Text: "4"}, "5": {Text: "5"},
	"crescendo(": {Text: "cresc.", Below: true}, "<(": {Text: "cresc.", Below: true},
	"diminuendo(": {Text: "dim.", Below: true}, ">(": {Text: "dim.", Below: true},
	"open": {Text: "open"}, "thumb": {Text: "thumb"}, "snap": {Text: "snap"}, "plus": {Text: "+"}, "+": {Text: "+"},
}

// ends are decorations that end a stretch, of which only the start is kept.
var ends = map[string]bool{"crescendo)": true, "<)": true, "diminuendo)": true, ">)": true, "trill)": true}

// join is a scoop, glide or courtesy accidental that waits for its notes. from
// counts the notes from the top, 1 being the highest; 0 is all of them.
type join struct {
	kind  byte // 'g' glide, 's' scoop, 'c' courtesy, 'x' chop
	scoop int8
	from  int
}

// apply puts a join to the notes, which stand from low to high.
func (j join) apply(b *book, notes []tune.Note, lineNumber, col int) {
	if j.from > len(notes) {
		b.warn(lineNumber, col, "there is no note %d from the top to glide or to mark", j.from)
		return
	}
	for i := range notes {
		if j.from > 0 && i != len(notes)-j.from {
			continue
		}
		switch j.kind {
		case 'g':
			notes[i].Glide = true
		case 's':
			notes[i].Scoop = j.scoop
		case 'x':
			notes[i].Chop = true
		default:
			notes[i].Courtesy = true
		}
	}
}

// parseJoin reads the decorations of scoops and glides: "slide", "glide",
// "scoop=-2", "courtesy", "chop", each with "@2" for the second note from the top alone.
func parseJoin(s string) (join, bool) {
	s, place, one := strings.Cut(s, "@")
	j := join{}
	if one {
		n, err := strconv.Atoi(place)
		if err != nil || n < 1 || n > tune.MaxNotes {
			return j, false
		}
		j.from = n
	}
	switch {
	case s == "glide":
		j.kind = 'g'
	case s == "slide":
		j.kind, j.scoop = 's', -1
	case s == "chop":
		j.kind = 'x'
	case s == "courtesy":
		j.kind = 'c'
	case strings.HasPrefix(s, "scoop="):
		n, err := strconv.Atoi(s[len("scoop="):])
		if err != nil || n == 0 || n < -tune.MaxScoop || n > tune.MaxScoop {
			return j, false
		}
		j.kind, j.scoop = 's', int8(n)
	default:
		return j, false
	}
	return j, true
}

// isName reports whether a text between plus signs is the name of a decoration, not
// notes: letters and signs of names only, and not letters of notes alone.
func isName(s string) bool {
	other := false
	for i := range len(s) {
		c := s[i]
		switch {
		case c >= 'a' && c <= 'g' || c >= 'A' && c <= 'G':
		case c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z':
			other = true
		default:
			return false
		}
	}
	return other && len(s) > 2
}

// spokenSign returns the decoration that words such as "D.C. al Fine" ask for, ""
// for other words.
func spokenSign(s string) string {
	if strings.ContainsAny(s, "/#+0123456789") {
		return "" // a chord over a bass, as D/c is
	}
	plain := strings.Map(func(c rune) rune {
		if c >= 'A' && c <= 'Z' {
			return c + 'a' - 'A'
		}
		if c >= 'a' && c <= 'z' {
			return c
		}
		return -1
	}, s)
	switch plain {
	case "dc", "dacapo":
		return "D.C."
	case "ds", "dalsegno":
		return "D.S."
	case "dcalfine", "dacapoalfine":
		return "D.C.alfine"
	case "dsalfine", "dalsegnoalfine":
		return "D.S.alfine"
	case "dcalcoda", "dacapoalcoda":
		return "D.C.alcoda"
	case "dsalcoda", "dalsegnoalcoda":
		return "D.S.alcoda"
	case "fine":
		return "fine"
	case "tocoda":
		return "dacoda"
	}
	return ""
}

// chord reads a chord symbol, kept for the next time: a book uses few. The chords
// given share their tones, which nobody changes in place.
func (b *book) chord(text string) (*pitch.Chord, bool) {
	known, ok := b.chords[text]
	if !ok && len(b.chords) < MaxWarnings {
		known, _ = terms.ParseChord(text)
		b.chords[text] = known
	} else if !ok {
		known, _ = terms.ParseChord(text)
	}
	if known == nil {
		return nil, false
	}
	c := *known
	return &c, true
}

// decorationReader reads what is put to a note from beside it: decorations, chord
// symbols and texts.
type decorationReader struct {
	*scan
	usage  *usage
	voices *voices
	to     *item
}

// decoration takes the name between exclamation marks, or a text that a U: field
// put between quotation marks.
func (m decorationReader) decoration(name string, quote byte, col int) {
	m.b.things++
	if quote == '"' {
		m.annotation(name, col)
		return
	}
	if like, ok := near[name]; ok {
		m.b.once("!"+name, m.lineNumber, col, "the decoration %q is kept as %q", "!"+name+"!", "!"+like+"!")
		name = like
	}
	if mark, ok := terms.Marks[name]; ok {
		m.to.marks = append(m.to.marks, mark)
		return
	}
	if k, ok := terms.Signs[name]; ok {
		m.to.signs = append(m.to.signs, tune.Sign{Kind: k})
		return
	}
	if t, ok := words[name]; ok {
		m.to.texts = append(m.to.texts, t)
		return
	}
	if j, ok := parseJoin(name); ok {
		m.to.joins = append(m.to.joins, j)
		return
	}
	switch {
	case name == "nil" || name == "none":
	case ends[name]:
		m.b.once("!"+name, m.lineNumber, col, "the decoration %q is left out: only the start of a stretch is kept", "!"+terms.Clip(name)+"!")
	default:
		m.warn(col, "the decoration %q is not known and is left out", "!"+terms.Clip(name)+"!")
	}
}

// exclaimed takes !trill!. An exclamation mark alone broke the line in older
// files.
func (m decorationReader) exclaimed() {
	rest := m.s[m.i+1:]
	end := strings.IndexByte(rest, '!')
	if end > 0 && end <= 40 && !strings.ContainsAny(rest[:end], " \t|\"{}[") {
		col := m.col()
		m.i += end + 2
		m.decoration(rest[:end], '!', col)
		return
	}
	m.i++
	if strings.ContainsRune(m.usage.breaks, '!') {
		m.voices.breakLine()
		return
	}
	m.b.once("!", m.lineNumber, m.i, "a lone %q is read as an old line break", "!")
	m.voices.breakLine()
}

// plused takes +trill+, the way of writing decorations before 2.1. It reports
// false when there is none.
func (m decorationReader) plused() bool {
	rest := m.s[m.i+1:]
	end := strings.IndexByte(rest, '+')
	if end <= 0 || end > 40 {
		return false
	}
	name := rest[:end]
	_, isMark := terms.Marks[name]
	_, isSign := terms.Signs[name]
	_, isWord := words[name]
	known := isMark || isSign || isWord
	if !m.usage.plus && !known && !isName(name) {
		return false
	}
	if !m.usage.plus && known {
		m.b.once("+", m.lineNumber, m.col(), "%q is an old way to write %q and is read so", "+"+name+"+", "!"+name+"!")
	}
	col := m.col()
	m.i += end + 2
	m.decoration(name, '!', col)
	return true
}

// quoted takes a chord symbol or an annotation.
func (m decorationReader) quoted() {
	col := m.col()
	rest := m.s[m.i+1:]
	end := strings.IndexByte(rest, '"')
	if end < 0 {
		m.warn(col, "a quotation mark is not closed; the rest of the line is left out: %q", terms.Clip(rest))
		m.i = len(m.s)
		return
	}
	m.i += end + 2
	m.annotation(rest[:end], col)
}

// annotation takes what stood between quotation marks: text with a place (^
// above, _ below, < left, > right, @ anywhere) or a chord symbol.
func (m decorationReader) annotation(s string, col int) {
	m.b.things++
	if s == "" {
		return
	}
	if sign := spokenSign(s); sign != "" {
		m.warn(col, "the words %q are printed and not followed; the decoration %q is followed", terms.Clip(strings.TrimLeft(s, "^_<>@")), "!"+sign+"!")
	}
	switch s[0] {
	case '^', '<', '>', '@':
		if s[0] != '^' {
			m.b.once("annotation "+s[:1], m.lineNumber, col, "the text %q is kept over the staff, not at the place that %q asks for", terms.Clip(s[1:]), s[:1])
		}
		if s[0] == '@' {
			s = strings.TrimLeft(s, "@0123456789.,- ")
			s = "@" + s
		}
		if text := terms.DecodeText(s[1:]); text != "" {
			m.to.texts = append(m.to.texts, tune.TextAt{Text: text})
		}
		return
	case '_':
		if text := terms.DecodeText(s[1:]); text != "" {
			m.to.texts = append(m.to.texts, tune.TextAt{Text: text, Below: true})
		}
		return
	}
	text := terms.DecodeText(s)
	if text == "" {
		return
	}
	c := tune.ChordAt{Text: text}
	if chord, ok := m.b.chord(text); ok {
		c.Chord = chord
	} else {
		m.b.once("chord "+text, m.lineNumber, col, "%q is no chord that is known; it is kept as it is written", terms.Clip(text))
	}
	m.to.chords = append(m.to.chords, c)
}

// letter takes a letter that stands for a decoration, and reports false where it stands
// for none.
func (m decorationReader) letter(c byte) bool {
	text, around, ok := m.usage.letter(c)
	if ok {
		m.i++
		m.decoration(text, around, m.i)
	}
	return ok
}
