package writing

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// labels are the remarks that fields of their own stand for.
var labels = []struct {
	letter byte
	text   string
}{
	{'A', "Area: "}, {'B', "Book: "}, {'D', "Recording: "}, {'F', "File: "}, {'G', "Group: "}, {'H', "History: "}, {'Z', "Transcription: "},
}

// event writes one event of a voice.
func (w *writer) event(v, bar, k int) string {
	b := &w.t.Bars[bar]
	e := &b.Lines[v][k]
	state := &w.states[v]
	var out strings.Builder
	out.WriteString(strings.Repeat("(", e.Slurs))
	out.WriteString(w.tuplets(b, v, k))
	out.WriteString(w.graces(state, b, e))
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
		out.WriteString(w.notes(state, b, e.Notes, w.lengthText(e.Value.Len())))
		state.prev = e.Notes
	case tune.Rest:
		state.prev = nil
		full := b.Meter.Len()
		switch {
		case e.Value.BarRest && (full == b.Len || full == 0 && b.Len == tune.Whole):
			out.WriteString("Z")
		case e.Value.BarRest:
			w.lose(bar, 0, "a rest for a bar that is not as long as its meter is written as a plain rest")
			out.WriteString("z" + w.lengthText(e.Len))
		default:
			if len(b.Lines[v]) == 1 && b.Len == full && len(e.Tuplets) == 0 {
				w.lose(bar, 0, "a plain rest that fills its bar is read again as a rest for the bar")
			}
			out.WriteString("z" + w.lengthText(e.Value.Len()))
		}
	default:
		state.prev = nil
		length := e.Len
		for _, x := range slices.Backward(e.Tuplets) {
			length = length * tune.Ticks(x.Actual) / tune.Ticks(x.Normal)
		}
		out.WriteString("x" + w.lengthText(length))
	}
	out.WriteString(strings.Repeat(")", e.SlurEnds))
	return out.String()
}

// tuplets writes those that begin on an event.
func (w *writer) tuplets(b *tune.Bar, v, k int) string {
	text := ""
	line := b.Lines[v]
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
func (w *writer) graces(state *writeState, b *tune.Bar, e *tune.Event) string {
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
			text += joins(g.Notes) + w.notes(state, b, g.Notes, length)
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
func (w *writer) notes(state *writeState, b *tune.Bar, notes []tune.Note, length string) string {
	ties := 0
	for _, n := range notes {
		ties += ones(n.Tie)
	}
	var out strings.Builder
	if len(notes) > 1 {
		out.WriteByte('[')
	}
	for _, n := range notes {
		out.WriteString(w.pitch(state, b, n))
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
func (w *writer) pitch(state *writeState, b *tune.Bar, n tune.Note) string {
	step, alter := n.Name.Step(), int(n.Name.Alter)
	text := ""
	if n.Show || !state.plain(b, n) {
		text = terms.FormatAccidental(alter)
		state.accs.Put(n.Name.Letter, step, alter)
	}
	letter := n.Name.Letter.String()
	octave := int(n.Name.Octave)
	if octave >= 5 {
		return text + strings.ToLower(letter) + strings.Repeat("'", octave-5)
	}
	return text + letter + strings.Repeat(",", 4-octave)
}

// plain reports whether a note is read right without an accidental.
func (s *writeState) plain(b *tune.Bar, n tune.Note) bool {
	return s.accs.PlainAfter(s.prev, n.Name, &b.Key)
}

// lyrics writes the w: lines under a line of music.
func (w *writer) lyrics(v, from, to int) {
	var events []*tune.Event
	var bars []int
	verses := 0
	for i := from; i < to; i++ {
		line := w.t.Bars[i].Lines[v]
		for k := range line {
			e := &line[k]
			if e.Kind != tune.Sounding {
				if len(e.Lyrics) > 0 {
					w.lose(i, e.At, "the syllable %q under a rest is left out", terms.Clip(e.Lyrics[0].Text))
				}
				continue
			}
			events, bars = append(events, e), append(bars, i)
			for _, l := range e.Lyrics {
				verses = max(verses, l.Verse)
			}
		}
	}
	if verses > maxVerses {
		w.lose(from, 0, "verses after the %dth are left out", maxVerses)
		verses = maxVerses
	}
	for verse := 1; verse <= verses; verse++ {
		text, held := "", false
		blanks := ""
		for i, e := range events {
			k := slices.IndexFunc(e.Lyrics, func(l tune.Lyric) bool { return l.Verse == verse })
			if k < 0 {
				if held {
					text += " _"
				} else {
					blanks += " *"
				}
				continue
			}
			l := e.Lyrics[k]
			if slices.ContainsFunc(e.Lyrics[k+1:], func(l tune.Lyric) bool { return l.Verse == verse }) {
				w.lose(bars[i], e.At, "a second syllable of the same verse is left out")
			}
			syllable := syllableText(l.Text)
			if strings.TrimSpace(l.Text) == "" || terms.DecodeText(strings.TrimSpace(l.Text)) != l.Text {
				w.lose(bars[i], e.At, "the syllable %q is not read again as it is", terms.Clip(l.Text))
			}
			if strings.TrimSpace(l.Text) == "" {
				blanks += " *"
				continue
			}
			text += blanks + " " + syllable
			blanks = ""
			if l.Hyphen {
				text += "-"
			}
			held = l.Extend
			if held {
				after := i+1 < len(events) && !slices.ContainsFunc(events[i+1].Lyrics, func(l tune.Lyric) bool { return l.Verse == verse })
				if !after {
					w.lose(bars[i], e.At, "the syllable %q is not drawn out: no note without words follows in its line", terms.Clip(l.Text))
				}
			}
		}
		if text == "" {
			text = " *"
		}
		w.out.WriteString("w:" + text + "\n")
	}
}

// maxVerses bounds the lines of words under one line of music.
const maxVerses = 32

// syllableText writes a syllable so that its signs are not taken for those
// that place syllables.
func syllableText(s string) string {
	s = terms.EncodeText(strings.TrimSpace(s))
	return strings.NewReplacer(" ", "~", "~", `\~`, "-", `\-`, "_", `\_`, "*", `\*`, "|", `\|`).Replace(s)
}

// tellDerived lists what a reader works out anew, where it would come to
// something else.
func (w *writer) tellDerived() {
	bars := slices.Clone(w.t.Bars)
	for i := range bars {
		bars[i].EndingEnds = false
	}
	tune.Number(bars)
	tune.EndEndings(bars)
	numbers := false
	for i := range bars {
		if bars[i].Number != w.t.Bars[i].Number && !numbers {
			numbers = true
			w.lose(i, 0, "the bars are numbered anew: this one is %d", bars[i].Number)
		}
		if bars[i].EndingEnds != w.t.Bars[i].EndingEnds {
			w.lose(i, bars[i].Len, "the end of an ending's bracket is not said, and is set anew")
		}
	}
}
