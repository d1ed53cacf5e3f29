package abc

import (
	"fmt"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// show writes the music of a tune in a compact form of its own, for tables:
// bars between bars lines, an event as its notes from low to high and its length
// ("C4+E4:1/4"), "-" tied on, "/" gliding, r a rest, Z a bar rest, x a skip.
func show(t *tune.Tune) string {
	var bars []string
	for i := range t.Bars {
		b := &t.Bars[i]
		var lines []string
		for v := range b.Lines {
			lines = append(lines, showLine(b, v))
		}
		text := strings.Join(lines, " & ")
		if b.Part != "" {
			text = "P=" + b.Part + " " + text
		}
		if len(b.Endings) > 0 {
			text = fmt.Sprintf("%v ", b.Endings) + text
		}
		if b.Left.Repeat > 0 {
			text = ": " + text
		}
		if b.Left.Style != tune.SingleBarline {
			text = fmt.Sprintf("left%d ", b.Left.Style) + text
		}
		text += strings.Repeat(" :", b.Right.Repeat)
		if b.EndingEnds {
			text += " ]"
		}
		if b.Right.Style != tune.SingleBarline && i < len(t.Bars)-1 {
			text += fmt.Sprintf(" style%d", b.Right.Style)
		}
		if b.LineBreak {
			text += " \\n"
		}
		bars = append(bars, text)
	}
	return strings.Join(bars, " | ")
}

func showLine(b *tune.Bar, v int) string {
	var words []string
	for k := range b.Lines[v] {
		e := &b.Lines[v][k]
		if v == 0 {
			for _, x := range b.Tempos {
				if x.At == e.At {
					words = append(words, fmt.Sprintf("%s=%d%q", x.Beat, x.PerMinute, x.Text))
				}
			}
			for _, x := range b.Chords {
				if x.At == e.At {
					words = append(words, fmt.Sprintf("%q", x.Text))
				}
			}
			for _, x := range b.Texts {
				if x.At == e.At {
					words = append(words, fmt.Sprintf("%q%s", x.Text, map[bool]string{true: "below"}[x.Below]))
				}
			}
			for _, x := range b.Signs {
				if x.At == e.At {
					words = append(words, terms.SignNames[x.Kind])
				}
			}
		}
		words = append(words, showEvent(e))
	}
	if v == 0 {
		for _, x := range b.Signs {
			if x.At == b.Len {
				words = append(words, "@end:"+terms.SignNames[x.Kind])
			}
		}
	}
	return strings.Join(words, " ")
}

func showEvent(e *tune.Event) string {
	text := strings.Repeat("s(", e.Slurs)
	for _, x := range e.Tuplets {
		if x.Starts {
			text += fmt.Sprintf("(%d:%d ", x.Actual, x.Normal)
		}
	}
	for _, g := range e.Graces {
		text += "{" + showNotes(g.Notes) + ":" + g.Value.Len().String()
		if g.Slash {
			text += "x"
		}
		text += "}"
	}
	for _, m := range e.Marks {
		text += fmt.Sprintf("m%d ", m)
	}
	switch {
	case e.Kind == tune.Skip:
		text += "x"
	case e.Value.BarRest:
		text += "Z"
	case e.Kind == tune.Rest:
		text += "r"
	default:
		text += showNotes(e.Notes)
	}
	text += ":" + e.Len.String()
	for _, x := range e.Tuplets {
		if x.Ends {
			text += ")"
		}
	}
	for _, l := range e.Lyrics {
		text += fmt.Sprintf("=%d%q", l.Verse, l.Text)
		if l.Hyphen {
			text += "-"
		}
		if l.Extend {
			text += "_"
		}
	}
	text += strings.Repeat("s)", e.SlurEnds)
	return text
}

func showNotes(notes []tune.Note) string {
	var words []string
	for _, n := range notes {
		text := n.Name.String()
		if n.Show {
			text += "!"
		}
		if n.Courtesy {
			text += "?"
		}
		if n.Scoop != 0 {
			text += fmt.Sprintf("s%+d", n.Scoop)
		}
		if n.Tie {
			text += "-"
		}
		if n.Glide {
			text += "/"
		}
		words = append(words, text)
	}
	return strings.Join(words, "+")
}
