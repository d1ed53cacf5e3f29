package tabtext

import (
	"lapwright/notation/columns"
	"math"
	"strconv"
	"strings"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// formatCell writes a pluck. shorten says that its contact is the bar's own, so
// that two decimals will do; letters are the benders that move its string.
func formatCell(p *tab.Pluck, shorten, falling bool, letters string) string {
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

// scanCell reads a cell of the exact form. It gives the byte at which reading
// stopped when s is no cell.
func scanCell(s string) (c columns.Cell, stop int, want string) {
	at := 0
	digits := func() (float64, bool, bool) {
		start := at
		for at < len(s) && (s[at] >= '0' && s[at] <= '9' || s[at] == '.') && at-start < 24 {
			at++
		}
		f, err := strconv.ParseFloat(s[start:at], 64)
		if err != nil || f > 99 {
			at = start
			return 0, false, false
		}
		_, decimals, _ := strings.Cut(s[start:at], ".")
		return f, len(decimals) != 2, true
	}
	open := byte(0)
	// A number before a slide mark is where a scoop begins.
	if mark := strings.IndexAny(s, `/\`); mark > 0 {
		f, _, ok := digits()
		if !ok || at != mark {
			return c, at, "a number expected before the slide"
		}
		c.Start, c.Scooped = f, true
		at++
	} else if mark == 0 {
		c.Attack, c.Falling = tab.Glided, s[0] == '\\'
		at++
	}
	if c.Attack == tab.Picked && at < len(s) {
		switch s[at] {
		case 'h':
			c.Attack = tab.Hammered
		case 'p':
			c.Attack = tab.PulledOff
		case '(':
			c.Attack, open = tab.Tied, ')'
		case '<':
			c.Attack, open = tab.Harmonic, '>'
		}
		if c.Attack != tab.Picked {
			at++
		}
	}
	f, exact, ok := digits()
	if !ok {
		return c, at, "a bar position from 0 to 99 expected"
	}
	c.Fret, c.Exact = f, exact
	letters := func() {
		for at < len(s) && s[at] >= 'A' && s[at] <= 'Z' {
			c.Benders = append(c.Benders, s[at:at+1])
			at++
		}
	}
	letters()
	node := func() bool {
		if at >= len(s) || s[at] != ':' {
			return true
		}
		end := at + 1
		for end < len(s) && s[end] >= '0' && s[end] <= '9' {
			end++
		}
		n, err := strconv.ParseInt(s[at+1:end], 10, 8)
		if err != nil || n < 2 {
			return false
		}
		c.Node, at = int8(n), end
		return true
	}
	if c.Attack == tab.Harmonic && !node() {
		return c, at, "the number of a harmonic from 2 on expected"
	}
	if open != 0 {
		if at >= len(s) || s[at] != open {
			return c, at, "\"" + string(open) + "\" expected"
		}
		at++
		letters()
	}
	if c.Attack == tab.Harmonic && c.Node == 0 {
		if c.Node = columns.NodeAt(c.Fret); c.Node == 0 {
			return c, at, "a fret with a node (12, 7, 5, 4, 3 or 2) expected"
		}
	}
	if c.Attack == tab.Picked && at < len(s) && s[at] == '<' {
		at++
		f, _, ok := digits()
		if !ok {
			return c, at, "the fret of the palm's node expected"
		}
		if !node() {
			return c, at, "the number of a harmonic from 2 on expected"
		}
		if at >= len(s) || s[at] != '>' {
			return c, at, "\">\" expected"
		}
		if c.Node == 0 {
			if c.Node = columns.NodeAt(math.Round(f - c.Fret)); c.Node == 0 {
				return c, at, "a node 12, 7, 5, 4, 3 or 2 frets above the bar expected"
			}
		}
		at++
		c.Attack = tab.PalmHarmonic
	}
	for at < len(s) {
		switch {
		case s[at] == '~' && !c.Vibrato:
			c.Vibrato = true
		case s[at] == '\'' && !c.Damp:
			c.Damp = true
		default:
			return c, at, "the end of the number or one of the marks ~ ' expected"
		}
		at++
	}
	return c, at, ""
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
	if err != nil || a < 1 || a > rig.MostStrings {
		return out, "a string's number expected"
	}
	b := a
	if two {
		if b, err = strconv.ParseInt(last, 10, 8); err != nil || b < a || b > rig.MostStrings {
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
