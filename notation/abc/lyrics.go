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
func (v *voice) inHand(ref noteRef) *item {
	if v.over != nil {
		return &v.over.lines[0][ref.item]
	}
	return &v.lines[0][ref.item]
}

// lyrics returns the list that a note's syllables go to.
func (v *voice) lyrics(ref noteRef) *[]tune.Lyric {
	if ref.bar == len(v.bars) {
		return &v.inHand(ref).lyrics
	}
	b := v.bars[ref.bar]
	return &b.Lines[0][b.firsts[ref.item]].Lyrics
}

// lyricField takes w:, the words under the line of music before it. Each w: in
// a row is a verse more.
func (r *reader) lyricField(s string, lineNumber, col int) {
	if !r.body {
		r.warn(lineNumber, col, "words before any music are left out: %q", terms.Clip(s))
		return
	}
	r.verse++
	if len(r.cur.lyric) == 0 {
		r.warn(lineNumber, col, "there are no notes for the words %q", terms.Clip(s))
		return
	}
	r.lastWords = &under{r.cur, r.cur.lyric, -1, r.verse}
	r.words(s, lineNumber, col, r.lastWords)
}

// words puts the syllables of a text to the notes (section 5.1).
func (r *reader) words(s string, lineNumber, col int, u *under) {
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
				r.warn(lineNumber, col+from, "there are more syllables than notes: %q is left out", terms.Clip(s[from:]))
				return
			}
			text := terms.DecodeText(word.String())
			if text == "" {
				last = nil // a blank alone leaves its note without words
				continue
			}
			to := u.v.lyrics(ref)
			*to = append(*to, tune.Lyric{Verse: u.verse, Text: text, Hyphen: hyphen})
			last = &(*to)[len(*to)-1]
		}
	}
	if extra {
		r.warn(lineNumber, col, "there are more signs than notes in the words %q", terms.Clip(s))
	}
}

// symbolLine takes s:, chord symbols and decorations under the line of music
// that they belong to (section 4.15).
func (r *reader) symbolLine(s string, lineNumber, col int) {
	if !r.body {
		r.warn(lineNumber, col, "symbols before any music are left out: %q", terms.Clip(s))
		return
	}
	v := r.cur
	saved := v.pending
	defer func() { v.pending = saved }()
	u := &under{v: v, notes: v.lyric, barIndex: -1}
	m := &scan{s: s, lineNumber: lineNumber}
	for m.i < len(s) {
		from := m.i
		v.pending = item{}
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
			r.quoted(m)
		case '!':
			r.exclaimed(m)
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
		r.attach(ref, &v.pending, lineNumber, col+from)
	}
}

// attach puts decorations and chord symbols to a note that is there already.
func (r *reader) attach(ref noteRef, with *item, lineNumber, col int) {
	v := r.cur
	if ref.bar == len(v.bars) {
		it := v.inHand(ref)
		it.marks = append(it.marks, with.marks...)
		it.chords = append(it.chords, with.chords...)
		it.texts = append(it.texts, with.texts...)
		it.signs = append(it.signs, with.signs...)
		for _, j := range with.joins {
			j.apply(r, it.notes, lineNumber, col)
		}
		return
	}
	b := v.bars[ref.bar]
	e := &b.Lines[0][b.firsts[ref.item]]
	e.Marks = append(e.Marks, with.marks...)
	for _, j := range with.joins {
		j.apply(r, e.Notes, lineNumber, col)
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
