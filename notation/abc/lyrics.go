package abc

import (
	"strings"
	"unicode/utf8"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// under follows the notes of a line of music that words or symbols have come to.
type under struct {
	v        *voice
	notes    []noteRef // still to come
	barIndex int       // of the note given last, −1 before any
	verse    int
}

// next returns the next note, or false when there is none left.
func (u *under) next() (noteRef, bool) {
	if len(u.notes) == 0 {
		return noteRef{}, false
	}
	u.v.b.things++
	ref := u.notes[0]
	u.notes, u.barIndex = u.notes[1:], ref.bar
	return ref, true
}

// nextBar passes over the notes left in the bar in hand. Before any note it
// does nothing.
func (u *under) nextBar() {
	if u.barIndex < 0 {
		return
	}
	u.barIndex++
	for len(u.notes) > 0 && u.notes[0].bar < u.barIndex {
		u.notes = u.notes[1:]
	}
}

// inHand returns an item of the bar in hand.
func (u *under) inHand(ref noteRef) *item {
	v := u.v
	if v.over != nil {
		return &v.over.cur.lines[0][ref.item]
	}
	return &v.cur.lines[0][ref.item]
}

// lyrics returns the list that a note's syllables go to.
func (u *under) lyrics(ref noteRef) *[]tune.Lyric {
	v := u.v
	if ref.bar == len(v.bars) {
		return &u.inHand(ref).lyrics
	}
	b := v.bars[ref.bar]
	return &b.Lines[0][b.firsts[ref.item]].Lyrics
}

// words puts the syllables of a text to the notes (section 5.1).
func (u *under) words(s string, lineNumber, col int) {
	var (
		last  *tune.Lyric // the syllable put last
		extra bool
	)
	// pass leaves the next note without a syllable of its own.
	pass := func() {
		_, ok := u.next()
		extra = extra || !ok
	}
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == ' ' || c == '\t':
			i++
		case c == '*':
			i++
			pass()
			last = nil
		case c == '_':
			i++
			pass()
			if last != nil {
				last.Extend = true
			}
		case c == '-':
			// A hyphen of its own: the syllable before is held over a note more.
			i++
			pass()
			if last != nil {
				last.Hyphen = true
			}
		case c == '|':
			i++
			u.nextBar()
			last = nil
		default:
			from := i
			var word strings.Builder
			for i < len(s) && strings.IndexByte(" \t*_-|", s[i]) < 0 {
				switch {
				case s[i] == '~':
					word.WriteByte(' ')
					i++
				case s[i] == '\\' && i+1 < len(s) && strings.IndexByte("-~_*|", s[i+1]) >= 0:
					word.WriteByte(s[i+1])
					i += 2
				case s[i] == '\\' && i+1 < len(s):
					word.WriteString(s[i : i+2])
					i += 2
				default:
					_, n := utf8.DecodeRuneInString(s[i:])
					word.WriteString(s[i : i+n])
					i += n
				}
			}
			hyphen := i < len(s) && s[i] == '-'
			if hyphen {
				i++
			}
			ref, ok := u.next()
			if !ok {
				u.v.b.warn(lineNumber, col+from, "there are more syllables than notes: %q is left out", terms.Clip(s[from:]))
				return
			}
			text := terms.DecodeText(word.String())
			if text == "" {
				last = nil // a blank alone leaves its note without words
				continue
			}
			to := u.lyrics(ref)
			*to = append(*to, tune.Lyric{Verse: u.verse, Text: text, Hyphen: hyphen})
			last = &(*to)[len(*to)-1]
		}
	}
	if extra {
		u.v.b.warn(lineNumber, col, "there are more signs than notes in the words %q", terms.Clip(s))
	}
}

// attach puts decorations and chord symbols to a note that is there already.
func (u *under) attach(ref noteRef, with *item, lineNumber, col int) {
	v := u.v
	if ref.bar == len(v.bars) {
		it := u.inHand(ref)
		it.marks = append(it.marks, with.marks...)
		it.chords = append(it.chords, with.chords...)
		it.texts = append(it.texts, with.texts...)
		it.signs = append(it.signs, with.signs...)
		for _, j := range with.joins {
			j.apply(v.b, it.notes, lineNumber, col)
		}
		return
	}
	b := v.bars[ref.bar]
	e := &b.Lines[0][b.firsts[ref.item]]
	e.Marks = append(e.Marks, with.marks...)
	for _, j := range with.joins {
		j.apply(v.b, e.Notes, lineNumber, col)
	}
	for _, x := range with.chords {
		x.At = e.At
		b.Chords = append(b.Chords, x)
	}
	for _, x := range with.texts {
		x.At = e.At
		b.Texts = append(b.Texts, x)
	}
	for _, x := range with.signs {
		x.At = e.At
		b.Signs = append(b.Signs, x)
	}
}

// lyricField takes w:, the words under the line of music before it. Each w: in
// a row is a verse more.
func (r *reader) lyricField(s string, lineNumber, col int) {
	if !r.voices.begun() {
		r.warn(lineNumber, col, "words before any music are left out: %q", terms.Clip(s))
		return
	}
	r.verse++
	v := r.voices.cur
	if len(v.lyric) == 0 {
		r.warn(lineNumber, col, "there are no notes for the words %q", terms.Clip(s))
		return
	}
	r.lastWords = &under{v, v.lyric, -1, r.verse}
	r.lastWords.words(s, lineNumber, col)
}

// symbolLine takes s:, chord symbols and decorations under the line of music
// that they belong to (section 4.15).
func (r *reader) symbolLine(s string, lineNumber, col int) {
	if !r.voices.begun() {
		r.warn(lineNumber, col, "symbols before any music are left out: %q", terms.Clip(s))
		return
	}
	v := r.voices.cur
	u := &under{v: v, notes: v.lyric, barIndex: -1}
	m := &scan{b: r.b, s: s, lineNumber: lineNumber}
	for m.i < len(s) {
		from := m.i
		var with item
		signs := decorationReader{m, &r.usage, &r.voices, &with}
		switch c := m.peek(); c {
		case ' ', '\t':
			m.i++
			continue
		case '|':
			m.i++
			u.nextBar()
			continue
		case '*':
			m.i++
		case '"':
			signs.quoted()
		case '!':
			signs.exclaimed()
		default:
			m.i++
			r.warn(lineNumber, col+from, "%q in a line of symbols is left out", string(rune(c)))
			continue
		}
		ref, ok := u.next()
		if !ok {
			r.warn(lineNumber, col+from, "there are more symbols than notes: %q is left out", terms.Clip(s[from:]))
			return
		}
		u.attach(ref, &with, lineNumber, col+from)
	}
}
