package sheettest

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// Events writes a voice from short words: "A4/8" is an eighth A4, "C4+E4/2." a
// dotted half chord, "r/4" a rest, "s/4" a skip, a "~" at the end a tie, "g:" in
// front a grace before the next, "bar" a rest for the whole bar of the length
// given by full.
func Events(t testing.TB, full tune.Ticks, words string) []tune.Event {
	t.Helper()
	var out []tune.Event
	var graces []tune.Grace
	at := tune.Ticks(0)
	for _, w := range strings.Fields(words) {
		if w == "bar" {
			out = append(out, tune.Event{At: at, Len: full, Kind: tune.Rest, Value: tune.Value{BarRest: true}})
			at += full
			continue
		}
		w, tied := strings.CutSuffix(w, "~")
		w, grace := strings.CutPrefix(w, "g:")
		head, val, ok := strings.Cut(w, "/")
		if !ok {
			t.Fatalf("no value in %q", w)
		}
		v := tune.Value{}
		for strings.HasSuffix(val, ".") {
			val = strings.TrimSuffix(val, ".")
			v.Dots++
		}
		if val == "breve" {
			v.Log2 = -1
		} else {
			n, err := strconv.Atoi(val)
			if err != nil {
				t.Fatal(err)
			}
			for 1<<v.Log2 < n {
				v.Log2++
			}
		}
		e := tune.Event{At: at, Len: v.Len(), Value: v}
		switch head {
		case "r":
			e.Kind = tune.Rest
		case "s":
			e.Kind = tune.Skip
		default:
			for _, n := range strings.Split(head, "+") {
				name, err := pitch.ParseName(n)
				if err != nil {
					t.Fatal(err)
				}
				e.Notes = append(e.Notes, tune.Note{Name: name, Tie: tied})
			}
		}
		if grace {
			graces = append(graces, tune.Grace{Notes: e.Notes, Value: v, Slash: v.Log2 == 3})
			continue
		}
		e.Graces, graces = graces, nil
		out = append(out, e)
		at += e.Len
	}
	return out
}

// Measure makes a bar of one or more voices as long as the first.
func Measure(t testing.TB, number, beats, unit int, voices ...string) tune.Bar {
	t.Helper()
	m := tune.Meter{Beats: beats, Unit: unit}
	b := tune.Bar{Number: number, Meter: m}
	for _, v := range voices {
		b.Lines = append(b.Lines, Events(t, m.Len(), v))
	}
	for _, e := range b.Lines[0] {
		b.Len += e.Len
	}
	return b
}

// Chord reads a chord symbol that stands at a time of its bar.
func Chord(t testing.TB, at tune.Ticks, s string) tune.ChordAt {
	t.Helper()
	c, err := pitch.ParseChord(s)
	if err != nil {
		t.Fatal(err)
	}
	return tune.ChordAt{At: at, Text: s, Chord: &c}
}

// tuplet marks the events from … to of a bar's first voice.
func tuplet(b *tune.Bar, from, to, actual, normal int) {
	line := b.Lines[0]
	for i := from; i <= to; i++ {
		line[i].Tuplets = append(line[i].Tuplets, tune.Tuplet{Actual: actual, Normal: normal, Starts: i == from, Ends: i == to})
		line[i].Len = line[i].Len * tune.Ticks(normal) / tune.Ticks(actual)
	}
	retime(b)
}

// retime sets the times of a bar's first voice anew.
func retime(b *tune.Bar) {
	at := tune.Ticks(0)
	for i := range b.Lines[0] {
		b.Lines[0][i].At = at
		at += b.Lines[0][i].Len
	}
	b.Len = at
}

const quarter = tune.Whole / 4

// EverySign is a tune with every sign of the staff in it.
func EverySign(t testing.TB) *tune.Tune {
	tn := &tune.Tune{Title: "Every Sign", Subtitles: []string{"a page to look at"}, Composer: "Harbour Street Evening Class", Rhythm: "study", Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}}
	add := func(b tune.Bar) *tune.Bar {
		b.Number = len(tn.Bars)
		if n := len(tn.Bars); n > 0 && b.Key == (pitch.Key{}) {
			b.Key = tn.Bars[n-1].Key
		}
		tn.Bars = append(tn.Bars, b)
		return &tn.Bars[len(tn.Bars)-1]
	}
	m := func(beats, unit int, voices ...string) *tune.Bar { return add(Measure(t, 0, beats, unit, voices...)) }

	b := m(4, 4, "A4/4")
	b.Key, b.Meter.Symbol, b.Part = tunetest.Key(t, "D"), "C", "A"
	for i, beat := range []tune.Ticks{2 * tune.Whole, tune.Whole, 2 * quarter, quarter * 3 / 2, quarter / 2, quarter / 4, quarter / 8} {
		b.Tempos = append(b.Tempos, tune.Tempo{Beat: beat, PerMinute: int64(8000 * (i + 1))})
	}
	b.Tempos[0].Text = "Gently"
	b = m(4, 4, "D4+F#4+A4+D5/4 E4+F#4/4 G4+A4+B4/2")
	b.Meter.Symbol = "C"
	b.Chords = []tune.ChordAt{Chord(t, 0, "D"), Chord(t, quarter, "F#m7b5/E"), Chord(t, 2*quarter, "Bb13")}
	b.Left.Repeat = 1
	b = m(4, 4, "C5/4 C#5/8 C5/8 F##4/4 Bbb4/4")
	b.Meter.Symbol = "C"
	b.Signs = []tune.Sign{{Kind: tune.Segno}}
	b = m(4, 4, "B4/2~ B4/8 G#4/8 G4/4")
	b.Meter.Symbol = "C"
	b.Endings, b.Right.Repeat = []int{1}, 1
	b = m(4, 4, "D5/1")
	b.Meter.Symbol = "C"
	b.Endings, b.EndingEnds = []int{2}, true
	b.Right.Style = tune.DoubleBarline
	b.Signs = []tune.Sign{{At: tune.Whole, Kind: tune.DalSegnoAlCoda}}

	b = m(2, 2, "A4/breve")
	b.Meter.Symbol = "C|"
	b.Signs = []tune.Sign{{Kind: tune.Coda}}
	for i, words := range []string{"A4/8 r/8 A4/16 r/16 A4/32 r/32 A4/64 r/64", "C5/8 C5/16 D5/32 E5/64 A4/128 r/128 A4/256 r/256 A4/512 r/512 A4/1024 r/1024", "F5/128 r/4 F5/256 r/8 F5/512 r/8 F5/1024 r/8 F5/64 r/8 F5/32 r/8 F5/16 r/8 F5/8 r/2"} {
		b = m(0, 4, words)
		for j := range b.Lines[0] {
			b.Lines[0][j].BeamEnd = i != 1 || j > 3
		}
	}
	m(5, 4, "r/breve r/1 r/2 r/4.")
	groups(t, m)
	choppedAndSwelling(m)
	m(4, 4, "bar")
	m(4, 4, "bar")
	m(4, 4, "bar")
	m(4, 4, "C5/1~").Signs = []tune.Sign{{At: tune.Whole, Kind: tune.Fine}}
	m(4, 4, "C5/1").Right = tune.Barline{Style: tune.FinalBarline}
	for i := range tn.Bars {
		if len(tn.Bars[i].Lines) < 2 {
			tn.Bars[i].Lines = append(tn.Bars[i].Lines, []tune.Event{{Kind: tune.Skip, Len: tn.Bars[i].Len, Value: tune.Value{BarRest: true}}})
		}
	}
	return tn
}

// groups adds tuplets and beams, graces, marks of every kind, two voices and words.
func groups(t testing.TB, m func(beats, unit int, voices ...string) *tune.Bar) {
	b := m(6, 8, "F4/8 A4/8 D5/8 F#5/8. E5/16 D5/8")
	b.Key = tunetest.Key(t, "Bb")
	b = m(6, 8, "E5/4.~ E5/8 D5/16 C5/16 Bb4/8")
	b.Lines[0][0].Slurs, b.Lines[0][4].SlurEnds = 1, 1
	m(9, 16, "r/8 A4/128 r/4")
	m(10, 16, "G4/4 A4/4 Bb4/8")
	b = m(11, 8, "C5/4. C5/1")
	tuplet(b, 0, 0, 2, 3)
	m(7, 4, "G4/1 A4/2. ")
	b = m(7, 8, "G4/8 A4/8 Bb4/8 C5/8 D5/8 Eb5/8 F5/8")
	b.Meter.Groups = []int{2, 2, 3}
	b = m(3, 4, "A4/8 B4/8 C5/8 C5/4 B4/8 A4/16 B4/16 C5/16 D5/16 E5/16 A4/4")
	b.Key = tunetest.Key(t, "C")
	tuplet(b, 0, 2, 3, 2)
	tuplet(b, 3, 4, 3, 2)
	tuplet(b, 5+1, 5+5, 5, 4)
	b = m(4, 4, "D5/8 E5/8 F5/8 G5/8 D5/8 D5/8 D5/8 D5/8 D5/8 D5/8 C5/4 C5/4")
	tuplet(b, 0, 3, 4, 3)
	tuplet(b, 4, 9, 6, 4)
	b = m(4, 4, "E5/16 E5/16 E5/16 E5/16 E5/16 E5/16 E5/16 G4/32 G4/32 G4/32 G4/32 G4/32 G4/32 G4/32 G4/32 G4/32 G4/32 A4/2")
	tuplet(b, 0, 6, 7, 4)
	tuplet(b, 7, 16, 10, 8)
	b = m(4, 4, "F4/8 F4/8 F4/8 F4/8 F4/8 F4/8 F4/8 F4/8 A4/8 A4/8 A4/8 A4/8 A4/8 A4/8 A4/8 A4/8 A4/8")
	tuplet(b, 0, 7, 8, 6)
	tuplet(b, 8, 16, 9, 8)
	m(4, 4, "g:G5/8 F5/4 g:E4/16 g:F4/16 G4/4 g:C5/4 B4/8 r/8 C5/4")
	b = m(4, 4, "A4/4 B4/4 C5/4 D5/4")
	for i, k := range []tune.Mark{tune.Staccato, tune.Tenuto, tune.Accent, tune.StrongAccent} {
		b.Lines[0][i].Marks = []tune.Mark{k}
	}
	b = m(4, 4, "D5/4 C5/4 F4/4 F4/4")
	for i, k := range []tune.Mark{tune.Staccato, tune.Tenuto, tune.Accent, tune.Fermata} {
		b.Lines[0][i].Marks = []tune.Mark{k}
	}
	b.Lines[0][0].Marks = append(b.Lines[0][0].Marks, tune.Accent)
	b.Lines[0][2].Marks = append(b.Lines[0][2].Marks, tune.Tenuto)
	b = m(4, 4, "D5/8 C5/8 F4/8 G4/8 A4/8 B4/8 C5/4")
	for i, k := range []tune.Mark{tune.Trill, tune.Turn, tune.Mordent, tune.InvertedMordent, tune.UpBow, tune.DownBow, tune.Breath} {
		b.Lines[0][i].Marks = []tune.Mark{k}
		b.Lines[0][i].BeamEnd = true
	}
	b = m(4, 4, "C4+E4+G4+C5/2 A3/4 E6/4")
	b.Lines[0][0].Marks = []tune.Mark{tune.Arpeggio, tune.Fermata}
	b.Lines[0][2].Notes[0].Scoop = -1
	b.Lines[0][1].Notes[0].Courtesy = true
	b.Right.Style = tune.DottedBarline
	b = m(4, 4, "E5/4 F5/8 G5/8 A5/2", "C5/4 D5/4 G4/8 A4/8 B4/4")
	b.Lines[0][3].Lyrics = []tune.Lyric{{Verse: 1, Text: "shore", Extend: true}}
	b.Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "har", Hyphen: true}, {Verse: 2, Text: "Kū", Hyphen: true}}
	b.Lines[0][1].Lyrics = []tune.Lyric{{Verse: 1, Text: "bour"}, {Verse: 2, Text: "lia"}}
	b.Lines[1][4].Marks = []tune.Mark{tune.Fermata}
	b = m(4, 4, "D5/2 r/4 F5/4", "D5/2 A5/4 E5/4")
	b.Texts = []tune.TextAt{{Text: "lightly"}, {At: 2 * quarter, Text: "under the voice", Below: true}}
}

// choppedAndSwelling adds two bars with the heads of strokes without pitch and a swell, and
// one for two voices.
func choppedAndSwelling(m func(beats, unit int, voices ...string) *tune.Bar) {
	b := m(4, 4, "A4/4 F4/4 D5/2")
	b.Lines[0][0].Notes[0].Chop, b.Lines[0][2].Notes[0].Chop = true, true
	b.Lines[0][1].Marks = []tune.Mark{tune.Swell}
	m(4, 4, "F4+A4/1").Lines[0][0].Notes[1].Chop = true
	m(4, 4, "bar", "C4/1")
}

// EveryMark is a tab with every mark of the tablature in it, placed by hand.
func EveryMark(t testing.TB) *tab.Tab {
	r := rigtest.Builtin(t, "bender-open-d")
	tn := &tune.Tune{Title: "Every Mark", Voices: []tune.Voice{{ID: "1"}}}
	for i, words := range []string{
		"C4+E4+G4/4 C4+E4+G4/4 C4+E4+G4/4 G4/4", "E4+G4/2 E4+G4/4 E4+G4/4", "G4/8 A4/8 G4/8 A4/8 D5/2",
		"D4+A4/4 A4/4 g:G4/8 F#4/4 D5/4", "D4+F#4+D5/2 A4/2~", "A4/2 r/2", "D4/1", "A3/4 B3/8 A3/8 F#3+A3/4 F#3+A3/4",
	} {
		b := Measure(t, i+1, 4, 4, words)
		b.Key = tunetest.Key(t, "D")
		tn.Bars = append(tn.Bars, b)
	}
	for _, e := range tn.Bars[len(tn.Bars)-1].Lines[0][3:] {
		e.Notes[0].Chop, e.Notes[1].Chop = true, true
	}
	tn.Bars[0].Chords = []tune.ChordAt{Chord(t, 0, "D"), Chord(t, 2*quarter, "A7")}
	tb := &tab.Tab{Tune: tn, Rig: r, Transposed: -12}
	pl := func(k steel.Kind, first, last int8, a, b float64) steel.Placement {
		return steel.Placement{Kind: k, First: first, Last: last, FirstFret: a, LastFret: b}
	}
	type s = []tab.Pluck
	p := func(str int, fret float64) tab.Pluck { return tab.Pluck{String: str, Fret: fret} }
	with := func(q tab.Pluck, f func(*tab.Pluck)) tab.Pluck { f(&q); return q }
	glide := func(q *tab.Pluck) { q.Glide = true }
	as := func(a tab.Attack) func(*tab.Pluck) { return func(q *tab.Pluck) { q.Attack = a } }
	steps := []struct {
		p       steel.Placement
		benders rig.BenderSet
		plucks  s
	}{
		{pl(steel.Straight, 1, 3, 5, 5), 0, s{p(1, 5), p(2, 5), p(3, 5)}},
		{pl(steel.Forward, 1, 3, 8, 7), 0, s{with(p(1, 8), glide), p(2, 7.5), with(p(3, 7), glide)}},
		{pl(steel.Reverse, 1, 3, 9, 10), 0, s{with(p(1, 9), as(tab.Glided)), p(2, 9.5), with(p(3, 10), as(tab.Glided))}},
		{pl(steel.Straight, 1, 1, 5, 5), 0, s{with(p(1, 5), func(q *tab.Pluck) { q.Vibrato = true })}},
		{pl(steel.Split, 1, 3, 7, 6), 0, s{p(1, 7), p(3, 6)}},
		{pl(steel.Straight, 2, 5, 7, 7), 1, s{p(3, 7), p(5, 7)}},
		{pl(steel.Straight, 1, 2, 7, 7), 2, s{with(p(2, 7), as(tab.PalmHarmonic)), with(p(1, 7), as(tab.PalmHarmonic))}},
		{steel.Placement{}, 0, s{p(1, 0)}},
		{pl(steel.Straight, 1, 1, 2, 2), 0, s{with(p(1, 2), as(tab.Hammered))}},
		{steel.Placement{}, 0, s{with(p(1, 0), as(tab.PulledOff))}},
		{pl(steel.Straight, 1, 1, 4, 4), 0, s{with(p(1, 4), func(q *tab.Pluck) { q.Damp = true; q.Scoop = -1 })}},
		{steel.Placement{}, 0, s{with(p(1, 0), func(q *tab.Pluck) { q.Attack, q.Node = tab.Harmonic, 2 })}},
		{pl(steel.Nose, 2, 2, 5, 5), 0, s{p(2, 5), p(3, 0)}},
		{pl(steel.Straight, 1, 1, 7, 7), 0, s{p(1, 7)}},
		{pl(steel.Straight, 1, 1, 5, 5), 0, s{p(1, 5)}},
		{pl(steel.Straight, 1, 1, 4, 4), 0, s{p(1, 4)}},
		{pl(steel.Straight, 1, 1, 12, 12), 0, s{p(1, 12)}},
		{pl(steel.Straight, 1, 6, 12, 12), 0, s{p(1, 12), p(3, 12)}},
		{pl(steel.Straight, 1, 1, 7, 7), 0, s{with(p(1, 7), glide)}},
		{pl(steel.Straight, 1, 1, 7, 7), 0, s{with(p(1, 7), as(tab.Tied))}},
		{steel.Placement{}, 0, s{with(p(2, 0), func(q *tab.Pluck) { q.Attack, q.Node = tab.Harmonic, 3 })}},
		{steel.Placement{}, 0, s{with(p(2, 0), glide)}},
		{steel.Placement{}, 2, s{with(p(2, 0), func(q *tab.Pluck) { q.Attack, q.Glide = tab.BentTo, true })}},
		{steel.Placement{}, 0, s{with(p(2, 0), as(tab.BentTo))}},
		{steel.Placement{}, 0, s{with(p(3, 0), as(tab.Chopped)), with(p(2, 0), as(tab.Chopped))}},
		{steel.Placement{}, 0, s{with(p(3, 0), as(tab.Chopped)), with(p(2, 0), as(tab.Chopped))}},
	}
	moments := tune.Moments(tn)
	if len(moments) != len(steps) {
		t.Fatalf("%d moments, %d strokes", len(moments), len(steps))
	}
	fingers := [3]tab.Finger{tab.Middle, tab.Index, tab.Thumb}
	for i, m := range moments {
		st := tab.Stroke{BarIndex: m.BarIndex, At: m.At, Len: m.Len, Grace: m.Grace, Placement: steps[i].p, Benders: steps[i].benders}
		for j, n := range m.Notes {
			if j >= len(steps[i].plucks) {
				tb.Compromises = append(tb.Compromises, tab.Compromise{Ref: n.Ref, BarNumber: m.BarIndex + 1, At: m.At, Wanted: n.Name.String(), Got: "nothing", Why: "no string reaches it beside the others"})
				continue
			}
			q := steps[i].plucks[j]
			q.Ref, q.Len = n.Ref, n.Len
			if q.Attack != tab.Tied {
				q.Finger = fingers[j]
			}
			st.Plucks = append(st.Plucks, q)
		}
		tb.Strokes = append(tb.Strokes, st)
	}
	return tb
}

// Signs lays EverySign, as TestEverySignAndMark of sheet does.
func Signs(t testing.TB) *draw.Drawing {
	t.Helper()
	d, err := sheet.LayTune(EverySign(t), sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Marks lays EveryMark in a layout, with a line for a name and a remark.
func Marks(t testing.TB, l sheet.Layout) *draw.Drawing {
	t.Helper()
	d, err := sheet.Lay(EveryMark(t), sheet.Options{Layout: l, NameLine: true, Header: "Harbour Street, Tuesday class", Remarks: []sheet.Remark{{BarIndex: 2, Text: "Keep the bar hand light here, and listen for the octave."}}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

var idMark = regexp.MustCompile(`aria-labelledby="(\w+)-t`)

// Picture is a page as SVG, without the mark that ids begin with: it is made from the
// content, and without it a difference shows where it is.
func Picture(d *draw.Drawing, page int) []byte {
	svg := draw.SVG(d, page)
	if m := idMark.FindSubmatch(svg); m != nil {
		svg = bytes.ReplaceAll(svg, m[1], []byte("mark"))
	}
	return svg
}
