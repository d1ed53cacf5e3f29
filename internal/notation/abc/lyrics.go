package abc

import (
	"strings"
	"unicode/utf8"

	"lapwright/internal/tune"
)

// syllableAt is a note that lyrics have still to be put to.
type syllableAt struct {
	v     *voice
	ref   noteRef
	verse int
}

// lyricField takes w:, the words under the line of music before it. Each w: in
// a row is a verse more.
func (r *reader) lyricField(s string, no, col int) {
	if !r.body {
		r.warn(no, col, "words before any music are left out: %q", clip(s))
		return
	}
	r.verse++
	var notes []syllableAt
	for _, ref := range r.cur.lyric {
		notes = append(notes, syllableAt{r.cur, ref, r.verse})
	}
	if len(notes) == 0 {
		r.warn(no, col, "there are no notes for the words %q", clip(s))
		return
	}
	left := r.words(s, no, col, notes)
	r.lastWords = left
	if left == nil {
		r.lastWords = []syllableAt{}
	}
}

// lyrics gives the list that the note's syllables go to.
func (a syllableAt) lyrics() *[]tune.Lyric {
	if a.ref.bar == len(a.v.bars) {
		return &a.v.lines[0][a.ref.item].lyrics
	}
	b := a.v.bars[a.ref.bar]
	return &b.Lines[0][b.firsts[a.ref.item]].Lyrics
}

// words puts the syllables of a text to the notes and gives the notes left over
// (section 5.1).
func (r *reader) words(s string, no, col int, notes []syllableAt) []syllableAt {
	var (
		last  *tune.Lyric // the syllable put last
		extra string
	)
	bars := barSkip{-1}
	next := func() *[]tune.Lyric {
		if len(notes) == 0 {
			return nil
		}
		r.b.things++
		bars.bar = notes[0].ref.bar
		to := notes[0].lyrics()
		notes = notes[1:]
		return to
	}
	for i := 0; i < len(s); {
		switch c := s[i]; {
		case c == ' ' || c == '\t':
			i++
		case c == '*':
			i++
			if next() == nil {
				extra = "*"
			}
			last = nil
		case c == '_':
			i++
			if next() == nil {
				extra = "_"
			}
			if last != nil {
				last.Extend = true
			}
		case c == '-':
			// A hyphen of its own: the syllable before is held over a note more.
			i++
			if next() == nil {
				extra = "-"
			}
			if last != nil {
				last.Hyphen = true
			}
		case c == '|':
			i++
			notes = bars.next(notes)
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
			verse := 1
			if len(notes) > 0 {
				verse = notes[0].verse
			}
			to := next()
			if to == nil {
				r.warn(no, col+from, "there are more syllables than notes: %q is left out", clip(s[from:]))
				return nil
			}
			*to = append(*to, tune.Lyric{Verse: verse, Text: decodeText(word.String()), Hyphen: hyphen})
			last = &(*to)[len(*to)-1]
		}
	}
	if extra != "" {
		r.warn(no, col, "there are more signs than notes in the words %q", clip(s))
	}
	return notes
}

// barSkip follows the bars that words or symbols have come to.
type barSkip struct{ bar int }

// next passes over the notes left in the bar in hand. A bar sign before any
// word skips nothing.
func (b *barSkip) next(notes []syllableAt) []syllableAt {
	if b.bar < 0 {
		return notes
	}
	b.bar++
	for len(notes) > 0 && notes[0].ref.bar < b.bar {
		notes = notes[1:]
	}
	return notes
}

// symbolLine takes s:, chord symbols and decorations under the line of music
// that they belong to (section 4.15).
func (r *reader) symbolLine(s string, no, col int) {
	if !r.body {
		r.warn(no, col, "symbols before any music are left out: %q", clip(s))
		return
	}
	v := r.cur
	saved := v.pending
	defer func() { v.pending = saved }()
	var notes []syllableAt
	for _, ref := range v.lyric {
		notes = append(notes, syllableAt{v: v, ref: ref})
	}
	bars := barSkip{-1}
	m := &scan{s: s, no: no}
	for m.i < len(s) {
		from := m.i
		v.pending = item{}
		switch c := m.peek(); c {
		case ' ', '\t':
			m.i++
			continue
		case '|':
			m.i++
			notes = bars.next(notes)
			continue
		case '*':
			m.i++
		case '"':
			r.quoted(m)
		case '!':
			r.exclaimed(m)
		default:
			m.i++
			r.warn(no, col+from, "%q in a line of symbols is left out", string(rune(c)))
			continue
		}
		if len(notes) == 0 {
			r.warn(no, col+from, "there are more symbols than notes: %q is left out", clip(s[from:]))
			return
		}
		bars.bar = notes[0].ref.bar
		r.attach(notes[0].ref, &v.pending, no, col+from)
		notes = notes[1:]
	}
}

// attach puts decorations and chord symbols to a note that is there already.
func (r *reader) attach(ref noteRef, with *item, no, col int) {
	v := r.cur
	if ref.bar == len(v.bars) {
		it := &v.lines[0][ref.item]
		it.marks = append(it.marks, with.marks...)
		it.chords = append(it.chords, with.chords...)
		it.texts = append(it.texts, with.texts...)
		it.signs = append(it.signs, with.signs...)
		for _, j := range with.joins {
			j.apply(r, it.notes, no, col)
		}
		return
	}
	b := v.bars[ref.bar]
	e := &b.Lines[0][b.firsts[ref.item]]
	e.Marks = append(e.Marks, with.marks...)
	for _, j := range with.joins {
		j.apply(r, e.Notes, no, col)
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
