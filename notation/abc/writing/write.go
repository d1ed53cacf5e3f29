package writing

import (
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/feel"
	"lapwright/notation/abc/terms"
	"lapwright/tune"
)

// maxWidth is the width in bytes at which a line of music is continued on the next.
const maxWidth = 92

// Tune returns a tune as ABC 2.1 and lists, by bar and beat, what ABC can't say:
// reading the text again gives the tune but for that. The tune must be one that
// Check finds nothing wrong with. docs/formats/abc.md names every loss.
func Tune(t *tune.Tune) ([]byte, fault.List) {
	w := newWriter(t)
	w.bars.openRepeats()
	w.header()
	from := 0
	for i := range t.Bars {
		if t.Bars[i].LineBreak || i == len(t.Bars)-1 {
			for v := range t.Voices {
				w.voiceLine(v, from, i+1)
			}
			from = i + 1
		}
	}
	for _, words := range t.Words {
		w.field('W', words)
	}
	w.tellDerived()
	return []byte(w.out.String()), w.lost
}

// writer writes the fields of a tune and its lines of music.
type writer struct {
	*losses
	out  strings.Builder
	bars barWriter
	ids  []string // of the voices
}

func newWriter(t *tune.Tune) *writer {
	l := &losses{t: t}
	unit := unitNote(terms.UnitOf(t.Bars[0].Meter))
	voices := make([]voice, len(t.Voices))
	for i := range voices {
		voices[i] = voice{losses: l, unit: unit, index: i}
	}
	return &writer{losses: l, bars: barWriter{losses: l, unit: unit, voices: voices, opens: map[int]bool{}}}
}

// labels are the remarks that fields of their own stand for.
var labels = []struct {
	letter byte
	text   string
}{
	{'A', "Area: "}, {'B', "Book: "}, {'D', "Recording: "}, {'F', "File: "}, {'G', "Group: "}, {'H', "History: "}, {'Z', "Transcription: "},
}

// field writes a text field on its own line.
func (w *writer) field(letter byte, text string) {
	coded := terms.EncodeText(text)
	if terms.DecodeText(coded) != text {
		w.lost.Add(&fault.Fault{Msg: fmt.Sprintf("the text %q is written without its line breaks and outer spaces", terms.Clip(text))})
	}
	if strings.HasPrefix(coded, "|") || strings.HasPrefix(coded, ":") {
		coded = " " + coded // "A:|" would be a note and a repeat
	}
	fmt.Fprintf(&w.out, "%c:%s\n", letter, coded)
}

func (w *writer) header() {
	t := w.t
	fmt.Fprintf(&w.out, "X:%d\n", t.Index)
	w.field('T', t.Title)
	for _, s := range t.Subtitles {
		w.field('T', s)
	}
	for _, f := range []struct {
		letter byte
		text   string
	}{{'C', t.Composer}, {'O', t.Origin}, {'R', t.Rhythm}, {'S', t.Source}} {
		if f.text != "" {
			w.field(f.letter, f.text)
		}
	}
	for _, note := range t.Notes {
		letter := byte('N')
		for _, label := range labels {
			if rest, ok := strings.CutPrefix(note, label.text); ok {
				letter, note = label.letter, rest
				break
			}
		}
		w.field(letter, note)
	}
	if as := feel.UsualSwing(t); as != t.Swing {
		w.lost.Add(&fault.Fault{Msg: "the eighths are " + t.Swing.Words() + ", which ABC can't say: by the kind of tune they are read as " + as.Words()})
	}
	if t.PartOrder != "" {
		w.field('P', t.PartOrder)
	}
	first := &t.Bars[0]
	fmt.Fprintf(&w.out, "M:%s\n", w.bars.meterText(0))
	fmt.Fprintf(&w.out, "L:%s\n", tune.Ticks(w.bars.unit))
	for _, x := range first.Tempos {
		if x.At == 0 {
			fmt.Fprintf(&w.out, "Q:%s\n", terms.FormatTempo(x))
			w.bars.tempos++
		}
	}
	w.voices()
	fmt.Fprintf(&w.out, "K:%s\n", terms.FormatKey(first.Key))
}

// voices writes the V: fields, none for a single voice with no name.
func (w *writer) voices() {
	t := w.t
	seen := map[string]bool{}
	for i, v := range t.Voices {
		id := v.ID
		if id == "" || id[0] == ':' || id[0] == '|' || strings.ContainsAny(id, " \t\r\n]\"\\%=") || id == "*" || seen[id] || terms.DecodeText(id) != id {
			id = fmt.Sprint(i + 1)
			for seen[id] {
				id += "a"
			}
			w.lost.Add(&fault.Fault{Msg: fmt.Sprintf("the voice %q is called %q", terms.Clip(v.ID), id)})
		}
		seen[id] = true
		w.ids = append(w.ids, id)
	}
	if len(t.Voices) == 1 && w.ids[0] == "1" && t.Voices[0].Name == "" {
		w.ids[0] = ""
		return
	}
	for i, v := range t.Voices {
		fmt.Fprintf(&w.out, "V:%s", w.ids[i])
		if v.Name != "" {
			fmt.Fprintf(&w.out, ` name="%s"`, w.quoted(0, 0, v.Name))
		}
		w.out.WriteByte('\n')
	}
}

// voiceLine writes one voice of the bars [from, to), which make a line.
func (w *writer) voiceLine(v, from, to int) {
	line := ""
	if w.ids[v] != "" {
		line = "[V:" + w.ids[v] + "] "
	}
	flush := func(end string) {
		if len(line) > 1 && line[1] == ':' && line[0] != '|' {
			line = line[:1] + " " + line[1:] // a note and a repeat, not a field
		}
		w.out.WriteString(strings.TrimRight(line, " ") + end)
		line = ""
	}
	for i := from; i < to; i++ {
		text := w.bars.barText(v, i)
		if len(line)+len(text) > maxWidth && line != "" && i > from {
			flush("\\\n")
		}
		line += text
	}
	flush("\n")
	w.lyrics(v, from, to)
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
