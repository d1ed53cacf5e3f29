package writing

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"lapwright/notation/abc/terms"
	"lapwright/pitch"
	"lapwright/tune"
)

// unitNote is the length that the lengths of notes are multiples of.
type unitNote tune.Ticks

// text returns a length as a multiple of the unit note length.
func (u unitNote) text(length tune.Ticks) string {
	num, den := length.Fraction()
	unum, uden := tune.Ticks(u).Fraction()
	num, den = num*uden, den*unum
	g := pitch.GCD(num, den)
	num, den = num/g, den/g
	switch {
	case den == 1 && num == 1:
		return ""
	case den == 1:
		return fmt.Sprint(num)
	case num == 1 && den == 2:
		return "/"
	case num == 1:
		return fmt.Sprintf("/%d", den)
	}
	return fmt.Sprintf("%d/%d", num, den)
}

// barWriter writes bars with the barlines after them.
type barWriter struct {
	*losses
	unit   unitNote
	voices []voice
	tempos int          // of the first bar, written in the header
	opens  map[int]bool // bars that are given a sign which opens a repeat
}

// openRepeats finds the repeats whose way back must be shown in ABC, where a double
// line would cut it short.
func (w *barWriter) openRepeats() {
	for _, u := range terms.UnopenedRepeats(w.t.Bars, w.t.PartOrder != "") {
		w.opens[u.Back] = true
		w.lose(u.Back, 0, "a sign is put here that opens the repeat: without it ABC goes back no further than the double line before bar %d", w.t.Bars[u.Double].Number)
	}
}

// left returns the line at the start of a bar.
func (w *barWriter) left(bar int) tune.Barline {
	l := w.t.Bars[bar].Left
	if w.opens[bar] {
		l.Repeat = 1
	}
	return l
}

func (w *barWriter) meterText(bar int) string {
	m := w.t.Bars[bar].Meter
	switch {
	case m.Beats == 0:
		return "none"
	case m.Symbol == "C" && m.Beats == 4 && m.Unit == 4 || m.Symbol == "C|" && m.Beats == 2 && m.Unit == 2:
		return m.Symbol
	case m.Symbol != "":
		w.lose(bar, 0, "the meter's sign %q is written in numbers", m.Symbol)
	}
	return fmt.Sprintf("%s/%d", m.Numerator(), m.Unit)
}

// barText writes a bar with the barline after it.
func (w *barWriter) barText(v, i int) string {
	var out strings.Builder
	t := w.t
	b := &t.Bars[i]
	voice := &w.voices[v]
	voice.accs = terms.Accidentals{}
	if i == 0 {
		out.WriteString(w.barline(i, tune.Barline{Style: tune.NoBarline}, w.left(i), true))
	}
	if len(b.Endings) > 0 {
		out.WriteString("[" + strings.Trim(strings.Join(strings.Fields(fmt.Sprint(b.Endings)), ","), "[]") + " ")
	}
	if b.Part != "" && v == 0 {
		part := terms.EncodeText(b.Part)
		if strings.ContainsAny(part, "]\"") || terms.DecodeText(part) != b.Part {
			w.lose(i, 0, "the part's label %q is written as %q", terms.Clip(b.Part), terms.Clip(strings.NewReplacer("]", ")", `"`, "'").Replace(part)))
			part = strings.NewReplacer("]", ")", `"`, "'").Replace(part)
		}
		out.WriteString("[P:" + part + "]")
	}
	if i > 0 {
		if !b.Meter.Equal(t.Bars[i-1].Meter) {
			out.WriteString("[M:" + w.meterText(i) + "]")
		}
		if b.Key != t.Bars[i-1].Key {
			out.WriteString("[K:" + terms.FormatKey(b.Key) + "]")
		}
	}
	loose := w.loose(i)
	line := b.Lines[v]
	for k := range line {
		e := &line[k]
		if w.holds(i, v, e.At) {
			out.WriteString(w.around(i, e.At))
		}
		out.WriteString(voice.event(i, k))
		if e.BeamEnd && k < len(line)-1 {
			out.WriteByte(' ')
		}
	}
	if v == 0 {
		out.WriteString(w.overlay(i, loose))
		for _, s := range b.Signs {
			if s.At == b.Len {
				out.WriteString(w.sign(i, s))
			}
		}
		for _, x := range b.Texts {
			if x.At == b.Len {
				if i+1 < len(t.Bars) {
					w.lose(i, x.At, "the text %q at the end of the bar is put to the start of the next", terms.Clip(x.Text))
				}
				out.WriteString(w.textAt(i, x))
			}
		}
	}
	next := tune.Barline{}
	if i+1 < len(t.Bars) {
		next = w.left(i + 1)
	}
	text := w.barline(i, b.Right, next, false)
	if i+1 == len(t.Bars) && text == "[|]" {
		text = ""
	}
	out.WriteString(text)
	if text != "" && text != "|" {
		out.WriteByte(' ')
	}
	return out.String()
}

// barline writes the line between two bars, or the one before the first.
func (w *barWriter) barline(bar int, right, left tune.Barline, first bool) string {
	if right.Style == tune.OpenBarline {
		w.lose(bar, w.t.Bars[bar].Len, "a thick and thin line is kept as the start of the next bar")
		right.Style, left.Style = tune.SingleBarline, tune.OpenBarline
	}
	if left.Style != tune.SingleBarline && left.Style != tune.OpenBarline {
		w.lose(bar, w.t.Bars[bar].Len, "the line at the start of the next bar has no sign of its own")
		left.Style = tune.SingleBarline
	}
	after := strings.Repeat(":", left.Repeat)
	if first {
		switch {
		case left.Style == tune.OpenBarline:
			return "[|" + after + " "
		case left.Repeat > 0:
			return "|: "
		}
		return ""
	}
	before := strings.Repeat(":", right.Repeat)
	if left.Style == tune.OpenBarline {
		if right.Style == tune.SingleBarline {
			return before + "[|" + after
		}
		return before + lineText[right.Style] + "[|" + after
	}
	if right.Style == tune.DottedBarline {
		return "." + before + "|" + after
	}
	if right.Style == tune.SingleBarline && right.Repeat == 1 && left.Repeat == 1 {
		return "::"
	}
	return before + lineText[right.Style] + after
}

var lineText = map[tune.BarlineStyle]string{
	tune.SingleBarline: "|", tune.DoubleBarline: "||", tune.FinalBarline: "|]", tune.DottedBarline: ".|", tune.NoBarline: "[|]",
}

// holds reports whether a voice is the first with an event that begins there.
func (w *barWriter) holds(bar, voice int, at tune.Ticks) bool {
	for v := range voice {
		if begins(w.t.Bars[bar].Lines[v], at) {
			return false
		}
	}
	return true
}

func begins(line []tune.Event, at tune.Ticks) bool {
	return slices.ContainsFunc(line, func(e tune.Event) bool { return e.At == at })
}

// loose returns the places of a bar that have a chord symbol, words, a tempo or a
// sign and no event that begins there, in order.
func (w *barWriter) loose(bar int) []tune.Ticks {
	b := &w.t.Bars[bar]
	var places []tune.Ticks
	for _, at := range b.Marked() {
		if at < b.Len && !slices.ContainsFunc(b.Lines, func(l []tune.Event) bool { return begins(l, at) }) {
			places = append(places, at)
		}
	}
	slices.Sort(places)
	return slices.Compact(places)
}

// overlay writes invisible rests beside the bar that hold what has no note of
// its own to stand at.
func (w *barWriter) overlay(bar int, places []tune.Ticks) string {
	if len(places) == 0 {
		return ""
	}
	b := &w.t.Bars[bar]
	text := " & x" + w.unit.text(places[0])
	for i, at := range places {
		end := b.Len
		if i+1 < len(places) {
			end = places[i+1]
		}
		text += " " + w.around(bar, at) + "x" + w.unit.text(end-at)
	}
	return text
}

// around writes the tempos, chord symbols, words and signs of a place.
func (w *barWriter) around(bar int, at tune.Ticks) string {
	b := &w.t.Bars[bar]
	text := ""
	for i, x := range b.Tempos {
		if x.At == at && (bar > 0 || i >= w.tempos) {
			text += "[Q:" + terms.FormatTempo(x) + "]"
		}
	}
	for _, x := range b.Chords {
		if x.At == at {
			text += w.chord(bar, x)
		}
	}
	for _, x := range b.Texts {
		if x.At == at && at < b.Len {
			text += w.textAt(bar, x)
		}
	}
	for _, x := range b.Signs {
		if x.At == at && at < b.Len {
			text += w.sign(bar, x)
		}
	}
	return text
}

func (w *barWriter) chord(bar int, x tune.ChordAt) string {
	text := x.Text
	parsed, ok := terms.ParseChord(text)
	if x.Chord != nil && (!ok || !reflect.DeepEqual(parsed, x.Chord)) {
		if again, fine := terms.ParseChord(x.Chord.String()); fine && reflect.DeepEqual(again, x.Chord) {
			if text != x.Chord.String() {
				w.lose(bar, x.At, "the chord symbol %q is written as %q", terms.Clip(text), x.Chord.String())
			}
			text = x.Chord.String()
		} else {
			w.lose(bar, x.At, "the chord symbol %q is not read again as the chord that it stands for", terms.Clip(text))
		}
	}
	if text == "" {
		w.lose(bar, x.At, "a chord symbol without text is left out")
		return ""
	}
	if strings.IndexByte("^_<>@", text[0]) >= 0 {
		w.lose(bar, x.At, "the chord symbol %q is written as words", terms.Clip(text))
		text = "^" + text
	}
	return `"` + w.quoted(bar, x.At, text) + `"`
}

func (w *barWriter) textAt(bar int, x tune.TextAt) string {
	if strings.TrimSpace(x.Text) == "" {
		w.lose(bar, x.At, "empty words are left out")
		return ""
	}
	place := "^"
	if x.Below {
		place = "_"
	}
	return `"` + place + w.quoted(bar, x.At, x.Text) + `"`
}

func (w *barWriter) sign(bar int, s tune.Sign) string {
	if s.Text != "" {
		w.lose(bar, s.At, "the sign's own words %q are left out", terms.Clip(s.Text))
	}
	if s.At == w.t.Bars[bar].Len && (s.Kind == tune.Segno || s.Kind == tune.Coda) {
		w.lose(bar, s.At, "the sign %q at the end of the bar is put to the start of the next", terms.SignNames[s.Kind])
	}
	return "!" + terms.SignNames[s.Kind] + "!"
}
