package midi

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/tune"
)

// Times in the tables below are counted in 192nds of a whole note: a quarter has
// 48 of them, a sixteenth 12, an eighth of a triplet 16, a sixteenth of one 8.
const tick = tune.Whole / 192

// barsOf lays out 4/4 bars of the given lengths in 192nds.
func barsOf(lengths ...int) *layout {
	l := &layout{starts: []tune.Ticks{0}}
	for i, n := range lengths {
		b := tune.Bar{Number: i + 1, Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Ticks(n) * tick}
		l.bars, l.starts = append(l.bars, b), append(l.starts, l.starts[i]+b.Len)
	}
	return l
}

// strike is a note that was heard, in 192nds, with the pitches that it comes to.
type strike struct {
	at, end, key, channel int
	moves                 []rest
}

type rest struct{ at, key int }

func heardOf(strikes ...strike) []heardSound {
	frac := func(n int) pitch.Fraction { return pitch.NewFraction(int64(n), 192) }
	var out []heardSound
	for _, s := range strikes {
		at, key := s.at, s.key
		var parts []Heard
		for _, m := range append(slices.Clone(s.moves), rest{at: s.end}) {
			parts = append(parts, Heard{At: frac(at), Len: frac(m.at - at), Key: key, Channel: s.channel})
			at, key = m.at, m.key
		}
		out = append(out, heardSound{parts})
	}
	return out
}

// told writes sounds in 192nds: onset+end=keys.
func told(sounds []sound) string {
	var out []string
	for i := range sounds {
		s := &sounds[i]
		text := fmt.Sprintf("%d-%d=", s.at/tick, s.end/tick)
		for j, p := range s.parts {
			if j > 0 {
				text += fmt.Sprintf(",%d:", p.at/tick)
			}
			text += fmt.Sprint(p.key)
		}
		out = append(out, text)
	}
	return strings.Join(out, " ")
}

// TestNearest: of two times as far away the earlier is taken; what is not after the
// bound is none.
func TestNearest(t *testing.T) {
	times := []tune.Ticks{0, 10, 20, 30}
	for _, c := range []struct {
		times          []tune.Ticks
		t, after, want tune.Ticks
		ok             bool
	}{
		{times, 12, -1, 10, true},
		{times, 18, -1, 20, true},
		{times, 15, -1, 10, true},
		{times, 20, -1, 20, true},
		{times, 1, -1, 0, true},
		{times, -5, -9, 0, true},
		{times, 35, 0, 30, true},
		{times, 12, 10, 20, true},
		{times, 12, 9, 10, true},
		{times, 20, 20, 30, true},
		{times, 12, 20, 30, true},
		{times, 5, 19, 20, true},
		{times, 35, 30, 0, false},
		{times, 0, 30, 0, false},
		{nil, 5, 0, 0, false},
	} {
		if got, ok := nearest(c.times, c.t, c.after); got != c.want || ok != c.ok {
			t.Errorf("nearest to %d after %d of %d: %d %v, want %d %v", c.t, c.after, c.times, got, ok, c.want, c.ok)
		}
	}
}

// TestSnap: the nearer multiple of the two, that of the first when they are as near;
// half a unit goes up.
func TestSnap(t *testing.T) {
	for in, want := range map[tune.Ticks]tune.Ticks{
		0: 0, 3: 0, 4: 0, 5: 8, 6: 8, 8: 8, 9: 8, 10: 12, 11: 12, 12: 12, 13: 12, 14: 12, 15: 16, 17: 16, 18: 16, 19: 16, 20: 24, 22: 24, 24: 24,
	} {
		if got := snap(in, 12, 8); got != want {
			t.Errorf("%d goes to %d, want %d", in, got, want)
		}
	}
	if got := snap(6, 12, 12); got != 12 {
		t.Errorf("half a unit goes to %d, want 12", got)
	}
}

// TestTakenAsWritten: 3072 parts of a whole note are the finest that are left alone;
// what is finer, or in a bar that no note values write, goes to a 1/64 or a triplet
// of it (docs/formats/midi.md).
func TestTakenAsWritten(t *testing.T) {
	for _, c := range []struct {
		num, den int64
		rough    bool
		want     tune.Ticks
	}{
		{1, 3072, false, tune.Whole / 3072},
		{1, 9216, false, 0},
		{5, 4096, false, 0},
		{100, 4096, false, tune.Whole * 25 / 1024},
		{5, 1024, true, 0},
		{11, 1024, true, tune.Whole / 96},
		{15, 1024, true, tune.Whole / 64},
	} {
		p := &placing{layout: barsOf(192), heard: []heardSound{{[]Heard{{At: pitch.NewFraction(c.num, c.den), Len: pitch.NewFraction(1, 2), Key: 60}}}}}
		p.asWritten(map[int]bool{0: c.rough})
		if got := p.sounds[0].at; got != c.want {
			t.Errorf("%d/%d, rough %v: at %s, want %s", c.num, c.den, c.rough, got, c.want)
		}
	}
}

// TestPlace: what becomes of one key of one channel struck twice, of a note of no
// length and of the pitches that a note comes to.
func TestPlace(t *testing.T) {
	glide := func(at, end int, moves ...rest) strike { return strike{at, end, 60, 1, moves} }
	sixteenths := func(f pitch.Fraction) tune.Ticks { return (near(f) + 6*tick) / (12 * tick) * 12 * tick }
	quarters := func(f pitch.Fraction) tune.Ticks { return near(f) / (48 * tick) * 48 * tick }
	for name, c := range map[string]struct {
		in   []strike
		to   func(pitch.Fraction) tune.Ticks
		want string
	}{
		"from the top down":      {[]strike{{48, 96, 60, 1, nil}, {0, 48, 60, 1, nil}, {0, 48, 64, 1, nil}}, near, "0-48=64 0-48=60 48-96=60"},
		"twice at once":          {[]strike{{0, 24, 60, 1, nil}, {0, 48, 60, 1, nil}}, near, "0-48=60"},
		"twice, longer first":    {[]strike{{0, 48, 60, 1, nil}, {0, 24, 60, 1, nil}}, near, "0-48=60"},
		"again before it ends":   {[]strike{{0, 48, 60, 1, nil}, {24, 72, 60, 1, nil}}, near, "0-24=60 24-72=60"},
		"again as it ends":       {[]strike{{0, 48, 60, 1, nil}, {48, 72, 60, 1, nil}}, near, "0-48=60 48-72=60"},
		"again later":            {[]strike{{0, 48, 60, 1, nil}, {60, 72, 60, 1, nil}}, near, "0-48=60 60-72=60"},
		"a unison":               {[]strike{{0, 48, 60, 1, nil}, {0, 48, 60, 2, nil}}, near, "0-48=60 0-48=60"},
		"another key":            {[]strike{{0, 48, 60, 1, nil}, {24, 72, 61, 1, nil}}, near, "0-48=60 24-72=61"},
		"twice, then again":      {[]strike{{0, 48, 60, 1, nil}, {0, 30, 60, 1, nil}, {24, 72, 60, 1, nil}}, near, "0-24=60 24-72=60"},
		"under a glide":          {[]strike{glide(0, 48, rest{24, 62}), {36, 60, 60, 1, nil}}, near, "0-48=60,24:62 36-60=60"},
		"a glide":                {[]strike{glide(0, 48, rest{24, 62}, rest{36, 64})}, near, "0-48=60,24:62,36:64"},
		"to one place":           {[]strike{glide(0, 48, rest{22, 62}, rest{26, 64})}, sixteenths, "0-48=60,24:62"},
		"to its beginning":       {[]strike{glide(0, 48, rest{4, 62}, rest{24, 64})}, sixteenths, "0-48=60,24:64"},
		"to its end":             {[]strike{glide(0, 48, rest{45, 62})}, sixteenths, "0-48=60"},
		"to its own pitch":       {[]strike{glide(0, 48, rest{24, 60}, rest{36, 62})}, near, "0-48=60,36:62"},
		"no length":              {[]strike{glide(24, 24)}, near, "24-30=60"},
		"no length, sixteenths":  {[]strike{glide(24, 25)}, sixteenths, "24-36=60"},
		"no length, by quarters": {[]strike{glide(60, 61)}, quarters, "48-51=60"},
	} {
		p := &placing{layout: barsOf(192), heard: heardOf(c.in...)}
		p.place(c.to)
		if got := told(p.sounds); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
	// What is cut was played until it was cut, and of two at once until the later end.
	for want, in := range map[int][]strike{24: {{0, 48, 60, 1, nil}, {24, 72, 60, 1, nil}}, 48: {{0, 48, 60, 1, nil}, {0, 24, 60, 1, nil}}} {
		p := &placing{layout: barsOf(192), heard: heardOf(in...)}
		p.place(near)
		if got := p.sounds[0].played; got != tune.Ticks(want)*tick {
			t.Errorf("%v: played until %d, want %d", in, got/tick, want)
		}
	}
	// A scoop is in whole semitones, twelve at most as the notation has it.
	for scoop, want := range map[float64]int{0.4: 0, -0.6: -1, 1.5: 2, 40: tune.MaxScoop, -40: -tune.MaxScoop} {
		p := &placing{layout: barsOf(192), heard: heardOf(glide(0, 48))}
		p.heard[0].parts[0].Scoop = scoop
		if p.place(near); p.sounds[0].parts[0].scoop != want {
			t.Errorf("a scoop of %g is placed as %d, want %d", scoop, p.sounds[0].parts[0].scoop, want)
		}
	}
}

// TestQuantisedBeats: every beat is straight or a triplet as a whole, by the sums of
// the squares of what its onsets lie off either; straight until the triplet's is
// under half. Worked out by hand: of sixteenths (12) and their triplets (8), 16 lies
// 4 and 0 off, each of 10, 14, 34 and 38 lies 2 off both.
func TestQuantisedBeats(t *testing.T) {
	for _, c := range []struct {
		grid    int
		lengths []int
		in      []int
		want    string
	}{
		{16, []int{192}, []int{16}, "[16]"},
		{16, []int{192}, []int{14}, "[12]"},
		{16, []int{192}, []int{10, 14, 16, 34, 38}, "[12 12 12 36 36]"},
		{16, []int{192}, []int{10, 14, 16, 32, 34}, "[8 16 16 32 32]"},
		{16, []int{192}, []int{6, 12}, "[12 12]"},
		{16, []int{192}, []int{5, 12}, "[0 12]"},
		{16, []int{192}, []int{16, 60}, "[16 60]"},        // the next beat is straight
		{16, []int{192}, []int{12, 64}, "[12 64]"},        // and here in triplets
		{16, []int{60, 192}, []int{12, 76}, "[12 76]"},    // beats begin with the bar
		{8, []int{192}, []int{16, 32}, "[16 32]"},         // eighths: triplets of a quarter
		{8, []int{192}, []int{24, 62}, "[24 64]"},         // 62 lies 2 off a triplet
		{4, []int{192}, []int{0, 32, 64}, "[0 32 64]"},    // quarters: triplets of a half
		{4, []int{192}, []int{0, 48, 96}, "[0 48 96]"},    // straight ones
		{4, []int{192}, []int{96, 130}, "[96 128]"},       // in the second half
		{64, []int{192}, []int{2, 3, 47}, "[3 3 48]"},     // 3 a unit, 2 of a triplet
		{32, []int{192}, []int{4, 8, 44}, "[4 8 44]"},     // 6 a unit, 4 of a triplet
		{32, []int{192}, []int{6, 18, 42}, "[6 18 42]"},   // 6 a unit
		{16, []int{192}, []int{1, 47, 49}, "[0 48 48]"},   // early and late
		{16, []int{192}, []int{3, 19, 33}, "[0 16 32]"},   // a triplet, loosely
		{16, []int{192}, []int{13, 25, 35}, "[12 24 36]"}, // sixteenths, loosely
	} {
		var in []strike
		for i, at := range c.in {
			in = append(in, strike{at, 96 + at, 60 + i, 1, nil})
		}
		p := &placing{layout: barsOf(c.lengths...), heard: heardOf(in...)}
		p.quantise(c.grid)
		var got []tune.Ticks
		for i := range p.sounds {
			got = append(got, p.sounds[i].at/tick)
		}
		if fmt.Sprintf("%d", got) != c.want {
			t.Errorf("grid %d, bars %d: %d goes to %d, want %s", c.grid, c.lengths, c.in, got, c.want)
		}
	}
}

// soundsOf makes sounds of onset, end and the onsets of the pitches it moves to.
func soundsOf(from ...[]tune.Ticks) []sound {
	var out []sound
	for _, n := range from {
		s := sound{at: n[0] * tick, end: n[1] * tick, played: n[1] * tick, parts: []soundPitch{{at: n[0] * tick, key: 60}}}
		for i, at := range n[2:] {
			s.parts = append(s.parts, soundPitch{at: at * tick, key: 61 + i})
		}
		out = append(out, s)
	}
	return out
}

// TestSeparate: an overlap of a grid unit is legato, one of more is meant; a chord's
// notes are none with each other.
func TestSeparate(t *testing.T) {
	for name, c := range map[string]struct {
		in   [][]tune.Ticks
		want string
	}{
		"a unit":          {[][]tune.Ticks{{0, 60}, {48, 96}}, "0-48=60 48-96=60"},
		"over a unit":     {[][]tune.Ticks{{0, 61}, {48, 96}}, "0-61=60 48-96=60"},
		"a gap":           {[][]tune.Ticks{{0, 40}, {48, 96}}, "0-40=60 48-96=60"},
		"a chord":         {[][]tune.Ticks{{0, 50}, {0, 61}, {0, 55}, {48, 96}}, "0-48=60 0-61=60 0-48=60 48-96=60"},
		"a chord, last":   {[][]tune.Ticks{{0, 8}, {0, 9}}, "0-8=60 0-9=60"},
		"a late pitch":    {[][]tune.Ticks{{0, 60, 24, 48}, {48, 96}}, "0-48=60,24:61 48-96=60"},
		"an early pitch":  {[][]tune.Ticks{{0, 60, 24, 47}, {48, 96}}, "0-48=60,24:61,47:62 48-96=60"},
		"past two onsets": {[][]tune.Ticks{{0, 56}, {48, 53}, {52, 96}}, "0-48=60 48-52=60 52-96=60"},
	} {
		p := &placing{layout: barsOf(192), sounds: soundsOf(c.in...)}
		p.separate(12 * tick)
		if got := told(p.sounds); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// TestEndsWritten: the ends of a file stand when of those under a sixteenth (12 of
// 192) from another onset half meet it.
func TestEndsWritten(t *testing.T) {
	for name, c := range map[string]struct {
		in   [][2]int
		want bool
	}{
		"half of four":      {[][2]int{{0, 48}, {48, 96}, {96, 135}, {144, 183}, {192, 240}}, true},
		"two of five":       {[][2]int{{0, 48}, {48, 96}, {96, 135}, {144, 183}, {192, 231}, {240, 288}}, false},
		"alone":             {[][2]int{{0, 48}}, false},
		"a sixteenth early": {[][2]int{{0, 36}, {48, 84}, {96, 144}, {144, 150}}, true},
		"nearly as early":   {[][2]int{{0, 37}, {48, 85}, {96, 144}, {144, 150}}, false},
		"a sixteenth late":  {[][2]int{{0, 60}, {48, 108}, {96, 144}, {144, 150}}, true},
		"nearly as late":    {[][2]int{{0, 59}, {48, 107}, {96, 144}, {144, 150}}, false},
		"no one meets":      {[][2]int{{0, 47}, {48, 97}, {96, 140}}, false},
	} {
		var in []strike
		for _, n := range c.in {
			in = append(in, strike{n[0], n[1], 60, 1, nil})
		}
		if got := endsWritten(heardOf(in...)); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// TestSettleEnds: to another onset, to a beat, to the grid, in that order
// (docs/formats/midi.md); sixteenths have 12, beats 48.
func TestSettleEnds(t *testing.T) {
	for name, c := range map[string]struct {
		lengths []int
		in      [][]tune.Ticks
		want    string
	}{
		"early":                  {[]int{192}, [][]tune.Ticks{{0, 37}, {48, 96}}, "48 96"},
		"a sixteenth early":      {[]int{192}, [][]tune.Ticks{{0, 36}, {48, 96}}, "36 96"},
		"late":                   {[]int{192}, [][]tune.Ticks{{0, 59}, {48, 96}}, "48 96"},
		"a sixteenth late":       {[]int{192}, [][]tune.Ticks{{0, 60}, {48, 96}}, "60 96"},
		"before the beat":        {[]int{192}, [][]tune.Ticks{{0, 85}}, "96"},
		"well before":            {[]int{192}, [][]tune.Ticks{{0, 84}}, "84"},
		"after the beat":         {[]int{192}, [][]tune.Ticks{{0, 107}}, "96"},
		"well after":             {[]int{192}, [][]tune.Ticks{{0, 108}}, "108"},
		"short, on the beat":     {[]int{192}, [][]tune.Ticks{{48, 56}}, "60"},
		"very short":             {[]int{192}, [][]tune.Ticks{{48, 50}}, "60"},
		"very short off it":      {[]int{192}, [][]tune.Ticks{{60, 62}}, "72"},
		"half a unit over":       {[]int{192}, [][]tune.Ticks{{48, 66}}, "72"},
		"under half a unit over": {[]int{192}, [][]tune.Ticks{{48, 65}}, "60"},
		"in a triplet":           {[]int{192}, [][]tune.Ticks{{0, 34}, {16, 30}}, "32 32"},
		"out of a triplet":       {[]int{192}, [][]tune.Ticks{{32, 60}}, "64"},
		"next to a triplet":      {[]int{192}, [][]tune.Ticks{{16, 30}, {48, 70}}, "32 72"},
		"over a triplet":         {[]int{192}, [][]tune.Ticks{{0, 112}, {112, 126}}, "112 128"},
		"short in a triplet":     {[]int{192}, [][]tune.Ticks{{16, 18}}, "24"},
		"a bar after a pickup":   {[]int{60, 192}, [][]tune.Ticks{{60, 64}, {76, 90}}, "68 92"},
		"the end of a short bar": {[]int{80, 192}, [][]tune.Ticks{{0, 75}}, "80"},
		"over the barline":       {[]int{60, 192}, [][]tune.Ticks{{58, 61}}, "60"},
		"lengthened as usual":    {[]int{192}, [][]tune.Ticks{{0, 40}, {48, 88}, {96, 136}, {144, 164}}, "48 96 144 168"},
		"two are not usual":      {[]int{192}, [][]tune.Ticks{{0, 40}, {48, 88}, {96, 117}}, "48 96 120"},
	} {
		p := &placing{layout: barsOf(c.lengths...), sounds: soundsOf(c.in...)}
		p.settleEnds(12 * tick)
		var got []string
		for i := range p.sounds {
			got = append(got, fmt.Sprint(int64(p.sounds[i].end/tick)))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: ends at %s, want %s", name, g, c.want)
		}
	}
}

// TestFull: the middle one of how much longer notes would be that end near another
// onset, of three at least, between three quarters and five.
func TestFull(t *testing.T) {
	for name, c := range map[string]struct {
		in   [][]tune.Ticks
		want float64
	}{
		"two":              {[][]tune.Ticks{{0, 40}, {48, 88}, {96, 110}}, 1},
		"three":            {[][]tune.Ticks{{0, 46}, {48, 92}, {96, 136}, {144, 180}}, 48. / 44},
		"four, the third":  {[][]tune.Ticks{{0, 46}, {48, 92}, {96, 136}, {144, 182}, {192, 210}}, 48. / 40},
		"very early":       {[][]tune.Ticks{{0, 37}, {48, 85}, {96, 133}, {144, 180}}, 1.25},
		"very late":        {[][]tune.Ticks{{0, 35}, {24, 59}, {48, 83}, {72, 160}}, 0.75},
		"one of no length": {[][]tune.Ticks{{0, 46}, {48, 92}, {96, 136}, {144, 144}, {150, 180}}, 48. / 44},
		"one far off":      {[][]tune.Ticks{{0, 36}, {48, 84}, {96, 136}, {144, 180}}, 1},
	} {
		p := &placing{layout: barsOf(192, 192), sounds: soundsOf(c.in...)}
		var onsets []tune.Ticks
		for i := range p.sounds {
			onsets = append(onsets, p.sounds[i].at)
		}
		if got := p.full(onsets); got < c.want-1e-9 || got > c.want+1e-9 {
			t.Errorf("%s: %.4f, want %.4f", name, got, c.want)
		}
	}
}

// TestEndAt: a sound that ends comes to no more pitches, and keeps its first.
func TestEndAt(t *testing.T) {
	for at, want := range map[tune.Ticks]int{0: 1, 10: 1, 11: 2, 20: 2, 21: 3, 40: 3} {
		s := soundsOf([]tune.Ticks{0, 48, 10, 20})[0]
		if s.endAt(at * tick); len(s.parts) != want || s.end != at*tick {
			t.Errorf("ended at %d: %d pitches until %d, want %d", at, len(s.parts), s.end/tick, want)
		}
	}
	for d, want := range map[tune.Ticks]bool{0: true, 11: true, -11: true, 12: false, -12: false} {
		if got := isNear((50+d)*tick, 50*tick); got != want {
			t.Errorf("%d of 192 apart: near %v", d, got)
		}
	}
}

// TestBarsExtended: bars are added until the last sound fits, as long as the meter
// says, and those after it go; a short last bar makes up for a pickup.
func TestBarsExtended(t *testing.T) {
	for _, c := range []struct {
		lengths []int
		end     tune.Ticks
		want    string
	}{
		{[]int{192}, 192, "[192]"},
		{[]int{192}, 193, "[192 192]"},
		{[]int{192, 48}, 241, "[192 48 192]"},
		{[]int{192, 192}, 192, "[192]"},
		{[]int{192, 192}, 193, "[192 192]"},
		{[]int{192, 192, 192}, 10, "[192]"},
	} {
		l := barsOf(c.lengths...)
		sounds := soundsOf([]tune.Ticks{0, c.end})
		l.extend(sounds)
		l.trim(sounds)
		var got []tune.Ticks
		for i, b := range l.bars {
			if b.Number != i+1 || l.starts[i+1]-l.starts[i] != b.Len {
				t.Errorf("bar %d of %d: numbered %d, %d long", i+1, c.lengths, b.Number, b.Len/tick)
			}
			got = append(got, b.Len/tick)
		}
		if fmt.Sprintf("%d", got) != c.want || len(l.starts) != len(l.bars)+1 {
			t.Errorf("%d with a sound until %d: %d, want %s", c.lengths, c.end, got, c.want)
		}
	}
}
