package musicxml

import (
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// barline reads one side of a bar.
func (c *measure) barline(n *node) {
	where := n.attr("location")
	if where == "" {
		where = "right"
	}
	style := tune.SingleBarline
	if k := n.kid("bar-style"); k != nil {
		switch s := strings.TrimSpace(k.text); s {
		case "dashed":
			style = tune.DottedBarline
		case "heavy", "heavy-heavy", "tick", "short":
			c.r.leave(k, "the barline style %q", s)
		default:
			if i := slices.Index(terms.BarlineStyles[:], s); i >= 0 {
				style = tune.BarlineStyle(i)
			}
		}
	}
	if where == "middle" {
		if n.kid("repeat") == nil && n.kid("ending") == nil {
			c.r.leave(n, "barlines in the middle of a measure")
			return
		}
		c.middle(n, style)
		return
	}
	c.barlineAt(c.r, c.end, n, style, where)
}

// barlineAt puts what a barline says to the side of a bar where it stands.
func (b *rawBar) barlineAt(r *reader, end tune.Ticks, n *node, style tune.BarlineStyle, where string) {
	repeat := n.kid("repeat")
	if repeat != nil {
		switch repeat.attr("direction") {
		case "forward":
			b.Left.Repeat = 1
			if style == tune.OpenBarline {
				style = tune.SingleBarline
			}
		case "backward":
			times, err := strconv.Atoi(repeat.attr("times"))
			if err != nil || times < 2 {
				times = 2
			}
			b.Right.Repeat = min(times-1, tune.MaxRepeats)
			if style == tune.FinalBarline {
				style = tune.SingleBarline
			}
		}
	}
	if where == "left" {
		b.Left.Style = style
	} else {
		b.Right.Style = style
	}
	for _, k := range n.kids {
		switch k.name {
		case "ending":
			switch k.attr("type") {
			case "start":
				b.Endings = endingNumbers(r, k)
			case "stop", "discontinue":
				b.EndingEnds = true
			}
		case "segno":
			b.Signs = append(b.Signs, tune.Sign{At: map[bool]tune.Ticks{true: 0, false: end}[where == "left"], Kind: tune.Segno})
		case "coda":
			b.Signs = append(b.Signs, tune.Sign{At: map[bool]tune.Ticks{true: 0, false: end}[where == "left"], Kind: tune.Coda})
		case "fermata":
			r.leave(k, "fermatas on barlines")
		}
	}
}

// middle keeps a line inside a measure for splitting the bar there.
func (c *measure) middle(n *node, style tune.BarlineStyle) {
	m := midLine{at: c.at, line: n.line, col: n.col}
	var side rawBar
	side.barlineAt(c.r, c.end, n, style, "right")
	m.left, m.right = side.Right, side.Left
	m.endings, m.endsHere = side.Endings, side.EndingEnds
	if m.right.Repeat > 0 && m.left.Repeat == 0 {
		m.left.Style, m.right.Style = tune.SingleBarline, tune.SingleBarline
	}
	c.lines = append(c.lines, m)
}

func endingNumbers(r *reader, k *node) []int {
	var out []int
	for _, s := range strings.FieldsFunc(k.attr("number"), func(x rune) bool { return x == ',' || x == ' ' }) {
		n, err := strconv.Atoi(s)
		if err == nil && n >= 1 && n <= tune.MaxRepeats && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	if len(out) == 0 {
		r.warn(k.line, k.col, "an ending with the number %q is left out", fault.Clip(k.attr("number")))
	}
	return out
}
