package midi_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/notation/midi"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

func soundsOf(t *tune.Tune) string {
	var out []string
	for _, s := range tune.Sound(t) {
		out = append(out, fmt.Sprintf("%s+%s %d", s.At, s.Len, s.Name.Key()))
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func arranged(t *testing.T, text string, r *rig.Rig) (*tab.Tab, bool) {
	t.Helper()
	tunes, _, err := abc.Read([]byte(text), "piece.abc")
	if err != nil {
		t.Fatal(err)
	}
	res, err := arrange.Arrange(context.Background(), tunes[0], r, arrange.Options{Vibrato: true})
	if err != nil {
		return nil, false // not every rig reaches every tune
	}
	return res.Tab, true
}

// TestTabsSound writes tabs for every built-in rig and makes tunes of the files:
// what is heard is what strings, steel and benders sound (tab.Sounding). Every
// string has a channel of its own from 2 up, as MIDI Polyphonic Expression (MMA
// RP-053, 2018) numbers the members of the lower zone.
func TestTabsSound(t *testing.T) {
	tabs := 0
	for _, text := range tunetest.Pieces {
		for _, r := range rig.Builtins() {
			in, ok := arranged(t, text, r)
			if !ok {
				continue
			}
			tabs++
			where := in.Tune.Title + " on " + r.Name
			// A file says nothing of what the player adds, joins and vibrato here: that
			// is told, and nothing else is lost.
			told := 0
			if len(in.Added) > 0 {
				told = 1
			}
			b, losses, err := midi.Encode(in)
			if err != nil || len(losses) != told {
				t.Errorf("%s: %v %v, %d added", where, err, losses, len(in.Added))
				continue
			}
			f, err := midi.Read(b, "tab.mid")
			if err != nil || len(f.Warnings) > 0 {
				t.Errorf("%s: %v %v", where, err, f.Warnings)
				continue
			}
			im, err := f.Tune(midi.Options{})
			if err != nil {
				t.Errorf("%s: %v", where, err)
				continue
			}
			if got, want := soundsOf(im.Tune), soundsOf(tab.Sounding(in)); got != want {
				t.Errorf("%s:\nheard %s\nwant  %s", where, got, want)
			}
			for _, n := range f.Tracks[1].Notes {
				if n.Channel < 2 || n.Channel > len(r.Strings)+2 {
					t.Errorf("%s: a note on channel %d of %d strings", where, n.Channel, len(r.Strings))
				}
			}
		}
	}
	if tabs < 20 {
		t.Errorf("only %d tabs were made", tabs)
	}
}

// TestVibratoIsHeard: a long note with vibrato swings to both sides of its pitch
// by what rolling the steel there moves it (tab.VibratoWidth), about five times a
// second, and lies on its pitch when it begins and when it ends.
func TestVibratoIsHeard(t *testing.T) {
	r := rigtest.Builtin(t, "lap6-c6")
	in, ok := arranged(t, "X:1\nT:Long\nM:4/4\nL:1/1\nQ:1/4=60\nK:C\nf|]\n", r)
	if !ok {
		t.Fatal("a single note can't be arranged")
	}
	p := &in.Strokes[0].Plucks[0]
	p.Vibrato = true
	width := float64(tab.VibratoOf(r, p, 4).Width)
	b, _, err := midi.Encode(in)
	if err != nil {
		t.Fatal(err)
	}
	f, err := midi.Read(b, "long.mid")
	if err != nil {
		t.Fatal(err)
	}
	n := f.Tracks[1].Notes[0]
	low, high, turns, was := 0.0, 0.0, 0, 0.0
	first := int64(math.MaxInt64)
	for _, bend := range n.Bends {
		c := 100 * (bend.Semitones - n.Bend)
		low, high = min(low, c), max(high, c)
		if c*was < 0 {
			turns++
		}
		if c != 0 {
			was, first = c, min(first, bend.At)
		}
	}
	// A bend of 96 semitones over 14 bits is exact to 0.59 cents, and the width sways by 12 per cent.
	if math.Abs(high-width) > 1+0.12*width || math.Abs(low+width) > 1+0.12*width {
		t.Errorf("it swings from %.2f to %.2f cents; want %.2f to either side", low, high, width)
	}
	// Four seconds but for the delay, 4.5 to 6 swings a second, two turns a swing.
	least, most := 2*tab.VibratoSlowest*(4-tab.VibratoDelay)-1, 2*tab.VibratoFastest*(4-tab.VibratoDelay)+1
	if float64(turns) < least || float64(turns) > most {
		t.Errorf("it turns %d times; want %.0f to %.0f", turns, least, most)
	}
	// A quarter note is a second here.
	if after := float64(first-n.At) / float64(f.Division.PPQ); math.Abs(after-tab.VibratoDelay) > 0.03 {
		t.Errorf("it begins %.3f s after the onset; want %.2f", after, tab.VibratoDelay)
	}
	if last := n.Bends[len(n.Bends)-1]; math.Abs(last.Semitones-n.Bend) > 0.01 {
		t.Errorf("it ends %.2f semitones off its pitch", last.Semitones-n.Bend)
	}
}

// TestLostInMIDI: what Standard MIDI Files 1.0 has no event for, told once for a tune.
func TestLostInMIDI(t *testing.T) {
	for _, c := range []struct {
		music, want string
		swing       tune.Swing
	}{
		{music: "GABc|]", want: "1 swung eighths", swing: tune.TripletSwing},
		{music: "GABc|]"},
		{music: "!>!GABc|]", want: ""},
		{music: "\"G\"GABc|\"C\"G4|]", want: "1 chord symbols"},
		{music: "GABc|\"C\"G4|]", want: "2 chord symbols"},
		{music: "\"^softly\"GABc|]", want: "1 words over the music"},
		{music: "|:GABc:|", want: "1 repeats"},
		{music: "GABc|!segno!GABc|]", want: "2 repeats"},
		{music: "{A}GABc|]", want: "1 graces"},
		{music: "(GA)Bc|]", want: "1 slurs"},
		{music: ".GABc|]", want: "1 marks"},
		{music: "GABc|]\nw: one two three four\nw: five six seven eight", want: "1 of several verses"},
		{music: "GABc|]\nw: one two three four", want: ""},
	} {
		tunes, _, err := abc.Read([]byte("X:1\nT:t\nM:4/4\nL:1/4\nK:G\n"+c.music+"\n"), "t.abc")
		if err != nil {
			t.Fatal(err)
		}
		tunes[0].Swing = c.swing
		var got []string
		for _, f := range midi.Lost(tunes[0]) {
			got = append(got, f.Bar+" "+f.Msg)
		}
		if (c.want == "") != (len(got) == 0) || len(got) > 1 || len(got) == 1 && !strings.HasPrefix(got[0], c.want) {
			t.Errorf("%q loses %q; want %q", c.music, got, c.want)
		}
	}
}
