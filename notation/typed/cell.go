package typed

import (
	"strconv"
	"strings"
	"unicode"

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
	opened  int // where the bracket right before stands, or noBracket
}

// noBracket is no column, nor the one before the first.
const noBracket = -2

func isDigit(c rune) bool { return c >= '0' && c <= '9' }

// digitsFrom returns where the digits of a line that begin at i end.
func (s *scanner) digitsFrom(i, to int) int {
	for i < to && isDigit(s.l.runes[i]) {
		i++
	}
	return i
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
		case isDigit(c):
			i = s.number(i, to, from)
			s.opened = noBracket
			continue
		case strings.ContainsRune("-= ", c):
		case strings.ContainsRune(`hpsHPS/\`, c):
			s.slide, s.slideAt = unicode.ToLower(c), i
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
			i = s.digitsFrom(i+1, to)
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
	f, err := strconv.ParseFloat(string(s.l.runes[i:s.digitsFrom(i, to)]), 64)
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
	i := s.digitsFrom(at, to)
	digits := i - at
	if i < to && runes[i] == '.' {
		if end := s.digitsFrom(i+1, to); end > i+1 {
			i = end
		}
	}
	text := string(runes[at:i])
	f, _ := strconv.ParseFloat(text, 64) // infinite when there are too many
	t := &looseToken{str: s.str, line: s.l.TextLine, col: at, rel: at - from, digits: digits, slide: s.slide, slideAt: s.slideAt, paren: s.paren, before: s.last}
	s.slide = 0
	t.Fret = f
	if s.opened == at-1 {
		t.rel--
	}
	if digits > 2 || f > float64(s.rig.Frets) {
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
		case c == '>':
			s.harm = false
		case c == ')':
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
