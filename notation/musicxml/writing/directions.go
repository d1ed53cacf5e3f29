package writing

import (
	"strings"

	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// directionWriter writes what stands over and under a staff of notes.
type directionWriter struct {
	*emitter
	divisions divisions
}

// within writes chords, words, tempos and signs that stand from here up to
// until, with their distance from here. last says that nothing follows in the
// bar, so that what stands at its very end is written too.
func (w *directionWriter) within(b *tune.Bar, from, until tune.Ticks, last bool) {
	in := func(at tune.Ticks) bool { return at >= from && (at < until || last && at >= until) }
	for _, s := range b.Signs {
		if in(s.At) {
			w.sign(s, s.At-from)
		}
	}
	for _, t := range b.Tempos {
		if in(t.At) {
			w.tempo(t, t.At-from)
		}
	}
	for _, t := range b.Texts {
		if in(t.At) {
			place := "above"
			if t.Below {
				place = "below"
			}
			w.open("direction", "placement", place)
			w.open("direction-type")
			w.text("words", t.Text)
			w.close()
			w.offset(t.At - from)
			w.close()
		}
	}
	for i := range b.Chords {
		if in(b.Chords[i].At) {
			w.harmony(&b.Chords[i], b.Chords[i].At-from)
		}
	}
}

func (w *directionWriter) offset(d tune.Ticks) {
	if d != 0 {
		w.number("offset", w.divisions.of(d))
	}
}

func (w *directionWriter) sign(s tune.Sign, off tune.Ticks) {
	el := terms.SignElements[s.Kind]
	w.open("direction", "placement", "above")
	w.open("direction-type")
	switch s.Kind {
	case tune.Segno:
		w.empty("segno")
	case tune.Coda:
		w.empty("coda")
	default:
		words := el.Words
		if s.Text != "" {
			words = s.Text
		}
		w.text("words", words)
	}
	w.close()
	w.offset(off)
	w.empty("sound", el.Attr, el.Value)
	w.close()
}

func (w *directionWriter) tempo(t tune.Tempo, off tune.Ticks) {
	// "directive" is how MusicXML tells a word of tempo from other words.
	w.open("direction", "placement", "above", "directive", "yes")
	if t.Text != "" {
		w.open("direction-type")
		w.text("words", t.Text)
		w.close()
	}
	v, ok := tune.ValueOf(t.Beat)
	if t.PerMinute > 0 && ok {
		w.open("direction-type")
		w.open("metronome")
		w.text("beat-unit", terms.TypeNames[v.Log2-terms.FirstTypeLog2])
		for range v.Dots {
			w.empty("beat-unit-dot")
		}
		w.text("per-minute", decimal(t.PerMinute))
		w.close()
		w.close()
	} else if t.Text == "" {
		w.open("direction-type")
		w.text("words", "")
		w.close()
	}
	w.offset(off)
	if t.PerMinute > 0 {
		num, den := t.Beat.Fraction()
		w.empty("sound", "tempo", decimal((t.PerMinute*4*num+den/2)/den))
	}
	w.close()
}

// harmony writes a chord symbol; words that are no chord go as words.
func (w *directionWriter) harmony(c *tune.ChordAt, off tune.Ticks) {
	if c.Chord == nil {
		w.open("harmony")
		w.open("root")
		// The schema wants a root; an empty text keeps it from being printed.
		w.indent()
		w.WriteString("<root-step text=\"\">C</root-step>\n")
		w.close()
		w.text("kind", "none", "text", c.Text)
		w.offset(off)
		w.close()
		return
	}
	w.open("harmony")
	w.class("root", "root-step", "root-alter", c.Chord.Root)
	kind, degrees := terms.HarmonyOf(c.Chord)
	w.text("kind", kind, "text", writtenSuffix(c))
	if c.Chord.Bass != c.Chord.Root {
		w.class("bass", "bass-step", "bass-alter", c.Chord.Bass)
	}
	for _, d := range degrees {
		w.open("degree", "print-object", "no")
		w.number("degree-value", int64(d.Value))
		w.number("degree-alter", int64(d.Alter))
		w.text("degree-type", d.Kind)
		w.close()
	}
	w.offset(off)
	w.close()
}

// writtenSuffix returns what stands in a chord symbol between root and bass, as
// it was written when that can be told, else the canonical quality.
func writtenSuffix(c *tune.ChordAt) string {
	s, ok := strings.CutPrefix(c.Text, c.Chord.Root.String())
	if ok && c.Chord.Bass != c.Chord.Root {
		s, ok = strings.CutSuffix(s, "/"+c.Chord.Bass.String())
	}
	if !ok || strings.TrimSpace(s) != s {
		return c.Chord.Quality
	}
	return s
}
