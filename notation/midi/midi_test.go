package midi

import (
	"bytes"
	"fmt"
	"slices"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// want is what a tune sounds, in the form of heardText.
func wantText(t *tune.Tune) []string {
	var out []string
	for _, s := range tune.Sound(t) {
		out = append(out, fmt.Sprintf("%s+%s %d", s.At, s.Len, s.Name.Key()))
	}
	return out
}

func heardText(f *File) []string {
	var out []string
	for _, h := range f.Sounding() {
		out = append(out, fmt.Sprintf("%s+%s %d", h.At, h.Len, h.Key))
	}
	return out
}

func TestWriteTuneReadsBack(t *testing.T) {
	glide := tunetest.Quarters(1, "G3", "A3", "D4", "B3")
	glide.Lines[0][0].Notes[0].Glide = true
	glide.Lines[0][1].Notes[0].Glide = true
	glide.Lines[0][3].Notes[0].Scoop = -2
	repeat := tunetest.Quarters(2, "G3", "B3", "D4", "G4")
	repeat.Right.Repeat = 1
	tied := tunetest.Quarters(3, "G3", "G3", "D4", "G4")
	tied.Lines[0][0].Notes[0].Tie = true
	tied.Lines[0][2].Graces = []tune.Grace{{Notes: []tune.Note{{Name: pitch.Note(pitch.C, 1, 4), Glide: true}}, Value: tune.Value{Log2: 4}, Slash: true}}
	chord := tunetest.Quarters(4, "G3", "B3", "D4", "G4")
	chord.Lines[0][0].Notes = []tune.Note{{Name: pitch.Note(pitch.G, 0, 3), Glide: true}, {Name: pitch.Note(pitch.B, 0, 3), Glide: true}}
	chord.Lines[0][1].Notes = []tune.Note{{Name: pitch.Note(pitch.A, 0, 3)}, {Name: pitch.Note(pitch.C, 1, 4)}}
	tests := map[string]*tune.Tune{
		"plain": tunetest.Song(tunetest.Quarters(1, "G3", "A3", "B3", "D4")), "glide": tunetest.Song(glide), "repeat": tunetest.Song(repeat), "tied": tunetest.Song(tied), "chord": tunetest.Song(chord),
		"all": tunetest.Song(glide, repeat, tied, chord),
	}
	for name, in := range tests {
		if l := in.Check(); len(l) > 0 {
			t.Fatalf("%s: the test's own tune is not valid: %v", name, l)
		}
		b, losses, err := EncodeTune(in)
		if err != nil || len(losses) > 0 {
			t.Errorf("%s: EncodeTune: %v %v", name, losses, err)
			continue
		}
		f, err := Read(b, "x.mid")
		if err != nil {
			t.Errorf("%s: Read: %v", name, err)
			continue
		}
		if len(f.Warnings) > 0 {
			t.Errorf("%s: warnings %v", name, f.Warnings)
		}
		if got, want := fmt.Sprint(heardText(f)), fmt.Sprint(wantText(in)); got != want {
			t.Errorf("%s:\n got %s\nwant %s", name, got, want)
		}
	}
}

// handTab plays G B D on strings 1 to 3 of the open G rig: open, then barred,
// then leaning so that the contacts lie between frets.
func handTab(t *testing.T) *tab.Tab {
	t.Helper()
	r := rigtest.Builtin(t, "reso-open-g")
	b := tunetest.Quarters(1, "D4", "E4", "F#4", "G4")
	in := tunetest.Song(b)
	out := &tab.Tab{Tune: in, Rig: r}
	for i, f := range []float64{0, 2, 4.04, 5} {
		place := steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: f, LastFret: f}
		if f == 0 {
			place = steel.Placement{}
		}
		p := tab.Pluck{Ref: tune.Ref{Event: i, Grace: -1}, String: 1, Fret: f, Len: tune.Whole / 4}
		if i == 2 {
			p.Attack = tab.Glided
			out.Strokes[1].Plucks[0].Glide = true
			b.Lines[0][1].Notes[0].Glide = true
		}
		out.Strokes = append(out.Strokes, tab.Stroke{At: tune.Ticks(i) * tune.Whole / 4, Len: tune.Whole / 4, Placement: place, Plucks: []tab.Pluck{p}})
	}
	return out
}

// Swung 2 to 1, the second eighth of a quarter begins two thirds into it: 640 of 960
// ticks. Beats keep their places.
func TestSwungOnsets(t *testing.T) {
	bar := tunetest.Quarters(1, "G3", "A3", "D4", "B3")
	line := bar.Lines[0]
	line[0].Len, line[0].Value.Log2 = tune.Whole/8, 3
	second := line[0]
	second.At = tune.Whole / 8
	bar.Lines[0] = slices.Insert(line, 1, second)
	in := tunetest.Song(bar)
	in.Swing = tune.TripletSwing
	b, _, err := EncodeTune(in)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(b, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, h := range f.Sounding() {
		got = append(got, h.At.String())
	}
	if fmt.Sprint(got) != "[0 1/6 1/4 1/2 3/4]" {
		t.Errorf("onsets %v", got)
	}
}

func TestWriteTab(t *testing.T) {
	in := handTab(t)
	b, losses, err := Encode(in)
	if err != nil || len(losses) > 0 {
		t.Fatal(losses, err)
	}
	f, err := Read(b, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(heardText(f)), "[0+1/4 62 1/4+1/4 64 1/2+1/4 66 3/4+1/4 67]"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	// A slanted contact 0.04 frets sharp is 4 cents of bend, to the 14 bits of a
	// bend over 96 semitones: 0.59 cents apart.
	if c := f.Sounding()[2].Cents; c < 3.7 || c > 4.3 {
		t.Errorf("the leaning bar sounds %.2f cents off, want 4", c)
	}
	if n := len(f.Tracks[1].Notes); n != 3 {
		t.Errorf("%d note-ons, want 3: a glide is not struck again", n)
	}
	for _, n := range f.Tracks[1].Notes {
		if n.Channel != 2 {
			t.Errorf("string 1 on channel %d, want 2", n.Channel)
		}
	}
}

// A stroke without pitch is key 37 of channel 10, the side stick (General MIDI level 1,
// percussion map: from memory), and a swell opens controller 11, expression (MIDI 1.0
// controller table), on its string's channel alone.
func TestChopsAndSwells(t *testing.T) {
	in := handTab(t)
	line := in.Tune.Bars[0].Lines[0]
	line[0].Notes[0].Chop, in.Strokes[0].Plucks[0].Attack = true, tab.Chopped
	line[3].Marks = []tune.Mark{tune.Swell}
	b, _, err := Encode(in)
	if err != nil {
		t.Fatal(err)
	}
	count := func(msg ...byte) int { return bytes.Count(b, msg) }
	if on, off := count(0x99, 37), count(0x89, 37); on != 1 || off != 1 {
		t.Errorf("%d strokes on channel 10 and %d ends, want one of each", on, off)
	}
	// "B1 0B xx": the running values rise to 127.
	var values []byte
	for i := range len(b) - 2 {
		if b[i] == 0xB1 && b[i+1] == 11 {
			values = append(values, b[i+2])
		}
	}
	if len(values) < 10 || values[0] > 20 || values[len(values)-1] != 127 || !slices.IsSorted(values) {
		t.Errorf("expression runs %d, want from soft to 127", values)
	}
	if told := Lost(in.Tune); len(told) != 1 || told[0].Msg != "strokes without pitch are written as the drum channel's side stick" {
		t.Errorf("lost: %v", told)
	}
}
