package sheettest

import (
	"slices"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// EveryTurn is a tune with what the signs of EverySign do beside each other: ties of
// chords and slurs over the ends of lines, glides of chords, marks of notes without
// stems, graces and beams that look back, rests that make room for a second voice.
func EveryTurn(t testing.TB) *tune.Tune {
	tn := &tune.Tune{Title: "Every Turn", Voices: []tune.Voice{{ID: "1"}, {ID: "2"}}}
	m := func(beats, unit int, voices ...string) *tune.Bar {
		b := Measure(t, len(tn.Bars)+1, beats, unit, voices...)
		b.Key = tunetest.Key(t, "Eb")
		tn.Bars = append(tn.Bars, b)
		return &tn.Bars[len(tn.Bars)-1]
	}
	tiesAndSlurs(m)
	glides(m)
	marksAndRests(m)
	words(tn)
	for i := range tn.Bars {
		if len(tn.Bars[i].Lines) < 2 {
			tn.Bars[i].Lines = append(tn.Bars[i].Lines, []tune.Event{{Kind: tune.Skip, Len: tn.Bars[i].Len, Value: tune.Value{BarRest: true}}})
		}
	}
	return tn
}

// tiesAndSlurs adds chords that are held over barlines, and slurs over one bar and many.
func tiesAndSlurs(m func(beats, unit int, voices ...string) *tune.Bar) {
	m(4, 4, "Bb3+Eb4+G4/2.~ Bb3+Eb4+G4/4~")
	m(4, 4, "Bb3+Eb4+G4/1~")
	m(4, 4, "Bb3+Eb4+G4/4 D4+F4/4~ D4+F4/8 B4/16~ B4/16 B4/4~")
	b := m(4, 4, "B4/8 C5/8 Bb4/4 F#5/2~")
	b.Lines[0][0].Slurs, b.Lines[0][2].SlurEnds = 1, 1
	b = m(4, 4, "F#5/4 g:D5/16 g:Eb5/16 F4/4 g:C5/8 Bb5/4. Bb5/8")
	b.Lines[0][0].Notes[0].Courtesy = true
	b.Lines[0][1].Slurs = 1
	for range 4 {
		m(4, 4, "F4/4 G4/4 A4/4 Bb4/4")
	}
	b = m(4, 4, "C5/4 D5/16 Eb5/16 C5/8 F4/2")
	b.Lines[0][0].SlurEnds = 1
	b.Lines[0][1].Slurs, b.Lines[0][2].SlurEnds = 1, 1
	b = m(4, 4, "G4/2 A4/4 G4/4", "Eb4/4 D4/4 C4/2")
	b.Lines[0][0].Slurs, b.Lines[0][2].SlurEnds = 1, 1
	b.Lines[1][0].Slurs, b.Lines[1][2].SlurEnds = 1, 1
	b = m(4, 4, "E4/4 F4/4 E4/4 F4/4")
	b.Lines[0][0].Slurs, b.Lines[0][3].SlurEnds = 1, 1
	b = m(4, 4, "C5/1~")
	b.Lines[0][0].Slurs = 1
	b = m(4, 4, "C5/2 D5/2")
	b.Lines[0][1].SlurEnds = 1
	m(4, 4, "g:E4/16 g:F#4/16 g:Bb4/8 A4/2 g:C6/8 A5/2")
}

// glides adds notes and chords that slide into the next.
func glides(m func(beats, unit int, voices ...string) *tune.Bar) {
	glide := func(e *tune.Event) {
		for i := range e.Notes {
			e.Notes[i].Glide = true
		}
	}
	b := m(4, 4, "Eb4+G4/4. F4+A4/8 G4+Bb4/4 A4+C#5/4")
	for i := range 4 {
		glide(&b.Lines[0][i])
	}
	b = m(4, 4, "C5/4 C5+Eb5/4 B4/8 D4/8 D4/4")
	glide(&b.Lines[0][1])
	glide(&b.Lines[0][2])
	glide(&b.Lines[0][3])
	b.Lines[0][0].Notes[0].Scoop = 1
	for i := range 6 {
		b = m(2, 4, []string{"G4/4 Bb4/4", "D5/4 C4/4"}[i%2])
		glide(&b.Lines[0][0])
		glide(&b.Lines[0][1])
	}
}

// marksAndRests adds marks of long notes and of two voices, tuplets, beams that look
// back, dots of chords, and rests beside a second voice.
func marksAndRests(m func(beats, unit int, voices ...string) *tune.Bar) {
	mark := func(b *tune.Bar, voice, event int, k ...tune.Mark) { b.Lines[voice][event].Marks = k }
	b := m(4, 4, "C5/1")
	mark(b, 0, 0, tune.Staccato, tune.Accent)
	b = m(4, 4, "F4/1")
	mark(b, 0, 0, tune.Tenuto)
	b = m(4, 4, "bar")
	mark(b, 0, 0, tune.Fermata)
	b = m(4, 4, "G4/4 r/4 D5/4 Bb4+C5/4")
	mark(b, 0, 0, tune.Breath)
	mark(b, 0, 1, tune.Fermata)
	mark(b, 0, 3, tune.Staccato, tune.Fermata)
	b = m(4, 4, "G4/4 F4+G4/4 G4/2", "G4/4 C4/4 r/2")
	mark(b, 0, 1, tune.Staccato)
	mark(b, 1, 1, tune.Staccato, tune.Fermata)
	mark(b, 0, 2, tune.Fermata, tune.Tenuto)
	m(4, 4, "r/2 C6/2", "A3/2 r/2")
	m(4, 4, "A5/2 r/4. C5/8", "D4/4. r/8 C4/2")
	m(4, 4, "E5/8. E5/16 E4/16 E4/8. F4+G4+A4/4. G4/8")
	b = m(4, 4, "A3/8 G5/8 F4/8 F5/4 D4/8 C4+D4+Bb4/4..  G4/16")
	tuplet(b, 0, 2, 3, 2)
	tuplet(b, 3, 4, 3, 2)
	b = m(4, 4, "F4+G4/4 C5+D5+Bb5/4 g:A3+C4/8 F4/8 r/8 r/8 D5/8 C5/4")
	mark(b, 0, 0, tune.Arpeggio)
	b.Lines[0][1].Notes[0].Name.Alter, b.Lines[0][1].Marks = 1, []tune.Mark{tune.Arpeggio}
	b.Lines[0][2].Graces[0].Notes[0].Courtesy = true
	b.Lines[0][2].Graces[0].Notes[1].Show = true
	tuplet(b, 2, 4, 3, 2)
	m(4, 4, "bar")
	m(4, 4, "bar")
	m(3, 4, "r/4. G4/8 G4/16 r/16 r/8").Left.Repeat = 1
	m(4, 4, "A4/1.").Right.Style = tune.FinalBarline
}

// words adds texts, tempos, signs, chord symbols and syllables, some too long for a line.
func words(tn *tune.Tune) {
	long := "very slowly, as if the harbour were asleep and nobody in it had a boat to catch before the tide"
	tn.Swing = tune.TripletSwing
	at := func(n int) *tune.Bar { return &tn.Bars[n-1] }
	at(1).Tempos = []tune.Tempo{{Text: long, Beat: quarter * 3 / 2, PerMinute: 60_000}}
	at(4).Texts = []tune.TextAt{{Text: long}, {At: quarter, Text: "gently", Below: true}}
	at(5).Texts = []tune.TextAt{{At: 3 * quarter, Text: "at the end of a line"}, {At: 3 * quarter, Text: long, Below: true}}
	at(6).Chords = []tune.ChordAt{{Text: "no chord here until the singer has begun the second verse"}, {At: 2 * quarter, Text: "F"}}
	at(6).Endings, at(7).Right.Repeat = []int{1, 2}, 2
	at(6).Signs = []tune.Sign{{Kind: tune.Segno}, {At: 2 * quarter, Kind: tune.Coda}, {At: 4 * quarter, Kind: tune.Fine}}
	at(8).Endings, at(8).EndingEnds = []int{3}, false
	at(10).Tempos = []tune.Tempo{{At: quarter, Beat: quarter, PerMinute: 90_000}, {At: 3 * quarter, Text: "held back", Beat: quarter}}
	at(17).Tempos = []tune.Tempo{{Text: "freely", Beat: 5 * quarter / 4, PerMinute: 50_000}}
	at(12).Signs = []tune.Sign{{At: 2 * quarter, Kind: tune.Segno}, {At: 4 * quarter, Kind: tune.Coda}}
	at(15).Signs, at(15).Part = []tune.Sign{{Kind: tune.Coda}}, "B"
	at(19).Part = "Chorus"
	at(32).Texts = []tune.TextAt{{Text: "up"}}
	for i, l := range []tune.Lyric{{Text: "har", Hyphen: true}, {Text: "bour"}, {Text: "long", Extend: true}, {}} {
		for bar := 6; bar <= 9; bar++ {
			if l.Verse = 1; l.Text != "" {
				at(bar).Lines[0][i].Lyrics = append(at(bar).Lines[0][i].Lyrics, l)
			}
		}
	}
	at(9).Lines[0][3].Lyrics = []tune.Lyric{{Verse: 1, Text: "una", Hyphen: true}, {Verse: 2, Text: "and-all-of-this-is-sung-on-a-single-note-of-the-tune", Hyphen: true}}
	at(12).Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "shamed"}, {Verse: 2, Text: "low", Extend: true}}
	at(5).Lines[0][1].Lyrics = []tune.Lyric{{Verse: 1, Text: "crushed"}}
	at(28).Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "sea", Hyphen: true}}
	at(28).Lines[0][1].Lyrics = []tune.Lyric{{Verse: 1, Text: "side"}}
}

// Turned is EveryTurn under the hand, as no player would have it: each note of a chord
// on a string of its own, from string 1 down.
func Turned(t testing.TB) *tab.Tab {
	t.Helper()
	tn := EveryTurn(t)
	r := *rigtest.Builtin(t, "reso-open-g")
	r.Strings = r.Strings[:5] // the middle of the tablature is a string
	tn.Bars[0].Tempos = []tune.Tempo{{At: quarter, Text: "on"}}
	for i := range tn.Bars { // as if cut from a longer one
		tn.Bars[i].Number += 4
	}
	tb := &tab.Tab{Tune: tn, Rig: &r}
	before := map[int]tab.Pluck{}
	for _, m := range tune.Moments(tn) {
		st := tab.Stroke{BarIndex: m.BarIndex, At: m.At, Len: m.Len, Grace: m.Grace}
		now := map[int]tab.Pluck{}
		for j, n := range m.Notes {
			str := len(m.Notes) - j
			q := tab.Pluck{Ref: n.Ref, Len: n.Len, String: str, Fret: float64(max(n.Name.Key()-r.Strings[str-1].Open.Key(), 0)), Finger: tab.Finger(1 + j%3)}
			e := tn.Event(n.Ref)
			if n.Ref.Grace < 0 {
				q.Glide, q.Scoop = e.Notes[n.Ref.Note].Glide, float64(e.Notes[n.Ref.Note].Scoop)
			}
			if b, ok := before[str]; ok {
				switch {
				case b.Glide:
					q.Attack, q.Finger = tab.Glided, tab.NoFinger
				case tn.Note(b.Ref) != nil && tn.Note(b.Ref).Tie && b.Fret == q.Fret:
					q.Attack, q.Finger = tab.Tied, tab.NoFinger
				case e.Value.Log2 == 3 && b.Fret < q.Fret:
					q.Attack = tab.Hammered
				case e.Value.Log2 == 3 && b.Fret > q.Fret:
					q.Attack = tab.PulledOff
				}
			}
			now[str] = q
			st.Plucks = append(st.Plucks, q)
		}
		first, last := st.Plucks[len(st.Plucks)-1], st.Plucks[0]
		st.Placement = steel.Placement{Kind: steel.Straight, First: int8(first.String), Last: 5, FirstFret: first.Fret, LastFret: first.Fret}
		if first.Fret != last.Fret && len(st.Plucks) > 1 {
			st.Placement.Kind, st.Placement.Last, st.Placement.LastFret = steel.Forward, int8(last.String), last.Fret
			if first.Fret < last.Fret {
				st.Placement.Kind = steel.Reverse
			}
		}
		before = now
		tb.Strokes = append(tb.Strokes, st)
	}
	for i := range tb.Strokes { // nothing slides into a string that the next stroke leaves out
		for j := range tb.Strokes[i].Plucks {
			q := &tb.Strokes[i].Plucks[j]
			q.Glide = q.Glide && i+1 < len(tb.Strokes) && slices.ContainsFunc(tb.Strokes[i+1].Plucks, func(p tab.Pluck) bool { return p.String == q.String })
		}
	}
	return tb
}

// Turns lays EveryTurn on a phone's width, where most bars have a line of their own.
func Turns(t testing.TB) *draw.Drawing {
	t.Helper()
	d, err := sheet.LayTune(EveryTurn(t), sheet.Options{Paper: draw.Phone})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TurnedPages lays Turned with string 1 as the lowest line.
func TurnedPages(t testing.TB, paper draw.Paper, layout sheet.Layout) *draw.Drawing {
	t.Helper()
	d, err := sheet.Lay(Turned(t), sheet.Options{Paper: paper, Layout: layout, StringOneLow: true})
	if err != nil {
		t.Fatal(err)
	}
	return d
}
