package midi

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// sungAt makes notes of onset, length, key and channel.
func sungAt(from ...[4]int64) []Note {
	var out []Note
	for _, n := range from {
		out = append(out, Note{At: n[0], Len: n[1], Key: int(n[2]), Channel: int(n[3]), Velocity: 80})
	}
	return out
}

// TestAlone: which notes of an instrument sound alone, of which a melody is made: those that reach less than a quarter of a note, or of
// the one before, into another.
func TestAlone(t *testing.T) {
	for name, c := range map[string]struct {
		in   [][2]int64
		want float64
	}{
		"in turn":              {[][2]int64{{0, 100}, {100, 100}}, 1},
		"legato":               {[][2]int64{{0, 100}, {80, 100}}, 1},
		"a chord":              {[][2]int64{{0, 100}, {0, 100}}, 0},
		"later in the piece":   {[][2]int64{{1000, 100}, {1025, 100}}, 0},
		"after a quarter":      {[][2]int64{{0, 100}, {26, 100}}, 0.5},
		"a half over":          {[][2]int64{{0, 100}, {50, 100}}, 1},
		"over a half":          {[][2]int64{{0, 100}, {49, 100}}, 0.5},
		"under a held note":    {[][2]int64{{0, 400}, {200, 40}, {300, 100}, {400, 100}}, 0.75},
		"under it, of another": {[][2]int64{{0, 400}, {200, 40}, {250, 40}, {400, 100}}, 0.5},
		"alone":                {[][2]int64{{0, 100}}, 1},
	} {
		var notes []*Note
		for _, n := range c.in {
			notes = append(notes, &Note{At: n[0], Len: n[1], Key: 60, Channel: 1})
		}
		if got := candidate(1, "", notes, false).Alone; got != c.want {
			t.Errorf("%s: %g, want %g", name, got, c.want)
		}
	}
}

// TestLikeliestMelody: what an instrument is given as a melody, worked out by hand: 2 for notes alone, a point for four octaves from C3
// up, the root of its share of the notes of the one that has most, 1.5 for a name that says so or takes it away, and 10 less for drums.
func TestLikeliestMelody(t *testing.T) {
	four := sungAt([4]int64{0, 10, 60, 1}, [4]int64{10, 10, 62, 1}, [4]int64{20, 10, 64, 1}, [4]int64{30, 10, 66, 1}) // 63 in the mean
	two := sungAt([4]int64{0, 10, 36, 2}, [4]int64{0, 10, 60, 3})
	f := &File{Division: Division{PPQ: 96}, Tracks: []Track{
		{Name: "Lead bass", Notes: four}, {Name: "x", Notes: two}, {Name: "Steel", Notes: sungAt([4]int64{0, 10, 96, 10})}, {Name: "Pad", Notes: four}, {},
	}}
	var got []string
	for _, c := range f.Candidates() {
		got = append(got, fmt.Sprintf("%d %q %d: %d notes, mean %g, %.4f", c.Track, c.Name, c.Channels, c.Notes, c.Mean, c.score))
	}
	want := `1 "Lead bass" [1]: 4 notes, mean 63, 3.3125
2 "x" [3]: 1 notes, mean 60, 2.7500
2 "x" [2]: 1 notes, mean 36, 2.2500
4 "Pad" [1]: 4 notes, mean 63, 1.8125
3 "Steel" [10]: 1 notes, mean 96, -5.0000`
	if g := strings.Join(got, "\n"); g != want {
		t.Errorf("got\n%s\nwant\n%s", g, want)
	}
	// The members of a zone are one instrument: together two at once.
	f.members[2], f.members[3] = true, true
	if got := f.Candidates(); len(got) != 4 || fmt.Sprint(got[3].Channels, got[2].Channels) != "[10] [2 3]" || got[2].Alone != 0 {
		t.Errorf("with a zone of the channels 2 and 3: %+v", got)
	}
}

// TestChosen: what is taken and what is left out, for every wish.
func TestChosen(t *testing.T) {
	lead := append(sungAt([4]int64{0, 96, 72, 1}, [4]int64{96, 96, 74, 1}, [4]int64{192, 96, 76, 1}), sungAt([4]int64{0, 96, 48, 2}, [4]int64{0, 96, 36, 10})...)
	f := &File{Name: "x.mid", Format: 1, Division: Division{PPQ: 96}, Tracks: []Track{
		{Name: "Lead", Notes: lead, Keys: []Key{{}}, Meters: []Meter{{0, 4, 4}}}, {Name: "", Notes: sungAt([4]int64{0, 96, 60, 1})},
	}}
	drums, low, second := `track 1 "Lead" on channel 10, 1 note, is left out`, `track 1 "Lead" on channel 2, 1 note, is left out`, "track 2 on channel 1, 1 note, is left out"
	high := `track 1 "Lead" on channel 1, 3 notes, is left out`
	for _, c := range []struct {
		o    Options
		want string
		left []string
	}{
		{Options{}, "track 1 [1], of 4 instruments the likeliest melody, 3 notes", []string{low, second, drums}},
		{Options{Track: 1}, "track 1 [1 2], as asked, 4 notes", []string{second, drums}},
		{Options{Track: 2}, "track 2 [1], as asked, 1 notes", []string{high, low, drums}},
		{Options{Channel: 2}, "track 1 [2], of 4 instruments the likeliest melody, 1 notes", []string{high, second, drums}},
		{Options{Channel: 16, Track: 1}, "x.mid: track 1 has no notes on channel 16", nil},
		{Options{Channel: 16}, "x.mid: the file has no notes on channel 16", nil},
		{Options{Track: 1, Channel: 10}, "track 1 [10], as asked, 1 notes", []string{high, low, second}},
		{Options{Track: -1}, "x.mid: there is no track -1; the file has 2", nil},
		{Options{Track: 3}, "x.mid: there is no track 3; the file has 2", nil},
	} {
		im, err := f.Tune(c.o)
		if err != nil {
			if err.Error() != c.want {
				t.Errorf("%+v: %v, want %s", c.o, err, c.want)
			}
			continue
		}
		if got := fmt.Sprintf("track %d %d, %s, %d notes", im.Track, im.Channels, im.Why, im.Notes); got != c.want {
			t.Errorf("%+v: %s, want %s", c.o, got, c.want)
		}
		var left []string
		for _, w := range im.Warnings {
			left = append(left, w.Msg)
		}
		if got, want := strings.Join(left, "; "), strings.Join(c.left, "; "); got != want {
			t.Errorf("%+v leaves out\n%s, want\n%s", c.o, got, want)
		}
	}
	if _, err := (&File{Name: "x.mid", Tracks: []Track{{}}}).Tune(Options{}); err == nil || err.Error() != "x.mid: the file has no notes" {
		t.Errorf("no notes: %v", err)
	}
}

// TestCollected: how many notes, how late and how high are taken: 40,000, half of the longest piece, the keys from 0 to 127.
func TestCollected(t *testing.T) {
	many := make([]Note, MaxNotes+1)
	for i := range many {
		many[i] = Note{At: int64(i), Len: 1, Key: 60, Channel: 1}
	}
	bent := func(key int, semitones float64) []Note {
		return []Note{{Len: 96, Key: key, Channel: 1, Bend: semitones}}
	}
	for name, c := range map[string]struct {
		notes []Note
		want  string
	}{
		"as many as are taken": {many[:MaxNotes], ""},
		"one more":             {many, "has more than 40000 notes"},
		"as late":              {[]Note{{At: tune.MaxWholes * 2, Len: 1, Key: 60, Channel: 1}}, ""},
		"later":                {[]Note{{At: tune.MaxWholes*2 + 1, Len: 1, Key: 60, Channel: 1}}, "beyond the longest piece"},
		"never":                {[]Note{{Len: -1, Key: 60, Channel: 1}}, "beyond the longest piece"},
		"no length":            {[]Note{{Key: 60, Channel: 1}}, ""},
		"the highest":          {bent(125, 2), ""},
		"too high":             {bent(126, 2), "track 1, byte 0: a note is bent to key number 128, and keys go from 0 to 127"},
		"the lowest":           {bent(2, -2), ""},
		"too low":              {bent(1, -2), "a note is bent to key number -1"},
		"of another channel":   {[]Note{{Len: 96, Key: 60, Channel: 2, Bend: 90}}, ""},
	} {
		im := &importer{f: &File{Name: "x.mid", Division: Division{PPQ: 1}, Tracks: []Track{{Notes: c.notes}}}, out: &Import{Track: 1, Channels: []int{1}}}
		heard, err := im.collect()
		if (c.want == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
		if want := len(c.notes); err == nil && name != "of another channel" && (len(heard) != want || im.out.Notes != want) {
			t.Errorf("%s: %d notes, said to be %d, want %d", name, len(heard), im.out.Notes, want)
		}
	}
}

// TestOnGrid: nine onsets in ten are on a grid of up to 96 parts.
func TestOnGrid(t *testing.T) {
	for on, want := range map[int]bool{8: false, 9: true, 10: true} {
		var heard []heardSound
		for i := range 10 {
			at := pitch.NewFraction(5, 97)
			if i < on {
				at = pitch.NewFraction(5, 96)
			}
			heard = append(heard, heardSound{[]Heard{{At: at}}})
		}
		if onGrid(heard) != want {
			t.Errorf("%d of ten on the grid: %v", on, !want)
		}
	}
	for f, want := range map[pitch.Fraction]tune.Ticks{{Num: 5, Den: 4}: tune.Whole * 5 / 4, {Num: 39, Den: 19}: 2*tune.Whole + (tune.Whole+9)/19, {Num: 37, Den: 19}: tune.Whole + (18*tune.Whole+9)/19} {
		if got := near(f); got != want {
			t.Errorf("%d/%d of a whole note: %d, want %d", f.Num, f.Den, got, want)
		}
	}
}

// TestBarsLaid: where meters, keys and the last bar come. At 48 ticks a quarter a bar of 4/4 has 192; what comes in the middle of
// a bar begins at the barline nearest to it, half way at the next.
func TestBarsLaid(t *testing.T) {
	g, f := Key{Fifths: 1}, Key{Fifths: -1, Minor: true}
	at := func(k Key, tick int64) Key { k.At = tick; return k }
	for name, c := range map[string]struct {
		meters []Meter
		keys   []Key
		end    int
		want   string
	}{
		"to the barline":        {[]Meter{{0, 4, 4}}, []Key{g}, 384, "1: 192 G major, 2: 192 G major"},
		"over it":               {[]Meter{{0, 4, 4}}, []Key{g}, 385, "1: 192 G major, 2: 192 G major, 3: 192 G major"},
		"nothing":               {[]Meter{{0, 4, 4}}, []Key{g}, 0, "1: 192 G major"},
		"a meter later":         {[]Meter{{0, 4, 4}, {192, 3, 4}}, []Key{g}, 336, "1: 192 G major, 2: 144 G major"},
		"before the middle":     {[]Meter{{0, 4, 4}, {287, 3, 4}}, []Key{g}, 384, "1: 192 G major, 2: 144 G major, 3: 144 G major"},
		"in the middle":         {[]Meter{{0, 4, 4}, {288, 3, 4}}, []Key{g}, 400, "1: 192 G major, 2: 192 G major, 3: 144 G major"},
		"a key in it":           {[]Meter{{0, 4, 4}}, []Key{g, at(f, 288)}, 384, "1: 192 G major, 2: 192 G major"},
		"a key before it":       {[]Meter{{0, 4, 4}}, []Key{g, at(f, 287)}, 384, "1: 192 G major, 2: 192 D minor"},
		"two at once":           {[]Meter{{0, 4, 4}, {0, 2, 4}}, []Key{g, f}, 96, "1: 96 D minor"},
		"a pickup":              {[]Meter{{0, 1, 4}, {48, 3, 4}}, []Key{g}, 192, "0: 48 G major of 3, 1: 144 G major"},
		"a longer first bar":    {[]Meter{{0, 4, 4}, {192, 3, 4}, {336, 4, 4}}, []Key{g}, 528, "1: 192 G major, 2: 144 G major, 3: 192 G major"},
		"a meter of no length":  {[]Meter{{0, 3, 4}, {0, 5, 19}}, []Key{g}, 144, "1: 144 G major"},
		"a key of no such kind": {[]Meter{{0, 4, 4}}, []Key{{Fifths: 40}}, 192, "1: 192 C major"},
	} {
		im := &importer{f: &File{Division: Division{PPQ: 48}, Tracks: []Track{{Meters: c.meters, Keys: c.keys}}}, out: &Import{Track: 1}}
		if err := im.layBars(heardOf(strike{0, c.end, 60, 1, nil})); err != nil {
			t.Fatal(err)
		}
		var got []string
		for i, b := range im.bars {
			s := fmt.Sprintf("%d: %d %s", b.Number, b.Len/tick, b.Key)
			if b.Len != b.Meter.Len() {
				s += fmt.Sprintf(" of %d", b.Meter.Beats)
			}
			if im.starts[i+1]-im.starts[i] != b.Len {
				s += ", out of place"
			}
			got = append(got, s)
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
	for end, want := range map[int64]bool{MaxBars: true, MaxBars + 1: false} {
		im := &importer{f: &File{Division: Division{PPQ: 48}, Tracks: []Track{{}}}, out: &Import{Track: 1}}
		long := []heardSound{{[]Heard{{At: pitch.NewFraction(0, 1), Len: pitch.NewFraction(end, 1)}}}}
		if err := im.layBars(long); (err == nil) != want {
			t.Errorf("%d bars: %v", end, err)
		}
	}
}

// TestBarsCut: a last bar that is shorter than a full one before it has that one's meter; nothing is taken away but what is empty.
func TestBarsCut(t *testing.T) {
	meter := func(beats, unit int, length tune.Ticks) tune.Bar {
		return tune.Bar{Meter: tune.Meter{Beats: beats, Unit: unit}, Len: length * tick}
	}
	for name, c := range map[string]struct {
		bars []tune.Bar
		end  tune.Ticks
		want string
	}{
		"as short":          {[]tune.Bar{meter(4, 4, 192), meter(8, 8, 192)}, 384, "4/4 8/8"},
		"shorter":           {[]tune.Bar{meter(4, 4, 192), meter(2, 4, 96)}, 288, "4/4 4/4"},
		"after a short one": {[]tune.Bar{meter(3, 4, 96), meter(1, 4, 48)}, 144, "3/4 1/4"},
		"longer":            {[]tune.Bar{meter(2, 4, 96), meter(4, 4, 192)}, 288, "2/4 4/4"},
		"one":               {[]tune.Bar{meter(2, 4, 96)}, 96, "2/4"},
		"silence":           {[]tune.Bar{meter(2, 4, 96), meter(4, 4, 192)}, 0, "2/4"},
	} {
		l := &layout{bars: c.bars, starts: []tune.Ticks{0}}
		for i, b := range c.bars {
			l.starts = append(l.starts, l.starts[i]+b.Len)
		}
		l.trim(soundsOf([]tune.Ticks{0, c.end}))
		var got []string
		for _, b := range l.bars {
			got = append(got, fmt.Sprintf("%d/%d", b.Meter.Beats, b.Meter.Unit))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
	l := barsOf(48, 96, 192)
	for at, want := range map[tune.Ticks]int{-1: 0, 0: 0, 47: 0, 48: 1, 143: 1, 144: 2, 335: 2, 336: 2, 900: 2} {
		if got := l.barAt(at * tick); got != want {
			t.Errorf("%d falls in the bar %d, want %d", at, got, want)
		}
	}
	// However late a sound ends, a piece has no more bars than it may and one.
	l = barsOf(make([]int, MaxBars-1)...)
	l.extend(soundsOf([]tune.Ticks{0, 1000}))
	if len(l.bars) != MaxBars+1 || len(l.starts) != MaxBars+2 {
		t.Errorf("%d bars, %d starts", len(l.bars), len(l.starts))
	}
}

// TestMovedListed: which notes are said to be moved, of which an end alone was settled, and which stand.
func TestMovedListed(t *testing.T) {
	for name, c := range map[string]struct {
		heard strike
		at    tune.Ticks
		end   tune.Ticks
		grid  tune.Ticks
		want  string
	}{
		"as it was":       {strike{200, 240, 60, 1, nil}, 200, 240, 12, "0 []"},
		"its end alone":   {strike{200, 240, 60, 1, nil}, 200, 252, 12, "1 []"},
		"its end, moved":  {strike{200, 240, 60, 1, nil}, 200, 252, 0, "0 [2 at 25/24 by 0 ends 1/16]"},
		"its onset":       {strike{200, 240, 60, 1, nil}, 192, 240, 12, "0 [2 at 25/24 by -1/24 ends 0]"},
		"into the bar":    {strike{190, 240, 60, 1, nil}, 192, 240, 12, "0 [1 at 95/96 by 1/96 ends 0]"},
		"both, and later": {strike{200, 240, 60, 1, nil}, 204, 228, 12, "0 [2 at 25/24 by 1/48 ends -1/16]"},
	} {
		im := &importer{f: &File{}, out: &Import{}, layout: *barsOf(192, 192)}
		im.listMoved(&placing{layout: &im.layout, heard: heardOf(c.heard), sounds: []sound{{at: c.at * tick, end: c.end * tick}}, gridOfEnds: c.grid * tick})
		var moved []string
		for _, m := range im.out.Moved {
			moved = append(moved, fmt.Sprintf("%d at %s by %s ends %s", m.BarNumber, m.At, m.By, m.Ends))
		}
		if got := fmt.Sprint(im.out.Ended, moved); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
	// A time that no tick of a tune is at can't stand.
	im := &importer{f: &File{}, out: &Import{}, layout: *barsOf(192)}
	odd := pitch.NewFraction(1, 19)
	im.listMoved(&placing{layout: &im.layout, heard: []heardSound{{[]Heard{{At: odd, Len: odd}}}}, sounds: []sound{{end: 12 * tick}}, gridOfEnds: 1})
	if im.out.Ended != 0 || len(im.out.Moved) != 1 {
		t.Errorf("at 1/19: %d ends, moved %v", im.out.Ended, im.out.Moved)
	}
}
