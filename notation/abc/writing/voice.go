package writing

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// voice writes the notes of one voice, with what reading it again would know at the
// place in hand.
type voice struct {
	*losses
	unit  unitNote
	index int
	accs  terms.Accidentals
	prev  []tune.Note
}

// event writes one event of a voice.
func (w *voice) event(bar, k int) string {
	b := &w.t.Bars[bar]
	e := &b.Lines[w.index][k]
	var out strings.Builder
	out.WriteString(strings.Repeat("(", e.Slurs))
	out.WriteString(w.tuplets(b, k))
	out.WriteString(w.graces(b, e))
	for _, m := range e.Marks {
		if m == tune.Staccato {
			out.WriteByte('.')
		} else {
			out.WriteString("!" + terms.MarkNames[m] + "!")
		}
	}
	switch e.Kind {
	case tune.Sounding:
		out.WriteString(joins(e.Notes))
		out.WriteString(w.notes(b, e.Notes, w.unit.text(e.Value.Len())))
		w.prev = e.Notes
	case tune.Rest:
		w.prev = nil
		full := b.Meter.Len()
		switch {
		case e.Value.BarRest && (full == b.Len || full == 0 && b.Len == tune.Whole):
			out.WriteString("Z")
		case e.Value.BarRest:
			w.lose(bar, 0, "a rest for a bar that is not as long as its meter is written as a plain rest")
			out.WriteString("z" + w.unit.text(e.Len))
		default:
			if len(b.Lines[w.index]) == 1 && b.Len == full && len(e.Tuplets) == 0 {
				w.lose(bar, 0, "a plain rest that fills its bar is read again as a rest for the bar")
			}
			out.WriteString("z" + w.unit.text(e.Value.Len()))
		}
	default:
		w.prev = nil
		length := e.Len
		for _, x := range slices.Backward(e.Tuplets) {
			length = length * tune.Ticks(x.Actual) / tune.Ticks(x.Normal)
		}
		out.WriteString("x" + w.unit.text(length))
	}
	out.WriteString(strings.Repeat(")", e.SlurEnds))
	return out.String()
}

// tuplets writes those that begin on an event.
func (w *voice) tuplets(b *tune.Bar, k int) string {
	text := ""
	line := b.Lines[w.index]
	for level, x := range line[k].Tuplets {
		if !x.Starts {
			continue
		}
		count := 0
		for i := k; i < len(line) && level < len(line[i].Tuplets); i++ {
			count++
			if line[i].Tuplets[level].Ends {
				break
			}
		}
		text += fmt.Sprintf("(%d", x.Actual)
		if x.Normal != terms.NormalOf(x.Actual, b.Meter) || count != x.Actual {
			text += fmt.Sprintf(":%d", x.Normal)
			if count != x.Actual {
				text += fmt.Sprintf(":%d", count)
			}
		}
	}
	return text
}

// graces writes the graces before an event, a pair of braces for each run of
// plain or crushed ones.
func (w *voice) graces(b *tune.Bar, e *tune.Event) string {
	text := ""
	for from := 0; from < len(e.Graces); {
		to := from + 1
		for to < len(e.Graces) && e.Graces[to].Slash == e.Graces[from].Slash {
			to++
		}
		text += "{"
		if e.Graces[from].Slash {
			text += "/"
		}
		unit := terms.GraceUnit(to - from)
		for _, g := range e.Graces[from:to] {
			num, den := (g.Value.Len() * (tune.Whole / unit)).Fraction()
			length := ""
			switch {
			case den == 1 && num > 1:
				length = fmt.Sprint(num)
			case num == 1 && den > 1:
				length = fmt.Sprintf("/%d", den)
			case den > 1:
				length = fmt.Sprintf("%d/%d", num, den)
			}
			text += joins(g.Notes) + w.notes(b, g.Notes, length)
		}
		text += "}"
		from = to
	}
	return text
}

// joins writes the decorations for scoops, glides and courtesy accidentals.
func joins(notes []tune.Note) string {
	return joined(notes, "glide", func(n tune.Note) int { return ones(n.Glide) }) +
		joined(notes, "scoop", func(n tune.Note) int { return int(n.Scoop) }) +
		joined(notes, "chop", func(n tune.Note) int { return ones(n.Chop) }) +
		joined(notes, "courtesy", func(n tune.Note) int { return ones(n.Courtesy) })
}

func ones(b bool) int {
	if b {
		return 1
	}
	return 0
}

// joined writes one kind of them: once when all notes have the same, else for
// each note by its place from the top.
func joined(notes []tune.Note, name string, value func(tune.Note) int) string {
	text, alike := "", true
	for i := range notes {
		n := value(notes[len(notes)-1-i])
		alike = alike && n == value(notes[0])
		if n == 0 {
			continue
		}
		text += fmt.Sprintf("!%s@%d!", joinName(name, n), i+1)
	}
	if alike && text != "" {
		return "!" + joinName(name, value(notes[0])) + "!"
	}
	return text
}

func joinName(name string, n int) string {
	switch {
	case name != "scoop":
		return name
	case n == -1:
		return "slide"
	}
	return fmt.Sprintf("scoop=%d", n)
}

// notes writes a note, or a chord in brackets, with its length and ties.
func (w *voice) notes(b *tune.Bar, notes []tune.Note, length string) string {
	ties := 0
	for _, n := range notes {
		ties += ones(n.Tie)
	}
	var out strings.Builder
	if len(notes) > 1 {
		out.WriteByte('[')
	}
	for _, n := range notes {
		out.WriteString(w.pitch(b, n))
		if n.Tie && ties < len(notes) {
			out.WriteByte('-')
		}
	}
	if len(notes) > 1 {
		out.WriteByte(']')
	}
	out.WriteString(length)
	if ties == len(notes) && ties > 0 {
		out.WriteByte('-')
	}
	return out.String()
}

// pitch writes a note's accidental, letter and octave. An accidental is written
// wherever a reader that carries accidentals through the bar, in the octave or
// in all octaves, would read the note wrong without it.
func (w *voice) pitch(b *tune.Bar, n tune.Note) string {
	step, alter := n.Name.Step(), int(n.Name.Alter)
	text := ""
	if n.Show || !w.plain(b, n) {
		text = terms.FormatAccidental(alter)
		w.accs.Put(n.Name.Letter, step, alter)
	}
	letter := n.Name.Letter.String()
	octave := int(n.Name.Octave)
	if octave >= 5 {
		return text + strings.ToLower(letter) + strings.Repeat("'", octave-5)
	}
	return text + letter + strings.Repeat(",", 4-octave)
}

// plain reports whether a note is read right without an accidental.
func (w *voice) plain(b *tune.Bar, n tune.Note) bool {
	return w.accs.PlainAfter(w.prev, n.Name, &b.Key)
}
