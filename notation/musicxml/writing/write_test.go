package writing_test

import (
	"path/filepath"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/musicxml/writing"
	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// fullTune uses everything that a tune can hold.
func fullTune() *tune.Tune {
	glide := tunetest.Quarters(1, "G3", "A3", "D4", "B3")
	glide.Lines[0][0].Notes[0].Glide = true
	glide.Lines[0][1].Notes[0].Glide = true
	glide.Lines[0][3].Notes[0].Scoop = -2
	glide.Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 92_500, Text: "Slowly & <gently>"}}
	glide.Part = "A"
	g7, _ := pitch.ParseChord("G7")
	db, _ := pitch.ParseChord("D/F#")
	odd, _ := pitch.ParseChord("A7b9")
	glide.Chords = []tune.ChordAt{{Text: "G7", Chord: &g7}, {At: tune.Whole / 8, Text: "D/F#", Chord: &db}, {At: tune.Whole / 2, Text: "A7b9", Chord: &odd}, {At: 3 * tune.Whole / 4, Text: "N.C."}}
	glide.Left.Repeat = 1
	first := tunetest.Quarters(2, "G3", "B3", "D4", "G4")
	first.Right, first.Endings, first.EndingEnds = tune.Barline{Repeat: 1}, []int{1, 2}, true
	first.Lines[0][0].Slurs = 1
	first.Lines[0][2].SlurEnds = 1
	first.Lines[0][1].Marks = []tune.Mark{tune.Staccato, tune.Fermata, tune.Trill, tune.UpBow, tune.Roll, tune.Arpeggio, tune.Breath}
	first.Lines[0][3].Marks = []tune.Mark{tune.Swell}
	first.Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "Har", Hyphen: true}}
	first.Lines[0][1].Lyrics = []tune.Lyric{{Verse: 1, Text: "bour", Extend: true}}
	tied := tunetest.Quarters(3, "G3", "G3", "D4", "G4")
	tied.Endings, tied.EndingEnds = []int{3}, true
	tied.Lines[0][0].Notes[0].Tie = true
	tied.Lines[0][2].Graces = []tune.Grace{{Notes: []tune.Note{{Name: pitch.Note(pitch.C, 1, 4), Glide: true}}, Value: tune.Value{Log2: 4}, Slash: true}}
	tied.Lines[0][3].Notes[0].Courtesy = true
	tied.LineBreak = true
	tied.Lines[0][2].Notes[0].Chop = true
	tied.Signs = []tune.Sign{{Kind: tune.Segno}, {At: tune.Whole, Kind: tune.DalSegnoAlFine}}
	chord := tunetest.Quarters(4, "G3", "B3")
	chord.Lines[0][0].Notes = []tune.Note{{Name: pitch.Note(pitch.G, 0, 3), Glide: true}, {Name: pitch.Note(pitch.B, 0, 3), Glide: true}}
	chord.Lines[0][1].Notes = []tune.Note{{Name: pitch.Note(pitch.A, 0, 3)}, {Name: pitch.Note(pitch.C, 1, 4)}}
	for i := range 3 {
		chord.Lines[0] = append(chord.Lines[0], tune.Event{At: tune.Whole/2 + tune.Ticks(i)*tune.Whole/12, Len: tune.Whole / 12, Value: tune.Value{Log2: 3}, Notes: []tune.Note{{Name: pitch.Note(pitch.B, -1, 3)}},
			Tuplets: []tune.Tuplet{{Actual: 3, Normal: 2, Starts: i == 0, Ends: i == 2}}})
	}
	chord.Lines[0] = append(chord.Lines[0], tune.Event{At: 3 * tune.Whole / 4, Len: tune.Whole / 4, Kind: tune.Rest, Value: tune.Value{Log2: 2}})
	chord.Texts = []tune.TextAt{{At: tune.Whole / 2, Text: "let it ring", Below: true}}
	own := tunetest.Quarters(5)
	own.Key.Signature, own.Key.Own = [7]int8{0, 0, 0, 1, 0, 0, -1}, true
	own.Meter = tune.Meter{Beats: 7, Unit: 8, Groups: []int{2, 2, 3}}
	own.Len = 7 * tune.Whole / 8
	own.Lines[0] = []tune.Event{{Len: own.Len, Kind: tune.Rest, Value: tune.Value{BarRest: true}}}
	own.Signs = []tune.Sign{{At: own.Len, Kind: tune.Fine}}
	own.Right.Style = tune.FinalBarline
	s := tunetest.Song(glide, first, tied, chord, own)
	s.Subtitles, s.Composer, s.Rhythm, s.Notes = []string{"for the Harbour Street class"}, "the class", "air", []string{"a note"}
	return s
}

// handTab plays on the open G rig with a lean, a glide and a scoop.
func handTab(t *testing.T) *tab.Tab {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	b := tunetest.Quarters(1, "D4", "E4", "F#4", "G4")
	b.Lines[0][1].Notes[0].Glide = true
	out := &tab.Tab{Tune: tunetest.Song(b), Rig: r}
	for i, f := range []float64{0, 2, 4.04, 5} {
		at := steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: f, LastFret: f}
		if f == 0 {
			at = steel.Placement{}
		}
		p := tab.Pluck{Ref: tune.Ref{Event: i, Grace: -1}, String: 1, Fret: f, Len: tune.Whole / 4, Finger: tab.Middle, Vibrato: i == 3}
		switch i {
		case 2:
			p.Attack = tab.Glided
			out.Strokes[1].Plucks[0].Glide = true
		case 3:
			p.Attack, p.Scoop = tab.Hammered, -1
		}
		out.Strokes = append(out.Strokes, tab.Stroke{At: tune.Ticks(i) * tune.Whole / 4, Len: tune.Whole / 4, Placement: at, Plucks: []tab.Pluck{p}})
	}
	return out
}

func TestFullTuneIsValid(t *testing.T) {
	if l := fullTune().Check(); len(l) > 0 {
		t.Fatalf("the test's own tune is not valid: %v", l)
	}
}

// TestGolden compares what is written with testdata; -update writes it anew.
// Every golden file belongs to a case.
func TestGolden(t *testing.T) {
	full, err := writing.Tune(fullTune())
	if err != nil {
		t.Fatal(err)
	}
	played, err := writing.Tab(handTab(t))
	if err != nil {
		t.Fatal(err)
	}
	cases := map[string][]byte{"tune.musicxml": full, "tab.musicxml": played}
	for name, got := range cases {
		golden.File(t, filepath.Join("testdata", name), got)
	}
	files, err := filepath.Glob("testdata/*.musicxml")
	if err != nil || len(files) != len(cases) {
		t.Errorf("%d golden files for %d cases (%v)", len(files), len(cases), err)
	}
}

// TestLost: what MusicXML has no place for is told, and nothing else is.
func TestLost(t *testing.T) {
	key := func(text string) pitch.Key {
		k, err := pitch.ParseKey(text)
		if err != nil {
			t.Fatal(err)
		}
		return k
	}
	for _, c := range []struct {
		what   string
		change func(*tune.Bar)
		want   int
	}{
		{"a plain bar", func(*tune.Bar) {}, 0},
		{"seven sharps", func(b *tune.Bar) { b.Key = key("C#") }, 0},
		{"seven flats", func(b *tune.Bar) { b.Key = key("Cb") }, 0},
		{"the tonic of a signature of its own", func(b *tune.Bar) { b.Key = key("D major, signed F# Bb") }, 1},
		{"a final line", func(b *tune.Bar) { b.Right.Style = tune.FinalBarline }, 0},
		{"a final line under a repeat", func(b *tune.Bar) { b.Right = tune.Barline{Style: tune.FinalBarline, Repeat: 1} }, 1},
	} {
		b := tunetest.Quarters(1, "G3", "A3", "B3", "D4")
		c.change(&b)
		again := b
		again.Number, again.Right.Style = 2, tune.SingleBarline
		// The second bar has the same key, which is told once.
		if lost := writing.Lost(tunetest.Song(b, again)); len(lost) != c.want {
			t.Errorf("%s: lost %v, want %d", c.what, lost, c.want)
		}
	}
}
