package writing_test

import (
	"reflect"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lapwright/notation/abc"
	"lapwright/notation/abc/writing"
	"lapwright/pitch"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// readOne reads a text of one tune for a test.
func readOne(t *testing.T, src string) *tune.Tune {
	t.Helper()
	tunes, warnings, err := abc.Read([]byte(src), "")
	if err != nil || len(tunes) != 1 {
		t.Fatalf("%q: %d tunes, %v, %v", src, len(tunes), err, warnings)
	}
	return tunes[0]
}

// TestWrite: what a whole tune looks like as text. It is the text it was read
// from.
func TestWrite(t *testing.T) {
	const text = `X:3
T:The Ferry
T:and the Steps
C:Harbour Street evening class
R:air
H:made in a break
P:A2B
M:3/4
L:1/8
Q:"Slowly" 1/4=84
V:1 name="Line"
V:2
K:G
[V:1] |: [P:A]"G"B2 {/c}B2 A2|"D7"(F4- F)E|[1 "G"G6:| [2 .G6||
w: One two three, four _ five
w: 2.~Six
[V:2] |: G6|D6|[1 G6:| [2 G6||
[V:1] [P:B][M:2/4][K:Em]!segno!^d2 e2- & x3 "B7"x|(3!glide!efg !fermata!b2!D.S.!|]
[V:2] [M:2/4][K:Em]Z|z2 [EB]2|]
W:First line
`
	got, lost := writing.Tune(readOne(t, text))
	if string(got) != text {
		t.Errorf("got\n%s\nwant\n%s", got, text)
	}
	if len(lost) > 0 {
		t.Errorf("lost %v", lost)
	}
}

// TestLosses: everything that ABC can't say is listed, and what is written reads as
// a sound tune still.
func TestLosses(t *testing.T) {
	const text = "X:1\nT:t\nM:4/4\nL:1/4\nK:C\n|: \"G\"A B c d|[1 e4:|[2 f4|]\nw: a b c d e f\n"
	for _, c := range []struct {
		want  string
		spoil func(t *tune.Tune, b *tune.Bar)
	}{
		{`the text "a\nb" is written without its line breaks`, func(t *tune.Tune, b *tune.Bar) { t.Composer = "a\nb" }},
		{`the text "x" is written without its line breaks and outer spaces`, func(t *tune.Tune, b *tune.Bar) { b.Texts = []tune.TextAt{{Text: " x "}} }},
		{`the voice "" is called "1"`, func(t *tune.Tune, b *tune.Bar) { t.Voices[0].ID = "" }},
		{`the voice "a b" is called "1"`, func(t *tune.Tune, b *tune.Bar) { t.Voices[0].ID = "a b" }},
		{`the meter's sign "O" is written in numbers`, func(t *tune.Tune, b *tune.Bar) { b.Meter.Symbol = "O" }},
		{`the part's label "a]b" is written as "a)b"`, func(t *tune.Tune, b *tune.Bar) { b.Part = "a]b" }},
		{`the text "x" at the end of the bar is put to the start of the next`, func(t *tune.Tune, b *tune.Bar) { b.Texts = []tune.TextAt{{At: b.Len, Text: "x"}} }},
		{"a thick and thin line is kept as the start of the next bar", func(t *tune.Tune, b *tune.Bar) { b.Right.Style = tune.OpenBarline }},
		{"the line at the start of the next bar has no sign", func(t *tune.Tune, b *tune.Bar) { t.Bars[1].Left.Style = tune.DoubleBarline }},
		{`the chord symbol "x" is written as "G"`, func(t *tune.Tune, b *tune.Bar) { b.Chords[0].Text = "x" }},
		{`the chord symbol "x" is not read again as the chord`, func(t *tune.Tune, b *tune.Bar) {
			b.Chords[0].Text, b.Chords[0].Chord = "x", &pitch.Chord{Quality: "strange"}
		}},
		{"a chord symbol without text", func(t *tune.Tune, b *tune.Bar) { b.Chords[0] = tune.ChordAt{} }},
		{`the chord symbol "^G" is written as words`, func(t *tune.Tune, b *tune.Bar) { b.Chords[0] = tune.ChordAt{Text: "^G"} }},
		{"empty words are left out", func(t *tune.Tune, b *tune.Bar) { b.Texts = []tune.TextAt{{}} }},
		{`the sign's own words "The end" are left out`, func(t *tune.Tune, b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Fine, Text: "The end"}} }},
		{`the sign "segno" at the end of the bar is put`, func(t *tune.Tune, b *tune.Bar) { b.Signs = []tune.Sign{{Kind: tune.Segno, At: b.Len}} }},
		{"a rest for a bar that is not as long as its meter", func(t *tune.Tune, b *tune.Bar) {
			b.Meter = tune.Meter{Beats: 6, Unit: 4}
			b.Lines[0] = []tune.Event{{Len: b.Len, Kind: tune.Rest, Value: tune.Value{BarRest: true}}}
		}},
		{"a plain rest that fills its bar", func(t *tune.Tune, b *tune.Bar) {
			b.Lines[0] = []tune.Event{{Len: b.Len, Kind: tune.Rest}}
		}},
		{`the syllable "a" under a rest`, func(t *tune.Tune, b *tune.Bar) {
			b.Lines[0][0].Kind, b.Lines[0][0].Notes = tune.Rest, nil
		}},
		{"verses after the 32th are left out", func(t *tune.Tune, b *tune.Bar) { b.Lines[0][0].Lyrics[0].Verse = 99 }},
		{"a second syllable of the same verse", func(t *tune.Tune, b *tune.Bar) {
			e := &b.Lines[0][0]
			e.Lyrics = append(e.Lyrics, e.Lyrics[0])
		}},
		{`the syllable "x" is not read again as it is`, func(t *tune.Tune, b *tune.Bar) { b.Lines[0][0].Lyrics[0].Text = " x" }},
		{`the syllable "a" is not drawn out`, func(t *tune.Tune, b *tune.Bar) { b.Lines[0][0].Lyrics[0].Extend = true }},
		{"the bars are numbered anew: this one is 1", func(t *tune.Tune, b *tune.Bar) { b.Number = 17 }},
		{"the end of an ending's bracket is not said", func(t *tune.Tune, b *tune.Bar) { t.Bars[1].EndingEnds = false }},
	} {
		x := readOne(t, text)
		if _, lost := writing.Tune(x); len(lost) > 0 {
			t.Fatalf("the tune loses something to begin with: %v", lost)
		}
		c.spoil(x, &x.Bars[0])
		if faults := x.Check(); len(faults) > 0 {
			t.Errorf("%s: the tune is no longer sound: %v", c.want, faults)
		}
		got, lost := writing.Tune(x)
		found := false
		for _, f := range lost {
			found = found || strings.Contains(f.Msg, c.want)
		}
		if !found {
			t.Errorf("got %v, want %q", lost, c.want)
		}
		readOne(t, string(got))
	}
}

// TestWrittenTunesSound: whatever a tune holds, what is written of it sounds as it
// does, bar by bar, with its words and chord symbols.
func TestWrittenTunesSound(t *testing.T) {
	words := func(t *tune.Tune) []string {
		var out []string
		for i := range t.Bars {
			b := &t.Bars[i]
			for _, c := range b.Chords {
				out = append(out, c.At.String()+" "+c.Text)
			}
			for _, line := range b.Lines {
				for _, e := range line {
					for _, l := range e.Lyrics {
						out = append(out, e.At.String()+" "+l.Text)
					}
				}
			}
		}
		return out
	}
	rapid.Check(t, func(r *rapid.T) {
		want := tunetest.Tunes().Draw(r, "tune")
		text, lost := writing.Tune(want)
		got, _, err := abc.Read(text, "t.abc")
		if err != nil || len(got) != 1 {
			r.Fatalf("%d tunes, %v\n%s", len(got), err, text)
		}
		opened := 0 // repeats that had to be given a sign
		for _, f := range lost {
			if !strings.Contains(f.Msg, "a sign is put here that opens the repeat") {
				r.Fatalf("lost %v\n%s", lost, text)
			}
			opened++
		}
		if a, b := tune.Sound(want), tune.Sound(got[0]); !reflect.DeepEqual(a, b) {
			r.Fatalf("sounds %v, want %v\n%s", b, a, text)
		}
		if a, b := words(want), words(got[0]); !reflect.DeepEqual(a, b) {
			r.Fatalf("words %q, want %q\n%s", b, a, text)
		}
		if len(got[0].Bars) != len(want.Bars) {
			r.Fatalf("%d bars, want %d\n%s", len(got[0].Bars), len(want.Bars), text)
		}
		for i := range want.Bars {
			a, b := &want.Bars[i], &got[0].Bars[i]
			if a.Left.Repeat == 0 && b.Left.Repeat == 1 {
				opened--
				b.Left.Repeat = 0
			}
			if a.Left != b.Left || a.Right != b.Right || a.Meter.Beats != b.Meter.Beats || a.Meter.Unit != b.Meter.Unit || a.Key.Signature != b.Key.Signature {
				r.Fatalf("bar %d: %+v, want %+v\n%s", i+1, b, a, text)
			}
		}
		if opened != 0 {
			r.Fatalf("%d signs that open repeats are told of and not there\n%s", opened, text)
		}
	})
}

// TestRepeatsOverDoubleLines: in ABC a repeat that nothing opens goes back to the
// last double line (section 4.8 of the standard), in other notations to the start of
// the tune or the part. What is written goes back as far as the tune does.
func TestRepeatsOverDoubleLines(t *testing.T) {
	for _, c := range []struct {
		text   string
		double int    // index of the bar that is given a double line at its end
		want   string // numbers of the bars as they are played
		lost   string
	}{
		{"C4|D4:|", 0, "1 2 1 2", "bar 1, 0 into it: a sign is put here"},
		{"C4:|D4|E4:|F4|]", 1, "1 1 2 3 2 3 4", "bar 2, 0 into it: a sign is put here"},
		{"C4|D4|1 E4:|2 F4|]", 0, "1 2 3 1 2 4", "bar 1, 0 into it: a sign is put here"},
		{"[P:A]|:C4|[P:B]D4|E4:|", 1, "1 2 3 2 3 1", "bar 2, 0 into it: a sign is put here"},
		{"[P:A]|:C4|[P:B]|:D4|E4:|", 1, "1 2 3 2 3 1", ""},
		{"C4|:D4:|", 0, "1 2 2", ""},
		{"C4|D4|E4|]", 0, "1 2 3", ""},
	} {
		head := "X:1\nT:t\nM:4/4\nL:1/4\nK:C\n"
		if strings.Contains(c.text, "P:") {
			head = "X:1\nT:t\nP:ABA\nM:4/4\nL:1/4\nK:C\n"
		}
		x := readOne(t, head+c.text+"\n")
		x.Bars[c.double].Right.Style = tune.DoubleBarline
		text, lost := writing.Tune(x)
		for _, y := range []*tune.Tune{x, readOne(t, string(text))} {
			passes, faults := tune.Unfold(y)
			var got []string
			for _, p := range passes {
				got = append(got, strconv.Itoa(y.Bars[p.BarIndex].Number))
			}
			if strings.Join(got, " ") != c.want || len(faults) > 0 {
				t.Errorf("%s: plays %s, want %s; %v; written\n%s", c.text, got, c.want, faults, text)
			}
		}
		if (c.lost == "") != (len(lost) == 0) || len(lost) > 1 || len(lost) == 1 && !strings.Contains(lost[0].Error(), c.lost) {
			t.Errorf("%s: lost %v, want %q", c.text, lost, c.lost)
		}
	}
}
