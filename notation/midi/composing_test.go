package midi

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// lasting makes sounds of onset, end and key, in 192nds.
func lasting(from ...[3]int) []sound {
	var out []sound
	for _, n := range from {
		out = append(out, sound{at: tune.Ticks(n[0]) * tick, end: tune.Ticks(n[1]) * tick, parts: []soundPitch{{at: tune.Ticks(n[0]) * tick, key: n[2]}}})
	}
	return out
}

// TestVoicesShared: sounds that begin, move and end together are a chord; what overlaps goes to a
// voice of its own, up to eight; then what would end first makes way, if it began before.
func TestVoicesShared(t *testing.T) {
	// eight of different ends from 100 on, the first of them beginning at a time
	eight := func(first int) [][3]int {
		out := [][3]int{}
		for i := range 8 {
			at := 0
			if i == 0 {
				at = first
			}
			out = append(out, [3]int{at, 100 + i, 80 - i})
		}
		return out
	}
	then := func(list [][3]int, more ...[3]int) []sound { return lasting(append(list, more...)...) }
	// late is the same with the one that ends first at its end, for sounds stand in order of time
	late := func(first int, more ...[3]int) []sound {
		e := eight(first)
		return lasting(append(append(e[1:], e[0]), more...)...)
	}
	for name, c := range map[string]struct {
		in          []sound
		want, wants string
	}{
		"a chord":           {lasting([3]int{0, 48, 67}, [3]int{0, 48, 64}, [3]int{0, 48, 60}), "0-48=60+64+67", ""},
		"of two lengths":    {lasting([3]int{0, 48, 67}, [3]int{0, 24, 64}), "0-48=67 / 0-24=64", ""},
		"two of three":      {lasting([3]int{0, 48, 67}, [3]int{0, 24, 64}, [3]int{0, 48, 60}), "0-48=60+67 / 0-24=64", ""},
		"of two onsets":     {lasting([3]int{0, 48, 67}, [3]int{24, 48, 64}), "0-48=67 / 24-48=64", ""},
		"one after another": {lasting([3]int{0, 48, 67}, [3]int{48, 96, 64}), "0-48=67 48-96=64", ""},
		"the first free":    {lasting([3]int{0, 48, 67}, [3]int{24, 96, 64}, [3]int{48, 60, 62}), "0-48=67 48-60=62 / 24-96=64", ""},
		"eight":             {then(eight(0)), "0-100=80 / 0-101=79 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73", ""},
		"nine at once":      {then(eight(0), [3]int{0, 110, 60}), "0-100=80 / 0-101=79 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73", "bar 1: more than 8 lines sound at once; a note with key number 60 is left out"},
		"nine in turn":      {then(eight(0), [3]int{100, 110, 60}), "0-100=80 100-110=60 / 0-101=79 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73", ""},
		"the ninth later":   {then(eight(0), [3]int{99, 110, 60}), "0-99=80 99-110=60 / 0-101=79 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73", "the note with key number 80 is ended early"},
		"not one as new":    {late(50, [3]int{50, 110, 60}), "0-50=79 50-110=60 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73 / 50-100=80", "the note with key number 79 is ended early"},
		"one a little new":  {late(49, [3]int{50, 110, 60}), "0-101=79 / 0-102=78 / 0-103=77 / 0-104=76 / 0-105=75 / 0-106=74 / 0-107=73 / 49-50=80 50-110=60", "the note with key number 80 is ended early"},
	} {
		im := &Import{}
		k := &composer{barsOf(192), &File{Name: "x.mid"}, im, c.in}
		var voices []string
		for _, v := range k.voices(k.units(map[tune.Ticks]string{})) {
			var line []string
			for _, u := range v {
				var keys []string
				for _, s := range u.sounds {
					keys = append(keys, fmt.Sprint(s.parts[0].key))
				}
				line = append(line, fmt.Sprintf("%d-%d=%s", u.at/tick, u.end/tick, strings.Join(keys, "+")))
			}
			voices = append(voices, strings.Join(line, " "))
		}
		if got := strings.Join(voices, " / "); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", name, got, c.want)
		}
		if got := fmt.Sprint([]any{im.Warnings}); (c.wants == "") != (len(im.Warnings) == 0) || !strings.Contains(got, c.wants) {
			t.Errorf("%s: told %s", name, got)
		}
	}
}

// TestChordsThatGlide: notes that move together and don't cross stay a chord.
func TestChordsThatGlide(t *testing.T) {
	glide := func(key int, moves ...rest) sound {
		s := lasting([3]int{0, 96, key})[0]
		for _, m := range moves {
			s.parts = append(s.parts, soundPitch{at: tune.Ticks(m.at) * tick, key: m.key})
		}
		return s
	}
	for name, c := range map[string]struct {
		high, low sound
		want      bool
	}{
		"together":        {glide(67, rest{48, 69}), glide(64, rest{48, 66}), true},
		"to one pitch":    {glide(67, rest{48, 66}), glide(64, rest{48, 66}), true},
		"across":          {glide(67, rest{48, 65}), glide(64, rest{48, 66}), false},
		"one alone":       {glide(67, rest{48, 69}), glide(64), false},
		"at two times":    {glide(67, rest{48, 69}), glide(64, rest{60, 66}), false},
		"in unison":       {glide(64), glide(64), true},
		"a higher below":  {glide(64), glide(65), false},
		"one moves twice": {glide(67, rest{48, 69}), glide(64, rest{48, 66}, rest{60, 67}), false},
	} {
		u := unit{end: c.high.end, sounds: []sound{c.high}}
		if got := u.takes(c.low); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
	full := unit{end: 96 * tick, sounds: make([]sound, tune.MaxNotes)}
	full.sounds[0] = glide(67)
	if full.takes(glide(60)) {
		t.Errorf("a chord of %d notes takes one more", tune.MaxNotes)
	}
	if full.sounds = full.sounds[:tune.MaxNotes-1]; !full.takes(glide(60)) {
		t.Errorf("a chord of %d notes takes no more", tune.MaxNotes-1)
	}
	for at, want := range map[tune.Ticks]int{47: 1, 48: 1, 49: 2} {
		u := unit{sounds: []sound{glide(67, rest{48, 69})}}
		if u.cut(at * tick); len(u.sounds[0].parts) != want || u.end != at*tick {
			t.Errorf("cut at %d it has %d pitches, want %d", at, len(u.sounds[0].parts), want)
		}
	}
}

// TestTemposAndMarkers: where in the bars tempos and words come, those of every track. At 96
// ticks a quarter a bar has 384; 600,000 microseconds a quarter are 100 a minute.
func TestTemposAndMarkers(t *testing.T) {
	tempo := func(delta string, us int) string {
		return delta + "\xff\x51\x03" + string([]byte{byte(us >> 16), byte(us >> 8), byte(us)})
	}
	word := func(delta, s string) string { return delta + "\xff\x06" + string([]byte{byte(len(s))}) + s }
	whole, half, all := "\x83\x00", "\x81\x40", "\x86\x00" // 384, 192 and 768 ticks
	for name, c := range map[string]struct{ first, second, want string }{
		"none":              {"", "", "|"},
		"at the beginning":  {tempo("\x00", 600_000), "", "100000 at 0|"},
		"on beat three":     {tempo(half, 600_000), "", "100000 at 1/2|"},
		"in bar 2":          {tempo(whole, 600_000), "", "|100000 at 0"},
		"rounded up":        {tempo("\x00", 900_000), "", "66667 at 0|"},
		"rounded down":      {tempo("\x00", 700_000), "", "85714 at 0|"},
		"the last of two":   {tempo("\x00", 600_000) + tempo("\x00", 500_000), "", "120000 at 0|"},
		"two after another": {tempo("\x00", 600_000) + tempo(half, 500_000), "", "100000 at 0,120000 at 1/2|"},
		"a bar later":       {tempo("\x00", 600_000) + tempo(whole, 500_000), "", "100000 at 0|120000 at 0"},
		"at the end":        {tempo(all, 600_000), "", "|"},
		"of another track":  {"", tempo(whole, 600_000), "|100000 at 0"},
		"the slowest":       {tempo("\x00", 0xFFFFFF), "", "3576 at 0|"},
		"the fastest":       {tempo("\x00", 6_000), "", "10000000 at 0|"},
		"faster":            {tempo("\x00", 5_999), "", "|; told"},
		"a letter":          {word("\x00", "A"), "", "part A|"},
		"a letter of two":   {word("\x00", "Ä"), "", "part Ä|"},
		"two letters":       {word("\x00", "AB"), "", "AB at 0|"},
		"a second letter":   {word("\x00", "A") + word("\x00", "B"), "", "part A,B at 0|"},
		"a letter within":   {word(half, "A"), "", "A at 1/2|"},
		"a letter of bar 2": {word(whole, "B"), "", "|part B"},
		"words at the end":  {word(all, "Fine"), "", "|"},
		"nothing said":      {word("\x00", ""), "", "|"},
		"in order of time":  {word(half, "later"), word("\x00", "sooner"), "sooner at 0,later at 1/2|"},
	} {
		notes := "\x00\x90\x3c\x40\x83\x00\x80\x3c\x40\x00\x90\x3e\x40\x83\x00\x80\x3e\x40" + endTrack
		f, err := Read(smf(1, 96, "\x00\xff\x58\x04\x04\x02\x18\x08\x00\xff\x59\x02\x00\x00"+c.first+endTrack, c.second+endTrack, notes), "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		im, err := f.Tune(Options{})
		if err != nil {
			t.Fatal(err)
		}
		var bars []string
		for _, b := range im.Tune.Bars {
			var said []string
			for _, x := range b.Tempos {
				said = append(said, fmt.Sprintf("%d at %s", x.PerMinute, x.At))
			}
			if b.Part != "" {
				said = append(said, "part "+b.Part)
			}
			for _, x := range b.Texts {
				said = append(said, fmt.Sprintf("%s at %s", x.Text, x.At))
			}
			bars = append(bars, strings.Join(said, ","))
		}
		got := strings.Join(bars, "|")
		if len(im.Warnings) > 0 {
			got += "; told"
		}
		if got != c.want {
			t.Errorf("%s: %s, want %s; %v", name, got, c.want, im.Warnings)
		}
	}
}

// TestRests: on which pitches a note rests that is bent while it sounds, and where a scoop began.
// Below 0.6 of a semitone a movement is none; a movement stops where it pauses for more than two
// and a half times the spacing of its bends, and one that sets in with the note leads into it.
func TestRests(t *testing.T) {
	for name, c := range map[string]struct {
		bend  float64
		bends []Bend
		want  string
	}{
		"none":                 {0, nil, "0:0"},
		"bent before":          {1, nil, "0:1"},
		"a jump":               {0, []Bend{{48, 2}}, "0:0 48:2"},
		"a small one":          {0, []Bend{{48, 0.59}}, "0:0"},
		"a jump of 0.6":        {0, []Bend{{48, 0.6}}, "0:0 48:0.6"},
		"a glide":              {0, []Bend{{40, 1}, {44, 1.5}, {48, 2}}, "0:0 48:2"},
		"the same again":       {0, []Bend{{40, 1}, {42, 1}, {44, 2}, {90, 2}}, "0:0 44:2"},
		"two glides":           {0, []Bend{{40, 1}, {44, 2}, {80, 3}, {84, 4}}, "0:0 44:2 84:4"},
		"a short pause":        {0, []Bend{{40, 1}, {44, 2}, {54, 3}, {58, 4}}, "0:0 58:4"},
		"a pause":              {0, []Bend{{40, 1}, {44, 2}, {55, 3}, {59, 4}}, "0:0 44:2 59:4"},
		"there and back":       {0, []Bend{{40, 1}, {44, 2}, {60, 1}, {64, 0}}, "0:0 44:2 64:0"},
		"a dip on the way":     {0, []Bend{{40, 2}, {50, 1.6}, {60, 2}, {80, 4}}, "0:0 40:2 80:4"},
		"vibrato":              {0, []Bend{{40, 0.3}, {44, -0.25}, {48, 0.25}, {52, 0}}, "0:0"},
		"vibrato, then a jump": {0, []Bend{{40, 0.2}, {44, -0.2}, {48, 0.2}, {60, 2}}, "0:0 60:2"},
		"a scoop":              {-2, []Bend{{2, -1}, {4, -0.5}, {6, 0}}, "0:0 scoop -2"},
		"a slow beginning":     {-2, []Bend{{4, -1}, {6, -0.5}, {8, 0}}, "0:0 scoop -2"},
		"a late beginning":     {-2, []Bend{{5, -1}, {7, -0.5}, {9, 0}}, "0:-2 9:0"},
		"an early beginning":   {-2, []Bend{{1, -1.5}, {5, -1}, {9, -0.5}, {13, 0}}, "0:0 scoop -2"},
		"a step, then a glide": {-2, []Bend{{1, -1}, {40, 0}, {44, 1}, {48, 2}}, "0:-1 48:2 scoop -1"},
		"a step, then another": {-2, []Bend{{1, -1}, {40, 0}}, "0:-1 40:0 scoop -1"},
		"one bend is no scoop": {-2, []Bend{{2, 0}}, "0:-2 2:0"},
		"a scoop and a glide":  {-2, []Bend{{2, -1}, {4, 0}, {60, 1}, {64, 2}}, "0:0 64:2 scoop -2"},
		"a small scoop":        {-0.5, []Bend{{2, -0.2}, {4, 0}}, "0:-0.5"},
		"just before the end":  {0, []Bend{{95, 2}}, "0:0 95:2"},
		"at the end":           {0, []Bend{{96, 2}}, "0:0"},
	} {
		n := &Note{Len: 96, Key: 60, Bend: c.bend, Bends: c.bends}
		out, scoop := n.rests(100)
		var got []string
		for _, r := range out {
			got = append(got, fmt.Sprintf("%d:%g", r.At, r.Semitones))
		}
		if scoop != 0 {
			got = append(got, fmt.Sprintf("scoop %g", scoop))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
	// No more are counted than are asked for, and one to tell that there are more.
	var many []Bend
	for i := range 40 {
		many = append(many, Bend{int64(2 * i), float64(2 - 4*(i%2))})
	}
	n := &Note{Len: 96, Key: 60, Bends: many}
	for most, want := range map[int]int{0: 1, 5: 6, 100: 40} {
		if out, _ := n.rests(most); len(out) != want {
			t.Errorf("asked for %d: %d, want %d", most, len(out), want)
		}
	}
}

// TestWholes: ticks that are parts of SMPTE frames, by hand: at 120 quarters a minute a whole note
// takes 2 s, at 60 it takes 4. Drop frame runs at 30000/1001 frames a second.
func TestWholes(t *testing.T) {
	tempo := func(us int64) Track { return Track{Tempos: []Tempo{{0, us}, {10, 1}}} }
	for _, c := range []struct {
		frames, ticks int
		tracks        []Track
		in            int64
		want          string
	}{
		{24, 10, []Track{{}, {}}, 480, "1"},
		{24, 10, []Track{tempo(1_000_000), {}}, 480, "1/2"},
		{24, 10, []Track{tempo(500_000), tempo(1_000_000)}, 480, "1/2"},
		{25, 40, []Track{{}, {}}, 250, "1/8"},
		{30, 10, []Track{{}, {}}, 300, "1/2"},
		{29, 10, []Track{{}, {}}, 300, "1001/2000"},
		{30, 10, []Track{{}, {}}, 0, "0"},
	} {
		f := &File{Division: Division{Frames: c.frames, TicksPerFrame: c.ticks}, Tracks: c.tracks}
		if got := f.Wholes(1, c.in); got.String() != c.want {
			t.Errorf("%d ticks at %d by %d: %s, want %s", c.in, c.frames, c.ticks, got, c.want)
		}
	}
	f := &File{Division: Division{PPQ: 96}}
	if got := f.Wholes(0, 96); got != (pitch.Fraction{Num: 1, Den: 4}) {
		t.Errorf("96 of 96 ticks a quarter are %s of a whole note", got)
	}
}
