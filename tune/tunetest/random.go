package tunetest

import (
	"slices"
	"strings"

	"pgregory.net/rapid"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/tune"
)

// Options limits what Tunes makes.
type Options struct {
	MaxBars   int  // at least 1; 0 means 8
	MaxVoices int  // at least 1; 0 means 3
	Plain     bool // notes, rests, ties, chord symbols, keys and meters only: no repeats, graces, words or signs
}

// Tunes makes random tunes of up to 8 bars and 3 voices.
func Tunes() *rapid.Generator[*tune.Tune] { return With(Options{}) }

// With makes random tunes within the options.
func With(o Options) *rapid.Generator[*tune.Tune] {
	if o.MaxBars == 0 {
		o.MaxBars = 8
	}
	if o.MaxVoices == 0 {
		o.MaxVoices = 3
	}
	return rapid.Custom(func(r *rapid.T) *tune.Tune {
		m := &maker{r: r, o: o}
		return m.tune()
	})
}

type maker struct {
	r *rapid.T
	o Options
	t *tune.Tune
}

func (m *maker) int(lo, hi int, label string) int { return rapid.IntRange(lo, hi).Draw(m.r, label) }

// one is true once in n times.
func (m *maker) one(n int, label string) bool { return m.int(1, n, label) == n }

func pick[T any](m *maker, from []T, label string) T {
	return from[m.int(0, len(from)-1, label)]
}

// words are texts with everything in them that a notation might trip over.
var words = []string{
	"Harbour Street", "a b", "50% off", `back\slash`, `"quoted"`, "M&M", "naïve ♭ ♯", "x]y[z", "a|b", "D.C.", "~tilde~", "(brackets)", "^up", "_down", "1. first", "e&eacute;", "semi;colon",
}

func (m *maker) word() string { return pick(m, words, "word") }

func (m *maker) tune() *tune.Tune {
	t := &tune.Tune{Index: m.int(0, 999, "index"), Title: m.word()}
	m.t = t
	if m.one(2, "has texts") {
		t.Composer, t.Origin, t.Rhythm, t.Source = m.word(), "", "waltz", m.word()
		t.Notes = []string{m.word(), "History: " + m.word()}
		t.Subtitles = []string{m.word()}
		t.Words = []string{m.word(), "", m.word()}
	}
	voices := m.int(1, m.o.MaxVoices, "voices")
	for v := range voices {
		t.Voices = append(t.Voices, tune.Voice{ID: string(rune('1' + v))})
		if voices > 1 && m.one(2, "voice named") {
			t.Voices[v].Name = m.word()
		}
	}
	t.Bars = make([]tune.Bar, m.int(1, m.o.MaxBars, "bars"))
	for i := range t.Bars {
		m.bar(i)
	}
	for i := range t.Bars {
		for v := range t.Voices {
			m.line(i, v)
		}
	}
	for v := range t.Voices {
		m.join(v)
	}
	if !m.o.Plain {
		m.form()
		for v := range t.Voices {
			m.slurs(v)
		}
	}
	tune.Number(t.Bars)
	tune.EndEndings(t.Bars)
	return t
}

var meters = []tune.Meter{
	{Beats: 4, Unit: 4}, {Beats: 3, Unit: 4}, {Beats: 6, Unit: 8}, {Beats: 2, Unit: 4}, {Beats: 9, Unit: 8}, {Beats: 5, Unit: 4},
	{Beats: 4, Unit: 4, Symbol: "C"}, {Beats: 2, Unit: 2, Symbol: "C|"}, {Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}, {},
}

var chords = []string{"G", "D7", "Em", "C", "Am7", "F#m7b5", "Bb", "D/F#", "A7/E", "Gdim", "Cmaj7", "C6", "E7", "G/B", "N.C."}

// bar sets everything of a bar but its lines.
func (m *maker) bar(i int) {
	b := &m.t.Bars[i]
	if i == 0 {
		b.Meter, b.Key = pick(m, meters, "meter"), m.key()
	} else {
		before := &m.t.Bars[i-1]
		b.Meter, b.Key = before.Meter, before.Key
		if m.one(6, "meter changes") {
			b.Meter = pick(m, meters, "meter")
		}
		if m.one(6, "key changes") {
			b.Key = m.key()
		}
		before.LineBreak = m.one(4, "line breaks")
	}
	b.Len = b.Meter.Len()
	if b.Len == 0 || m.one(6, "odd length") {
		b.Len = tune.Whole / 8 * tune.Ticks(m.int(1, 12, "length"))
	}
	places := int(b.Len / (tune.Whole / 8))
	for k := range places {
		at := tune.Whole / 8 * tune.Ticks(k)
		if m.one(5, "chord") {
			c := tune.ChordAt{At: at, Text: pick(m, chords, "chord symbol")}
			if p, err := pitch.ParseChord(c.Text); err == nil {
				c.Chord = &p
			}
			b.Chords = append(b.Chords, c)
		}
		if m.o.Plain {
			continue
		}
		if m.one(16, "text") {
			b.Texts = append(b.Texts, tune.TextAt{At: at, Text: m.word(), Below: m.one(2, "below")})
		}
		if m.one(24, "tempo") {
			x := tune.Tempo{At: at, Beat: pick(m, []tune.Ticks{tune.Whole / 4, tune.Whole * 3 / 8, tune.Whole / 2}, "beat"), PerMinute: int64(m.int(20_000, 300_000, "speed"))}
			if m.one(3, "tempo words") {
				x.Text = m.word()
			}
			if m.one(4, "words alone") {
				x = tune.Tempo{At: at, Text: "Slowly"}
			}
			b.Tempos = append(b.Tempos, x)
		}
	}
}

func (m *maker) key() pitch.Key {
	k, err := pitch.NewKey(pitch.ClassAtFifths(m.int(-5, 5, "tonic")), pitch.Mode(m.int(-1, 5, "mode")))
	if err != nil {
		k, _ = pitch.NewKey(pitch.Class{Letter: pitch.G}, pitch.Major)
	}
	if m.one(8, "own signature") {
		l := m.int(0, 6, "altered letter")
		k.Own = true
		if k.Signature[l]++; k.Signature[l] > 1 {
			k.Signature[l] = -1
		}
	}
	return k
}

// line fills one voice of a bar.
func (m *maker) line(i, v int) {
	b := &m.t.Bars[i]
	var events []tune.Event
	var at tune.Ticks
	for at < b.Len {
		room := b.Len - at
		group := m.group(room)
		for k := range group {
			group[k].At = at
			at += group[k].Len
		}
		events = append(events, group...)
	}
	last := &events[len(events)-1]
	last.BeamEnd = true
	if len(events) == 1 && last.Kind == tune.Rest && len(last.Tuplets) == 0 && b.Len == b.Meter.Len() {
		last.Value = tune.Value{BarRest: true}
	}
	verse := 1
	for k := range events {
		if events[k].Kind == tune.Sounding && !m.o.Plain && m.one(10, "syllable") {
			events[k].Lyrics = []tune.Lyric{{Verse: verse, Text: pick(m, []string{"la", "Street", "o'er", "*", "a-b", "the sea", "x_y", "é"}, "syllable text"), Hyphen: m.one(3, "hyphen")}}
		}
	}
	b.Lines = append(b.Lines, events)
}

// group makes one event, or the events of a tuplet, no longer than room.
func (m *maker) group(room tune.Ticks) []tune.Event {
	if m.one(7, "tuplet") {
		unit := pick(m, []tune.Ticks{tune.Whole / 8, tune.Whole / 16}, "tuplet unit")
		shape := pick(m, []tune.Tuplet{{Actual: 3, Normal: 2}, {Actual: 5, Normal: 4}, {Actual: 2, Normal: 3}, {Actual: 7, Normal: 4}}, "tuplet")
		if unit*tune.Ticks(shape.Normal) <= room {
			return m.tuplet(unit, shape)
		}
	}
	var fits []tune.Value
	for log := int8(0); log <= 5; log++ {
		for dots := int8(0); dots <= 2; dots++ {
			if v := (tune.Value{Log2: log, Dots: dots}); v.Len() <= room && (v.Len()%(tune.Whole/64) == 0) {
				fits = append(fits, v)
			}
		}
	}
	if len(fits) == 0 {
		v, _ := tune.Values(room)
		fits = v[:1]
	}
	e := m.event(pick(m, fits, "value"), nil)
	return []tune.Event{e}
}

// tuplet makes a tuplet, now and then with another inside it.
func (m *maker) tuplet(unit tune.Ticks, shape tune.Tuplet) []tune.Event {
	value, _ := tune.ValueOf(unit)
	var out []tune.Event
	for k := range shape.Actual {
		x := shape
		x.Starts, x.Ends = k == 0, k == shape.Actual-1
		if m.one(9, "nested") {
			small := tune.Value{Log2: value.Log2 + 1}
			for j := range 3 {
				outer := x
				outer.Starts, outer.Ends = x.Starts && j == 0, x.Ends && j == 2
				out = append(out, m.event(small, []tune.Tuplet{outer, {Actual: 3, Normal: 2, Starts: j == 0, Ends: j == 2}}))
			}
			continue
		}
		out = append(out, m.event(value, []tune.Tuplet{x}))
	}
	return out
}

func (m *maker) event(v tune.Value, tuplets []tune.Tuplet) tune.Event {
	length, ok := v.Scaled(tuplets)
	if !ok {
		m.r.Fatalf("a value %v has no length in %v", v, tuplets)
	}
	e := tune.Event{Len: length, Value: v, Tuplets: tuplets, BeamEnd: m.one(3, "beam ends")}
	switch m.int(0, 9, "kind") {
	case 0:
		e.Kind = tune.Rest
		return e
	case 1:
		e.Kind, e.Value = tune.Skip, tune.Value{}
		return e
	}
	e.Notes = m.notes(pick(m, []int{1, 1, 1, 2, 3}, "notes"))
	if m.o.Plain {
		return e
	}
	if m.one(10, "graces") {
		for range m.int(1, 3, "number of graces") {
			e.Graces = append(e.Graces, tune.Grace{Notes: m.notes(pick(m, []int{1, 1, 2}, "grace notes")), Value: tune.Value{Log2: int8(m.int(3, 5, "grace value"))}, Slash: m.one(3, "slash")})
		}
	}
	if m.one(8, "marks") {
		e.Marks = []tune.Mark{tune.Mark(m.int(int(tune.Staccato), int(tune.Swell), "mark"))}
	}
	return e
}

func (m *maker) notes(n int) []tune.Note {
	var out []tune.Note
	for range n {
		name := pitch.Note(pitch.Letter(m.int(0, 6, "letter")), pick(m, []int{0, 0, 0, 1, -1, 2, -2}, "alteration"), m.int(2, 6, "octave"))
		note := tune.Note{Name: name}
		if !m.o.Plain {
			note.Show = m.one(12, "shown")
			note.Courtesy = note.Show && m.one(2, "courtesy")
			if m.one(12, "scoop") {
				note.Scoop = int8(pick(m, []int{-1, -2, 1}, "scoop"))
			}
		}
		if !slices.ContainsFunc(out, func(o tune.Note) bool { return o.Name.Key() == name.Key() }) {
			out = append(out, note)
		}
	}
	inorder.Stable(out, func(a, b tune.Note) int { return a.Name.Key() - b.Name.Key() })
	return out
}

// join ties and glides some events of a voice to the next as written.
func (m *maker) join(v int) {
	var prev *tune.Event
	for i := range m.t.Bars {
		line := m.t.Bars[i].Lines[v]
		for k := range line {
			e := &line[k]
			if e.Kind != tune.Sounding {
				prev = nil
				continue
			}
			switch {
			case prev != nil && m.one(6, "tie"):
				e.Notes = slices.Clone(prev.Notes)
				for n := range e.Notes {
					note := &e.Notes[n]
					note.Show, note.Courtesy, note.Scoop, note.Glide, note.Tie = false, false, 0, false, false
					prev.Notes[n].Tie = n == 0 || m.one(2, "tied too")
					prev.Notes[n].Glide = false
				}
			case prev != nil && !m.o.Plain && m.one(8, "glide"):
				n := m.int(0, len(prev.Notes)-1, "gliding note")
				if tune.GlideLands(prev, e, len(prev.Notes)-1-n) && !prev.Notes[n].Tie {
					prev.Notes[n].Glide = true
				}
			}
			prev = e
		}
	}
}

// slurs puts slurs over some runs of a voice.
func (m *maker) slurs(v int) {
	var from *tune.Event
	for i := range m.t.Bars {
		line := m.t.Bars[i].Lines[v]
		for k := range line {
			e := &line[k]
			if e.Kind == tune.Skip {
				continue
			}
			switch {
			case from == nil && m.one(8, "slur begins"):
				from = e
			case from != nil && m.one(3, "slur ends"):
				from.Slurs++
				e.SlurEnds++
				from = nil
			}
		}
	}
}

// form puts repeats, endings, parts and signs to the bars.
func (m *maker) form() {
	bars := m.t.Bars
	n := len(bars)
	styles := []tune.BarlineStyle{tune.SingleBarline, tune.SingleBarline, tune.SingleBarline, tune.DoubleBarline, tune.FinalBarline, tune.DottedBarline, tune.NoBarline}
	for i := range bars {
		bars[i].Right.Style = pick(m, styles, "line")
	}
	if n >= 3 && m.one(2, "repeat") {
		from := m.int(0, n-2, "repeat from")
		to := m.int(from, n-2, "repeat to")
		bars[from].Left.Repeat = 1
		bars[to].Right.Repeat = m.int(1, 2, "times")
		if to > from && m.one(2, "endings") {
			bars[to].Right.Repeat = 1
			bars[to].Endings, bars[to+1].Endings = []int{1}, []int{2}
			if m.one(3, "more endings") {
				bars[to].Endings, bars[to+1].Endings = []int{1, 3}, []int{2, 4}
				bars[to+1].Right.Repeat = 1
			}
		}
	}
	switch m.int(0, 5, "form") {
	case 0:
		labels := ""
		for i, label := range "ABC" {
			if at := i * 2; at < n && len(bars[at].Endings) == 0 {
				bars[at].Part = string(label)
				labels += string(label)
			}
		}
		if labels != "" && m.one(2, "order") {
			m.t.PartOrder = labels + strings.Repeat(labels[:1], m.int(0, 2, "again"))
		}
	case 1:
		m.sign(m.int(0, n-1, "fine"), tune.Fine, true)
		m.sign(n-1, tune.DaCapoAlFine, true)
	case 2:
		m.sign(m.int(0, n-1, "segno"), tune.Segno, false)
		m.sign(n-1, tune.DalSegno, true)
	case 3:
		if n >= 3 {
			m.sign(0, tune.ToCoda, true)
			m.sign(n-2, tune.DaCapoAlCoda, true)
			m.sign(n-1, tune.Coda, false)
		}
	}
}

func (m *maker) sign(bar int, kind tune.SignKind, end bool) {
	s := tune.Sign{Kind: kind}
	if end {
		s.At = m.t.Bars[bar].Len
	}
	m.t.Bars[bar].Signs = append(m.t.Bars[bar].Signs, s)
}
