package midi

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// TestEnds: notes that begin on the beat and end a little early or late are what
// a player would write down. The lengths wanted are the note values that the
// gates are of (common practice, no source: programs let a note sound for 95 % or
// 90 % of its value, players of keyboards hold it some ticks into the next).
func TestEnds(t *testing.T) {
	quarters := []int{0, 480, 960, 1440, 1920, 2400}
	gate := func(percent, late int, keys ...int) []played {
		var out []played
		for i := range len(quarters) - 1 {
			at, next := quarters[i], quarters[i+1]
			out = append(out, played{at, at + (next-at)*percent/100 + late, 1, 60 + i, 80})
		}
		return append(out, played{2400, 2400 + 1440*percent/100 + late, 1, 67, 80})
	}
	straight := "0+1/4 1/4+1/4 1/2+1/4 3/4+1/4 1+1/4 5/4+3/4"
	mixed := func(gate float64) []played {
		// A triplet, a dotted eighth and a sixteenth, an eighth with a rest after it,
		// a dotted quarter with a rest after it, and the bar's end.
		var out []played
		for i, n := range [][2]int{{0, 160}, {160, 160}, {320, 160}, {480, 360}, {840, 120}, {960, 240}, {1440, 480}, {1920, 720}, {2880, 960}} {
			out = append(out, played{n[0], n[0] + int(float64(n[1])*gate), 1, 60 + i, 80})
		}
		return out
	}
	values := "0+1/12 1/12+1/12 1/6+1/12 1/4+3/16 7/16+1/16 1/2+1/8 3/4+1/4 1+3/8 3/2+1/2"
	for name, c := range map[string]struct {
		in   []played
		want string
	}{
		"95 % gate":           {gate(95, 0), straight},
		"one tick early":      {gate(100, -1), straight},
		"a 64th early":        {gate(100, -30), straight},
		"20 ticks legato":     {gate(100, 20), straight},
		"half is a rest":      {gate(50, 0), "0+1/8 1/4+1/8 1/2+1/8 3/4+1/8 1+1/8 5/4+3/8"},
		"mixed values, exact": {mixed(1), values},
		"mixed values, 95 %":  {mixed(.95), values},
		"mixed values, 90 %":  {mixed(.9), values},
	} {
		f, err := Read(smf(0, 480, performance("x", c.in...)), "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(Options{})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, s := range tune.Sound(im.Tune) {
			got = append(got, fmt.Sprintf("%s+%s", s.At, s.Len))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s:\n got %s\nwant %s", name, g, c.want)
		}
		if len(im.Tune.Bars) != 2 || len(im.Tune.Voices) != 1 || im.Grid != "as written" {
			t.Errorf("%s: %d bars, %d voices, times %s", name, len(im.Tune.Bars), len(im.Tune.Voices), im.Grid)
		}
		said := strings.Contains(fmt.Sprint([]*fault.Fault(im.Warnings)), "notes end a little early or late")
		if stands := strings.Contains(name, "exact") || strings.Contains(name, "half"); said == stands {
			t.Errorf("%s: %v", name, im.Warnings)
		}
		for _, b := range im.Tune.Bars {
			for _, e := range b.Lines[0] {
				if len(e.Tuplets) > 0 && !strings.Contains(name, "mixed") {
					t.Errorf("%s: a note of %s is written in a tuplet", name, e.Len)
				}
			}
		}
	}
}

// TestOurEndsStand: in a file of ours even the shortest rest is music.
func TestOurEndsStand(t *testing.T) {
	b := tunetest.Quarters(1, "D4", "E4", "F4", "G4")
	var line []tune.Event
	for i, e := range b.Lines[0] {
		at := tune.Ticks(i) * tune.Whole / 4
		e.At, e.Len = at, tune.Whole/4-tune.Whole/64
		line = append(line, e, tune.Event{At: at + e.Len, Len: tune.Whole / 64, Kind: tune.Rest})
	}
	var err error
	if b.Lines[0], err = tune.Notate(&b, line); err != nil {
		t.Fatal(err)
	}
	data, err := WriteTune(tunetest.Song(b))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(data, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	im, err := f.Tune(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := tune.Sound(im.Tune)[0].Len; got != 15*tune.Whole/64 || im.Ended+len(im.Moved) > 0 {
		t.Errorf("a note of 15/64 comes back as %s, %d ends settled, %d moved", got, im.Ended, len(im.Moved))
	}
}

// TestKeyGuessed: a file without a key is spelled in the key that its notes are in.
func TestKeyGuessed(t *testing.T) {
	var scale []played
	for i, k := range []int{57, 59, 61, 62, 64, 66, 68, 69, 64, 61, 57, 57} {
		scale = append(scale, played{i * 480, i*480 + 480, 1, k, 80})
	}
	f, err := Read(smf(0, 480, performance("x", scale...)), "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	im, err := f.Tune(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := im.Tune.Bars[0].Key.String(); got != "A major" {
		t.Errorf("the scale of A major is taken for %s", got)
	}
	if want := "x.mid: the file gives no key; A major is guessed from its notes"; !strings.Contains(fmt.Sprint([]*fault.Fault(im.Warnings)), want) {
		t.Errorf("warnings %v lack %q", im.Warnings, want)
	}
}
