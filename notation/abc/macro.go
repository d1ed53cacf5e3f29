package abc

import (
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
)

// The bounds of macros: those of lengths are the standard's (section 9).
const (
	maxMacros      = 100
	maxTarget      = 31
	maxReplacement = 200
)

// macro is a replacement of text in the music that follows (section 9).
type macro struct {
	target, with string
	moves        bool // its target ends in n and a length: n is any note, h to z are notes as far from it
}

// macros are those of a tune, those of longer targets first: ~G3 is looked for before ~G.
type macros struct {
	b    *book
	list []macro
}

// add takes m: such as "~G3 = G{A}G{F}G" or "~n3 = n{o}n{m}n".
func (ms *macros) add(s string, lineNumber, col int) {
	target, with, ok := strings.Cut(s, "=")
	m := macro{target: strings.TrimSpace(target), with: strings.TrimSpace(with)}
	i := strings.IndexByte(m.target, 'n')
	m.moves = i >= 0
	switch {
	case !ok || m.target == "" || m.with == "":
		ms.b.warn(lineNumber, col, "the macro %q has no text to look for or none to put there", terms.Clip(s))
	case len(m.target) > maxTarget || len(m.with) > maxReplacement:
		ms.b.warn(lineNumber, col, "the macro %q is longer than the standard lets one be, and is left out", terms.Clip(s))
	case m.moves && strings.Trim(m.target[i+1:], "0123456789/") != "":
		ms.b.warn(lineNumber, col, "the macro %q has an n that does not stand for its note, and is left out", terms.Clip(s))
	case len(ms.list) == maxMacros:
		ms.b.warn(lineNumber, col, "a tune has at most %d macros; %q is left out", maxMacros, terms.Clip(s))
	default:
		at, _ := slices.BinarySearchFunc(ms.list, len(m.target), func(x macro, n int) int { return n - len(x.target) })
		ms.list = slices.Insert(ms.list, at, m)
	}
}

// expand puts in a line of music what the macros have for their targets, once, and
// remembers which column of the file each byte is from. Text between quotation
// marks is left alone.
func (ms *macros) expand(text string, lineNumber int) string {
	if len(ms.list) == 0 {
		return text
	}
	var out strings.Builder
	var cols []int32
	quoted := false
	for i := 0; i < len(text); {
		put, took := "", 0
		if !quoted && out.Len() < MaxLine {
			put, took = ms.at(text[i:])
		}
		if took == 0 {
			quoted = quoted != (text[i] == '"')
			put, took = text[i:i+1], 1
		}
		out.WriteString(put)
		for range len(put) {
			cols = append(cols, int32(i+1))
		}
		i += took
	}
	if out.String() == text {
		return text
	}
	if ms.b.expanded == nil {
		ms.b.expanded = map[int][]int32{}
	}
	ms.b.expanded[lineNumber] = cols
	ms.b.things += len(cols) / 8
	return out.String()
}

// at returns what the text begins with is replaced by, and how long it is; 0
// when no macro has it.
func (ms *macros) at(s string) (put string, took int) {
	for _, m := range ms.list {
		if !m.moves {
			if strings.HasPrefix(s, m.target) && !goesOn(m.target, s[len(m.target):]) {
				return m.with, len(m.target)
			}
			continue
		}
		head, length, _ := strings.Cut(m.target, "n")
		if !strings.HasPrefix(s, head) {
			continue
		}
		i := len(head)
		if i == len(s) || !isNote(s[i]) || strings.IndexByte("^_=", s[i]) >= 0 {
			continue
		}
		step := strings.IndexByte("CDEFGABcdefgab", s[i])
		for i++; i < len(s) && (s[i] == '\'' || s[i] == ','); i++ {
			if s[i] == '\'' {
				step += 7
			} else {
				step -= 7
			}
		}
		if !strings.HasPrefix(s[i:], length) || goesOn("n"+length, s[i+len(length):]) {
			continue
		}
		return m.moved(max(min(step, 140), -140)), i + len(length)
	}
	return "", 0
}

// goesOn reports whether the note at the end of a target goes on after it: ~G3 is
// not in ~G3/2, nor ~G in ~G2 or ~G'.
func goesOn(target, rest string) bool {
	if rest == "" {
		return false
	}
	last := target[len(target)-1]
	isLength := strings.IndexByte("0123456789/", rest[0]) >= 0
	switch {
	case strings.IndexByte("0123456789/", last) >= 0:
		return isLength
	case isNote(last) || last == 'n' || last == '\'' || last == ',':
		return isLength || rest[0] == '\'' || rest[0] == ','
	}
	return false
}

// moved writes the replacement for a note so many steps over C: the letters h to z
// are notes as many steps from it as they are letters from n. Decorations between
// exclamation marks and texts between quotation marks are kept.
func (m *macro) moved(step int) string {
	var out strings.Builder
	var in byte
	for i := range len(m.with) {
		c := m.with[i]
		if in != 0 {
			if c == in {
				in = 0
			}
			out.WriteByte(c)
			continue
		}
		switch {
		case c == '!' || c == '"':
			in = c
			out.WriteByte(c)
		case c >= 'h' && c <= 'z':
			out.WriteString(noteAt(step + int(c) - 'n'))
		default:
			out.WriteByte(c)
		}
	}
	return out.String()
}

// noteAt writes the note so many steps over C.
func noteAt(step int) string {
	octave := 0
	for ; step < 0; step += 7 {
		octave--
	}
	octave += step / 7
	letter := "CDEFGAB"[step%7 : step%7+1]
	if octave >= 1 {
		return strings.ToLower(letter) + strings.Repeat("'", min(octave-1, 20))
	}
	return letter + strings.Repeat(",", min(-octave, 20))
}
