package abc

import (
	"bytes"
	"fmt"
	"strings"

	"lapwright/fault"
	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/say"
	"lapwright/tune"
)

// The bounds of a book. They hold any real one and keep a hostile file from
// taking memory or time: see the benchmarks.
const (
	MaxBytes    = 32 << 20 // size of a file
	MaxLine     = 64 << 10 // bytes in one line
	MaxTunes    = 10_000
	MaxThings   = 250_000 // notes, rests, signs and syllables in a file, with three for a bar
	maxInBar    = 4_096   // notes and rests in one line of a bar
	MaxWarnings = 1_000   // in a file; what comes after is counted only
	maxVoices   = 64
)

// Read reads every tune of a book. file is the name that positions carry.
//
// The warnings name everything that was not kept or was guessed; a tune that
// can't be read at all is left out with a warning. The error, a *fault.Fault,
// says why there is no tune: not text, too big, or nothing that is a tune.
func Read(src []byte, file string) (tunes []*tune.Tune, warnings fault.List, err error) {
	if len(src) > MaxBytes {
		return nil, nil, &fault.Fault{File: file, Msg: fmt.Sprintf("the file has %d bytes, and a book of tunes has at most %d", len(src), MaxBytes), Hint: "split it into several files"}
	}
	if i := bytes.IndexByte(src, 0); i >= 0 {
		return nil, nil, &fault.Fault{File: file, Binary: true, Offset: int64(i), Msg: "this is not text: it has a zero byte", Hint: "ABC is plain text in UTF-8"}
	}
	if len(bytes.TrimSpace(src)) == 0 {
		return nil, nil, &fault.Fault{File: file, Msg: "the file is empty"}
	}
	b := &book{file: file, told: map[string]bool{}, chords: map[string]*pitch.Chord{}}
	if err := b.read(string(bytes.TrimPrefix(src, []byte("\ufeff")))); err != nil {
		return nil, b.warnings, err
	}
	if b.unsaid > 0 {
		b.warnings.Add(&fault.Fault{File: file, Msg: fmt.Sprintf("%d more warnings are not listed", b.unsaid)})
	}
	if len(b.tunes) == 0 {
		f := &fault.Fault{File: file, Line: 1, Col: 1, Msg: "there is no tune in the file", Hint: "a tune begins with a line X:1 and has a line K: before its notes"}
		if len(b.warnings) > 0 {
			w := b.warnings[len(b.warnings)-1]
			f.Line, f.Col, f.Msg = w.Line, w.Col, f.Msg+": "+w.Msg
		}
		return nil, b.warnings, f
	}
	return b.tunes, b.warnings, nil
}

// textLine is one line of the file without its end.
type textLine struct {
	lineNumber int
	text       string
}

// book is a file being read.
type book struct {
	file     string
	tunes    []*tune.Tune
	warnings fault.List
	unsaid   int
	told     map[string]bool // what is said once a file
	things   int             // spent of MaxThings
	chords   map[string]*pitch.Chord
	defaults []textLine  // the fields of the file header
	notes    []tune.Note // room for single notes
	now      *reader
	expanded map[int][]int32 // by line: the column in the file of each byte of what macros made of it
}

func (b *book) warn(lineNumber, col int, format string, args ...any) {
	if len(b.warnings) >= MaxWarnings {
		b.unsaid++
		b.things++
		return
	}
	if cols := b.expanded[lineNumber]; col >= 1 && col <= len(cols) {
		col = int(cols[col-1])
	}
	b.warnings.Add(&fault.Fault{File: b.file, Line: lineNumber, Col: col, Msg: fmt.Sprintf(format, args...)})
}

// once warns of a thing the first time that it comes in a file.
func (b *book) once(what string, lineNumber, col int, format string, args ...any) {
	if !b.told[what] && len(b.told) < MaxWarnings {
		b.told[what] = true
		b.warn(lineNumber, col, format, args...)
	}
}

// tellClef warns of a clef, which a tune does not keep, but for the treble clef
// that every sheet has.
func (b *book) tellClef(c terms.Clef, lineNumber, col int) {
	if c.Name != "" && c.Name != "treble" && c.Name != "auto" && c.Name != "none" {
		b.once("clef "+c.Name, lineNumber, col, "the clef %q is not kept; its notes are", c.Name)
	}
	if c.Semitones != 0 {
		b.warn(lineNumber, col, "the notes are moved by %s as asked, under the key signature as written", say.Count(c.Semitones, "semitone"))
	}
}

func (b *book) read(src string) error {
	for lineNumber := 1; src != ""; lineNumber++ {
		text := src
		if i := strings.IndexAny(src, "\r\n"); i >= 0 {
			text = src[:i]
			if strings.HasPrefix(src[i:], "\r\n") {
				i++
			}
			src = src[i+1:]
		} else {
			src = ""
		}
		if len(text) > MaxLine {
			b.warn(lineNumber, MaxLine+1, "the line has %d bytes, and %d is the most; it is left out", len(text), MaxLine)
			continue
		}
		if err := b.line(textLine{lineNumber, text}); err != nil {
			return err
		}
	}
	b.endTune()
	if b.full() {
		return b.tooFull(0)
	}
	return nil
}

// oneNote returns a list of one note that grows into no other.
func (b *book) oneNote(n tune.Note) []tune.Note {
	if len(b.notes) == cap(b.notes) {
		b.notes = make([]tune.Note, 0, 256)
	}
	b.notes = append(b.notes, n)
	i := len(b.notes) - 1
	return b.notes[i : i+1 : i+1]
}

// full reports whether the file has spent all that one may have.
func (b *book) full() bool { return b.things > MaxThings }

func (b *book) tooFull(lineNumber int) error {
	return &fault.Fault{File: b.file, Line: lineNumber, Msg: fmt.Sprintf("the file has more than %d notes, signs and syllables", MaxThings), Hint: "split it into several files"}
}

// line takes one line of the file.
func (b *book) line(l textLine) error {
	if b.full() {
		return b.tooFull(l.lineNumber)
	}
	text := l.text
	if strings.HasPrefix(text, "X:") {
		b.endTune()
		if len(b.tunes) == MaxTunes {
			return &fault.Fault{File: b.file, Line: l.lineNumber, Col: 1, Msg: fmt.Sprintf("the file has more than %d tunes", MaxTunes), Hint: "split it into several files"}
		}
		b.startTune(l)
		return nil
	}
	if strings.TrimSpace(text) == "" {
		b.endTune()
		return nil
	}
	if strings.HasPrefix(strings.TrimLeft(text, " \t"), "%") {
		b.directive(l)
		return nil
	}
	if b.now != nil {
		b.now.line(l)
		return nil
	}
	letter, value, isField := field(text)
	switch {
	case isField && len(b.tunes) == 0 && letter != 'T' && letter != 'K' && letter != 'V':
		b.defaults = append(b.defaults, l)
		if len(b.defaults) > 200 {
			return &fault.Fault{File: b.file, Line: l.lineNumber, Col: 1, Msg: "the file header has more than 200 fields"}
		}
	case isField && (letter == 'T' || letter == 'K'):
		b.warn(l.lineNumber, 1, "a tune begins without its X: field")
		b.startTune(textLine{l.lineNumber, fmt.Sprintf("X:%d", len(b.tunes)+1)})
		b.now.line(l)
	case isField:
		b.warn(l.lineNumber, 1, "the field %q stands outside every tune and is left out", string(letter)+":"+terms.Clip(value))
	case strings.ContainsRune(text, '|'):
		b.warn(l.lineNumber, 1, "a line of music stands outside every tune and is left out: %q", terms.Clip(text))
	}
	return nil
}

// directive takes a comment line.
func (b *book) directive(l textLine) {
	text := strings.TrimLeft(l.text, " \t")
	if !strings.HasPrefix(text, "%%") {
		return
	}
	col := len(l.text) - len(text) + 1
	if b.now != nil {
		b.now.usage.instruction(text[2:], l.lineNumber, col)
		return
	}
	name, _, _ := strings.Cut(strings.TrimSpace(text[2:]), " ")
	b.once("%%"+name, l.lineNumber, col, "the instruction %q is not used", terms.Clip("%%"+name))
}

func (b *book) startTune(l textLine) {
	b.now = newReader(b, l)
	for _, d := range b.defaults {
		b.now.line(d)
	}
	b.now.ownHeader = true
}

func (b *book) endTune() {
	if b.now == nil {
		return
	}
	r := b.now
	b.now = nil
	defer func() { b.expanded = nil }()
	if t := r.finish(); t != nil {
		b.tunes = append(b.tunes, t)
	}
}

// field takes a line such as "T:title" apart. A line that begins with a note and
// a repeat, "A:|", is music.
func field(s string) (letter byte, value string, ok bool) {
	if len(s) < 2 || s[1] != ':' {
		return 0, "", false
	}
	c := s[0]
	if c != '+' && (c < 'A' || c > 'Z') && (c < 'a' || c > 'z') {
		return 0, "", false
	}
	if len(s) > 2 && (s[2] == '|' || s[2] == ':') && strings.IndexByte("ABCDEFGabcdefgzxZX", c) >= 0 {
		return 0, "", false
	}
	return c, s[2:], true
}

// uncomment cuts the comment off a line. A percent sign after a backslash is no
// comment.
func uncomment(s string) string {
	for from := 0; ; {
		i := strings.IndexByte(s[from:], '%')
		if i < 0 {
			return s
		}
		i += from
		if i == 0 || s[i-1] != '\\' {
			return s[:i]
		}
		from = i + 1
	}
}
