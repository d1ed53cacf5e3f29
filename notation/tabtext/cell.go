package tabtext

import (
	"math"
	"strconv"
	"strings"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// cell is what stands on a string line in one column.
type cell struct {
	fret    float64
	exact   bool // the fret is not to be sought in the bar's geometry
	attack  tab.Attack
	falling bool // a glide written with a backslash
	start   float64
	scooped bool // start is where the glide into the note begins
	node    int8
	vibrato bool
	damp    bool
	benders []string // letters after the number
}

// number writes a fret: the shortest digits that are exact, or two decimals
// where the geometry gives the rest.
func number(f float64, shorten bool) string {
	if shorten && f != math.Trunc(f) {
		return strconv.FormatFloat(f, 'f', 2, 64)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// formatCell writes a pluck. shorten says that its contact is the bar's own, so
// that two decimals will do; letters are the benders that move its string.
func formatCell(p *tab.Pluck, shorten, falling bool, letters string) string {
	n := number(p.Fret, shorten) + letters
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
		n += "<" + number(p.Fret+tab.NodeFret(int(p.Node)), shorten) + nodeText(p.Node) + ">"
	}
	if p.Scoop != 0 {
		mark := "/"
		if p.Scoop > 0 {
			mark = `\`
		}
		n = number(p.Fret+p.Scoop, shorten) + mark + n
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
	if nodeAt(tab.NodeFret(int(node))) == node {
		return ""
	}
	return ":" + strconv.Itoa(int(node))
}

// nodeAt gives the lowest harmonic whose node lies nearest the given fret, 0
// for none up to the 12th.
func nodeAt(fret float64) int8 {
	for n := int8(2); n <= 12; n++ {
		if tab.NodeFret(int(n)) == fret {
			return n
		}
	}
	return 0
}

// scanCell reads a cell of the exact form. It gives the byte at which reading
// stopped when s is no cell.
func scanCell(s string) (c cell, stop int, want string) {
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
		c.start, c.scooped = f, true
		at++
	} else if mark == 0 {
		c.attack, c.falling = tab.Glided, s[0] == '\\'
		at++
	}
	if c.attack == tab.Picked && at < len(s) {
		switch s[at] {
		case 'h':
			c.attack = tab.Hammered
		case 'p':
			c.attack = tab.PulledOff
		case '(':
			c.attack, open = tab.Tied, ')'
		case '<':
			c.attack, open = tab.Harmonic, '>'
		}
		if c.attack != tab.Picked {
			at++
		}
	}
	f, exact, ok := digits()
	if !ok {
		return c, at, "a bar position from 0 to 99 expected"
	}
	c.fret, c.exact = f, exact
	letters := func() {
		for at < len(s) && s[at] >= 'A' && s[at] <= 'Z' {
			c.benders = append(c.benders, s[at:at+1])
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
		c.node, at = int8(n), end
		return true
	}
	if c.attack == tab.Harmonic && !node() {
		return c, at, "the number of a harmonic from 2 on expected"
	}
	if open != 0 {
		if at >= len(s) || s[at] != open {
			return c, at, "\"" + string(open) + "\" expected"
		}
		at++
		letters()
	}
	if c.attack == tab.Harmonic && c.node == 0 {
		if c.node = nodeAt(c.fret); c.node == 0 {
			return c, at, "a fret with a node (12, 7, 5, 4, 3 or 2) expected"
		}
	}
	if c.attack == tab.Picked && at < len(s) && s[at] == '<' {
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
		if c.node == 0 {
			if c.node = nodeAt(math.Round(f - c.fret)); c.node == 0 {
				return c, at, "a node 12, 7, 5, 4, 3 or 2 frets above the bar expected"
			}
		}
		at++
		c.attack = tab.PalmHarmonic
	}
	for at < len(s) {
		switch {
		case s[at] == '~' && !c.vibrato:
			c.vibrato = true
		case s[at] == '\'' && !c.damp:
			c.damp = true
		default:
			return c, at, "the end of the number or one of the marks ~ ' expected"
		}
		at++
	}
	return c, at, ""
}

// steel is what stands on the steel line in one column: how the bar is laid
// where the numbers alone don't tell, and benders that move no string played.
type steelState struct {
	placement steel.Placement
	framed    bool // the frets are written out
	laid      bool // a placement is written
	benders   []string
	bent      bool // benders are written; none of them may be "+" alone
}

var kindLetters = map[steel.Kind]string{
	steel.Lifted: "-", steel.Straight: "=", steel.Forward: "F", steel.Reverse: "R", steel.Split: "S", steel.Nose: "N",
}

// formatPlacement writes a placement in full: "=1-6:5", "F1-3:6/5", "N2:7".
func formatPlacement(p steel.Placement, frets bool) string {
	s := kindLetters[p.Kind]
	if p.Kind == steel.Lifted {
		return s
	}
	s += strconv.Itoa(int(p.First))
	if p.Last != p.First {
		s += "-" + strconv.Itoa(int(p.Last))
	}
	if frets {
		s += ":" + number(p.FirstFret, false)
		if p.LastFret != p.FirstFret {
			s += "/" + number(p.LastFret, false)
		}
	}
	return s
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

// benderSet finds benders by their letters; bad is a letter that none has.
func benderSet(r *rig.Rig, letters []string) (set rig.BenderSet, bad string) {
	for _, l := range letters {
		found := false
		for i, b := range r.Benders {
			if b.Mark == l {
				set |= 1 << uint(i)
				found = true
			}
		}
		if !found {
			return set, l
		}
	}
	return set, ""
}

// scanSteel reads a token of the steel line.
func scanSteel(s string) (out steelState, want string) {
	place, benders, bent := strings.Cut(s, "+")
	out.bent = bent
	for _, r := range benders {
		if r < 'A' || r > 'Z' {
			return out, "bender letters expected after the plus"
		}
		out.benders = append(out.benders, string(r))
	}
	if place == "" {
		if !bent {
			return out, "a way of laying the bar expected"
		}
		return out, ""
	}
	out.laid = true
	p := &out.placement
	known := false
	for k, l := range kindLetters {
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
		out.framed = true
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
