package musicxml

import (
	"strconv"
	"strings"

	"lapwright/tune"
)

// verses are the names of verses that are no numbers, in the order in which they come.
type verses map[string]int

// lyrics returns the syllables under a note.
func (v verses) lyrics(r *reader, n *node) (out []tune.Lyric) {
	for _, k := range n.kids {
		if k.name != "lyric" {
			continue
		}
		l := tune.Lyric{Verse: v.of(k)}
		var text strings.Builder
		for _, x := range k.kids {
			switch x.name {
			case "text":
				text.WriteString(x.text)
			case "elision":
				if x.text == "" {
					text.WriteByte(' ')
				} else {
					text.WriteString(x.text)
				}
			case "syllabic":
				l.Hyphen = x.text == "begin" || x.text == "middle"
			case "extend":
				l.Extend = x.attr("type") != "stop"
			case "laughing", "humming":
				r.leave(x, "%s", x.name)
			}
		}
		l.Text = text.String()
		if l.Text != "" || l.Extend {
			out = append(out, l)
		}
	}
	return out
}

// of returns the verse of a lyric: its number, or one in the order in which
// other names come.
func (v verses) of(k *node) int {
	name := k.attr("number")
	if name == "" {
		name = k.attr("name")
	}
	if name == "" {
		return 1
	}
	if n, err := strconv.Atoi(name); err == nil && n >= 1 && n <= 99 {
		return n
	}
	if v[name] == 0 {
		v[name] = min(len(v)+1, 99)
	}
	return v[name]
}
