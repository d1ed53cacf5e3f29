package tabtext

import (
	"math"
	"strconv"
	"strings"

	"lapwright/notation/columns"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// formatCell writes a pluck. shorten says that its contact is the bar's own, so
// that two decimals will do; letters are the benders that move its string.
func formatCell(p *tab.Pluck, shorten, falling bool, letters string) string {
	if p.Attack == tab.Chopped {
		return "x"
	}
	n := columns.Number(p.Fret, shorten) + letters
	switch p.Attack {
	case tab.Tied:
		n = "(" + n + ")"
	case tab.Glided:
		if falling {
			n = `\` + n
		} else {
			n = "/" + n
		}
	case tab.BentTo:
		if falling {
			n = "r" + n
		} else {
			n = "b" + n
		}
	case tab.Hammered:
		n = "h" + n
	case tab.PulledOff:
		n = "p" + n
	case tab.Harmonic:
		n = "<" + n + nodeText(p.Node) + ">"
	case tab.PalmHarmonic:
		n += "<" + columns.Number(p.Fret+tab.NodeFret(int(p.Node)), shorten) + nodeText(p.Node) + ">"
	}
	if p.Scoop != 0 {
		mark := "/"
		if p.Scoop > 0 {
			mark = `\`
		}
		n = columns.Number(p.Fret+p.Scoop, shorten) + mark + n
	}
	if p.Vibrato {
		n += "~"
	}
	if p.Damp {
		n += "'"
	}
	return n
}

// nodeText names a harmonic whose node can't be told from its fret alone.
func nodeText(node int8) string {
	if columns.NodeAt(tab.NodeFret(int(node))) == node {
		return ""
	}
	return ":" + strconv.Itoa(int(node))
}

// cellScanner reads a cell of the exact form from left to right.
type cellScanner struct {
	s  string
	at int // the next byte
	c  columns.Cell
}

// scanCell reads a cell of the exact form. It gives the byte at which reading
// stopped when s is no cell.
func scanCell(s string) (c columns.Cell, stop int, want string) {
	x := cellScanner{s: s}
	want = x.scan()
	return x.c, x.at, want
}

func (x *cellScanner) next(b byte) bool { return x.at < len(x.s) && x.s[x.at] == b }

// scan reads all of it. The answer is "", or what was expected.
func (x *cellScanner) scan() string {
	c := &x.c
	if x.s == "x" {
		c.Attack, x.at = tab.Chopped, 1
		return ""
	}
	closing, want := x.attack()
	if want != "" {
		return want
	}
	f, exact, ok := x.digits()
	if !ok {
		return "a bar position from 0 to 99 expected"
	}
	c.Fret, c.Exact = f, exact
	x.letters()
	if c.Attack == tab.Harmonic && !x.node() {
		return "the number of a harmonic from 2 on expected"
	}
	if closing != 0 {
		if !x.next(closing) {
			return "\"" + string(closing) + "\" expected"
		}
		x.at++
		x.letters()
	}
	if c.Attack == tab.Harmonic && c.Node == 0 {
		if c.Node = columns.NodeAt(c.Fret); c.Node == 0 {
			return "a fret with a node (12, 7, 5, 4, 3 or 2) expected"
		}
	}
	if c.Attack == tab.Picked && x.next('<') {
		if want := x.palm(); want != "" {
			return want
		}
	}
	for ; x.at < len(x.s); x.at++ {
		switch {
		case x.next('~') && !c.Vibrato:
			c.Vibrato = true
		case x.next('\'') && !c.Damp:
			c.Damp = true
		default:
			return "the end of the number or one of the marks ~ ' expected"
		}
	}
	return ""
}

// attack reads what stands before the number: a scoop, a slide, a letter or an
// opening bracket, of which closing is the other.
func (x *cellScanner) attack() (closing byte, want string) {
	c := &x.c
	// A number before a slide mark is where a scoop begins.
	if mark := strings.IndexAny(x.s, `/\`); mark > 0 {
		f, _, ok := x.digits()
		if !ok || x.at != mark {
			return 0, "a number expected before the slide"
		}
		c.Start, c.Scooped = f, true
		x.at++
	} else if mark == 0 {
		c.Attack, c.Falling = tab.Glided, x.s[0] == '\\'
		x.at++
	}
	if c.Attack != tab.Picked || x.at >= len(x.s) {
		return 0, ""
	}
	switch x.s[x.at] {
	case 'b', 'r':
		c.Attack, c.Falling = tab.BentTo, x.s[x.at] == 'r'
	case 'h':
		c.Attack = tab.Hammered
	case 'p':
		c.Attack = tab.PulledOff
	case '(':
		c.Attack, closing = tab.Tied, ')'
	case '<':
		c.Attack, closing = tab.Harmonic, '>'
	}
	if c.Attack != tab.Picked {
		x.at++
	}
	return closing, ""
}

// palm reads a palm harmonic's node, "<17>".
func (x *cellScanner) palm() string {
	x.at++
	f, _, ok := x.digits()
	if !ok {
		return "the fret of the palm's node expected"
	}
	if !x.node() {
		return "the number of a harmonic from 2 on expected"
	}
	if !x.next('>') {
		return "\">\" expected"
	}
	if x.c.Node == 0 {
		if x.c.Node = columns.NodeAt(math.Round(f - x.c.Fret)); x.c.Node == 0 {
			return "a node 12, 7, 5, 4, 3 or 2 frets above the bar expected"
		}
	}
	x.at++
	x.c.Attack = tab.PalmHarmonic
	return ""
}

// digits reads a position; exact is false for two decimals, which the geometry
// gives the rest of.
func (x *cellScanner) digits() (f float64, exact, ok bool) {
	start := x.at
	for x.at < len(x.s) && (x.s[x.at] >= '0' && x.s[x.at] <= '9' || x.s[x.at] == '.') && x.at-start < 24 {
		x.at++
	}
	f, err := strconv.ParseFloat(x.s[start:x.at], 64)
	if err != nil || f > 99 {
		x.at = start
		return 0, false, false
	}
	_, decimals, _ := strings.Cut(x.s[start:x.at], ".")
	return f, len(decimals) != 2, true
}

// letters reads the letters of benders.
func (x *cellScanner) letters() {
	for x.at < len(x.s) && x.s[x.at] >= 'A' && x.s[x.at] <= 'Z' {
		x.c.Benders = append(x.c.Benders, x.s[x.at:x.at+1])
		x.at++
	}
}

// node reads ":7", the number of a harmonic, if it is there.
func (x *cellScanner) node() bool {
	if !x.next(':') {
		return true
	}
	end := x.at + 1
	for end < len(x.s) && x.s[end] >= '0' && x.s[end] <= '9' {
		end++
	}
	n, err := strconv.ParseInt(x.s[x.at+1:end], 10, 8)
	if err != nil || n < 2 {
		return false
	}
	x.c.Node, x.at = int8(n), end
	return true
}

// formatLetters writes a set of benders.
func formatLetters(r *rig.Rig, set rig.BenderSet) string {
	s := ""
	for i, b := range r.Benders {
		if set.Has(i) {
			s += b.Mark
		}
	}
	return s
}

// scanSteel reads a token of the steel line.
func scanSteel(s string) (out columns.SteelState, want string) {
	place, benders, bent := strings.Cut(s, "+")
	out.Bent = bent
	for _, r := range benders {
		if r < 'A' || r > 'Z' {
			return out, "bender letters expected after the plus"
		}
		out.Benders = append(out.Benders, string(r))
	}
	if place == "" {
		if !bent {
			return out, "a way of laying the bar expected"
		}
		return out, ""
	}
	out.Laid = true
	p := &out.Placement
	known := false
	for k, l := range columns.KindLetters {
		if place[:1] == l {
			p.Kind, known = k, true
		}
	}
	if !known {
		return out, "one of - = F R S N expected"
	}
	rest := place[1:]
	if p.Kind == steel.Lifted {
		if rest != "" {
			return out, "nothing expected after \"-\""
		}
		return out, ""
	}
	span, frets, framed := strings.Cut(rest, ":")
	first, last, two := strings.Cut(span, "-")
	a, err := strconv.ParseInt(first, 10, 8)
	if err != nil || a < 1 || a > rig.MaxStrings {
		return out, "a string's number expected"
	}
	b := a
	if two {
		if b, err = strconv.ParseInt(last, 10, 8); err != nil || b < a || b > rig.MaxStrings {
			return out, "a further string's number expected"
		}
	}
	p.First, p.Last = int8(a), int8(b)
	if framed {
		out.Framed = true
		f, l, two := strings.Cut(frets, "/")
		ff, ok := parseFret(f)
		if !ok {
			return out, "a bar position expected"
		}
		lf := ff
		if two {
			if lf, ok = parseFret(l); !ok {
				return out, "a bar position expected"
			}
		}
		p.FirstFret, p.LastFret = ff, lf
	}
	return out, ""
}

func parseFret(s string) (float64, bool) {
	if s == "" || strings.Trim(s, "0123456789.") != "" || len(s) > 24 {
		return 0, false
	}
	f, err := strconv.ParseFloat(s, 64)
	return f, err == nil && f <= 99
}
