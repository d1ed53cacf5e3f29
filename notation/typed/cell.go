package typed

import (
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/rig"
	"lapwright/tab"
)

// looseToken is one number on a string line.
type looseToken struct {
	columns.Cell
	str     int
	line    columns.TextLine
	col     int // rune column on the line
	rel     int // and in its bar
	digits  int
	adj     float64 // rel, brought to the columns that all strings share
	slide   rune    // the mark before it: h p / \ s, or 0
	slideAt int
	paren   bool
	before  *looseToken // the number before it on its string
	cluster int         // which instant of the whole text, counted from 0
}

// scanner reads one string line, bar by bar.
type scanner struct {
	*guesses
	rig  *rig.Rig
	l    *looseString
	str  int
	last *looseToken // on this string, earlier systems included
	out  [][]*looseToken

	slide   rune
	slideAt int
	paren   bool
	harm    bool
	opened  int // where the bracket right before stands, −1 for none
}

func (s *scanner) bar(from, to int) {
	inBar := func() *looseToken {
		if n := len(s.out) - 1; len(s.out[n]) > 0 {
			return s.out[n][len(s.out[n])-1]
		}
		return nil
	}
	for i := from; i < to; {
		c := s.l.runes[i]
		switch {
		case c >= '0' && c <= '9':
			i = s.number(i, to, from)
			s.opened = -1
			continue
		case strings.ContainsRune("-= ", c):
		case strings.ContainsRune(`hpsHPS/\`, c):
			s.slide, s.slideAt = c|0x20, i
			if c == '/' || c == '\\' {
				s.slide = c
			}
		case c == '(' || c == '[' || c == '{':
			s.paren, s.opened = true, i
		case c == ')' || c == ']' || c == '}':
			s.paren = false
		case c == '<':
			s.harm, s.opened = true, i
		case c == '>':
			s.harm = false
		case c == '~' || c == 'v':
			if t := inBar(); t != nil {
				t.Vibrato = true
			} else {
				s.unread(i, "no number before it")
			}
		case c == 'x' || c == 'X':
			if t := inBar(); t != nil && !t.Damp {
				t.Damp = true
				s.guess(s.l.TextLine, i, "the x is taken to stop the %s before it", columns.Number(t.Fret, true))
			} else {
				s.unread(i, "a muted string has no pitch")
			}
		case (c == 'b' || c == 'r') && s.again(i+1, to):
			s.slide, s.slideAt = '/', i // the steel stays, a bender moves the string
		case c == 'b' || c == 'r':
			s.unread(i, "a string can't be bent under the bar")
			i++
			for i < to && s.l.runes[i] >= '0' && s.l.runes[i] <= '9' {
				i++
			}
			continue
		default:
			s.unread(i, "")
		}
		i++
	}
}

// again reports whether the number at i is the last one of the string once more, on
// an instrument with benders: what a bender moves has its number twice.
func (s *scanner) again(i, to int) bool {
	if s.last == nil || len(s.rig.Benders) == 0 {
		return false
	}
	end := i
	for end < to && s.l.runes[end] >= '0' && s.l.runes[end] <= '9' {
		end++
	}
	f, err := strconv.ParseFloat(string(s.l.runes[i:end]), 64)
	return err == nil && f == s.last.Fret
}

// unread reports a spot that can't be read.
func (s *scanner) unread(at int, why string) {
	if why != "" {
		why = " (" + why + ")"
	}
	s.guess(s.l.TextLine, at, "%q can't be read here%s: passed over", s.l.runes[at], why)
}

// number reads a bar position and the marks right after it, and gives where it
// ended.
func (s *scanner) number(at, to, from int) int {
	runes := s.l.runes
	i := at
	for i < to && runes[i] >= '0' && runes[i] <= '9' {
		i++
	}
	digits := i - at
	if i+1 < to && runes[i] == '.' && runes[i+1] >= '0' && runes[i+1] <= '9' {
		i++
		for i < to && runes[i] >= '0' && runes[i] <= '9' {
			i++
		}
	}
	text := string(runes[at:i])
	f, err := strconv.ParseFloat(text, 64)
	t := &looseToken{str: s.str, line: s.l.TextLine, col: at, rel: at - from, digits: digits, slide: s.slide, slideAt: s.slideAt, paren: s.paren, before: s.last}
	s.slide = 0
	t.Fret = f
	if s.opened >= 0 && s.opened == at-1 {
		t.rel--
	}
	if err != nil || digits > 2 || f > float64(s.rig.Frets) {
		s.guess(s.l.TextLine, at, "%q is no bar position from 0 to %d: passed over", fault.Clip(text), s.rig.Frets)
		return i
	}
	if s.harm {
		t.Attack = tab.Harmonic
	}
	for i < to {
		c := runes[i]
		switch {
		case c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z':
			if !s.bender(t, i, to) {
				s.add(t)
				return i
			}
		case c == '*':
			t.Attack = tab.Harmonic
		case c == '\'' || c == '.':
			t.Damp = true
		case c == '>' && s.harm:
			s.harm = false
		case c == ')' && s.paren:
			s.paren = false
		case c == '~':
			t.Vibrato = true
		default:
			s.add(t)
			return i
		}
		i++
	}
	s.add(t)
	return i
}

// bender takes a letter after a number as a bender of the rig.
func (s *scanner) bender(t *looseToken, i, to int) bool {
	c := s.l.runes[i]
	mark := strings.ToUpper(string(c))
	if _, bad := columns.BenderSet(s.rig, []string{mark}); bad == "" && (c <= 'Z' || !strings.ContainsRune("hpsbrvx", c)) {
		if c > 'Z' {
			s.guess(s.l.TextLine, i, "%q is taken as the bender %s", c, mark)
		}
		t.Benders = append(t.Benders, mark)
		return true
	}
	if strings.ContainsRune("hpsbrvxHPSX", c) {
		return false // a mark of its own
	}
	s.guess(s.l.TextLine, i, "the rig has no bender %q: passed over", mark)
	return true
}

func (s *scanner) add(t *looseToken) {
	if t.Attack == tab.Harmonic {
		if t.Node = columns.NodeAt(t.Fret); t.Node == 0 {
			s.guess(s.l.TextLine, t.col, "no harmonic lies at fret %s: read as a plain note", columns.Number(t.Fret, true))
			t.Attack = tab.Picked
		}
	}
	n := len(s.out) - 1
	s.out[n] = append(s.out[n], t)
	s.last = t
}

// key returns the key number that a token sounds when the bar touches the string
// at its fret.
func (t *looseToken) key(r *rig.Rig) float64 {
	set, _ := columns.BenderSet(r, t.Benders)
	return float64(r.OpenKey(t.str, set)) + t.Fret
}
