package midi

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig/rigtest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// touched is one string played, in 192nds, on the open G rig: strings 1 and 2 are D4
// and B3, keys 62 and 59.
type touched struct {
	at, length, str int
	fret            float64
	attack          tab.Attack
	glide           bool
}

func tabOf(t *testing.T, touches ...touched) *tab.Tab {
	t.Helper()
	out := &tab.Tab{Tune: tunetest.Song(tunetest.Quarters(1, "D4", "E4", "F#4", "G4")), Rig: rigtest.Builtin(t, "reso-open-g")}
	for i, c := range touches {
		p := tab.Pluck{Ref: tune.Ref{Event: min(i, 3), Grace: -1}, String: c.str, Fret: c.fret, Attack: c.attack, Len: tune.Ticks(c.length) * tick, Glide: c.glide}
		out.Strokes = append(out.Strokes, tab.Stroke{At: tune.Ticks(c.at) * tick, Len: p.Len, Placement: at(c.fret), Plucks: []tab.Pluck{p}})
	}
	return out
}

// at lays the steel straight over three strings; fret 0 lifts it.
func at(fret float64) steel.Placement {
	if fret == 0 {
		return steel.Placement{}
	}
	return steel.Placement{Kind: steel.Straight, First: 1, Last: 3, FirstFret: fret, LastFret: fret}
}

// TestStrands follows strings by hand: what is held on or glided into goes on, a
// string sounds one note, and a note whose steel is taken away is over. A glide takes
// the last half of the note it leaves, at most an eighth (docs/formats/midi.md).
func TestStrands(t *testing.T) {
	for name, c := range map[string]struct {
		in   []touched
		want string
	}{
		"held on":                {[]touched{{0, 48, 1, 2, tab.Picked, false}, {48, 48, 1, 2, tab.Tied, false}}, "0-96=64"},
		"held on too late":       {[]touched{{0, 40, 1, 2, tab.Picked, false}, {48, 48, 1, 2, tab.Tied, false}}, "0-40=64 48-96=64"},
		"picked again":           {[]touched{{0, 48, 1, 2, tab.Picked, false}, {48, 48, 1, 2, tab.Picked, false}}, "0-48=64 48-96=64"},
		"glided":                 {[]touched{{0, 48, 1, 2, tab.Picked, true}, {48, 48, 1, 5, tab.Glided, false}}, "0-96=64,24-48:67"},
		"glided from a long one": {[]touched{{0, 96, 1, 2, tab.Picked, true}, {96, 48, 1, 5, tab.Glided, false}}, "0-144=64,72-96:67"},
		"glided twice":           {[]touched{{0, 48, 1, 2, tab.Picked, true}, {48, 24, 1, 5, tab.Glided, true}, {72, 24, 1, 2, tab.Glided, false}}, "0-96=64,24-48:67,60-72:64"},
		"glided to its pitch":    {[]touched{{0, 48, 1, 2, tab.Picked, true}, {48, 48, 1, 2, tab.Glided, false}}, "0-96=64"},
		"played while it rings":  {[]touched{{0, 96, 1, 2, tab.Picked, false}, {48, 48, 1, 5, tab.Picked, false}}, "0-48=64 48-96=67"},
		"under another string":   {[]touched{{0, 96, 1, 2, tab.Picked, false}, {48, 48, 2, 2, tab.Picked, false}}, "0-96=64 48-96=61"},
		"the steel is taken":     {[]touched{{0, 96, 1, 2, tab.Picked, false}, {48, 48, 2, 5, tab.Picked, false}}, "0-48=64 48-96=64"},
		"the steel is laid":      {[]touched{{0, 96, 1, 0, tab.Picked, false}, {48, 48, 2, 5, tab.Picked, false}}, "0-48=62 48-96=64"},
		"tied while it rings":    {[]touched{{0, 96, 1, 2, tab.Picked, false}, {48, 48, 1, 2, tab.Tied, false}}, "0-48=64 48-96=64"},
		"the last string":        {[]touched{{0, 48, 6, 0, tab.Picked, false}}, "0-48=43"},
		"too far up":             {[]touched{{0, 48, 1, 1, tab.Picked, true}, {48, 48, 1, 49, tab.Glided, false}}, "0-48=63 48-96=111 1 told"},
		"as far as it goes":      {[]touched{{0, 48, 1, 1, tab.Picked, true}, {48, 48, 1, 48, tab.Glided, false}}, "0-96=63,24-48:110"},
	} {
		in := tabOf(t, c.in...)
		lines, losses, err := tabLines(in, tune.Perform(in.Tune))
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for i := range lines {
			l := &lines[i]
			text := fmt.Sprintf("%d-%d=%g", l.at/tick, l.end/tick, l.key)
			for _, m := range l.moves {
				text += fmt.Sprintf(",%d-%d:%g", m.from/tick, m.to/tick, m.key)
			}
			got = append(got, text)
		}
		if len(losses) > 0 {
			got = append(got, fmt.Sprintf("%d told", len(losses)))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
	// Hammered and pulled off are softer than picked.
	in := tabOf(t, touched{0, 48, 1, 2, tab.Picked, false}, touched{48, 48, 1, 4, tab.Hammered, false}, touched{96, 48, 1, 2, tab.PulledOff, false})
	in.Tune.Bars[0].Lines[0][0].Marks = []tune.Mark{tune.Accent}
	lines, _, err := tabLines(in, tune.Perform(in.Tune))
	if err != nil || len(lines) != 3 || lines[0].velocity != accentVelocity || lines[1].velocity != softVelocity || lines[2].velocity != softVelocity {
		t.Errorf("accented, hammered, pulled off: %+v %v", lines, err)
	}
	for _, s := range []int{0, len(in.Rig.Strings) + 1} {
		in.Strokes[0].Plucks[0].String = s
		if _, _, err := tabLines(in, tune.Perform(in.Tune)); err == nil {
			t.Errorf("string %d of %d is played", s, len(in.Rig.Strings))
		}
	}
	for _, b := range []int{-1, 1} {
		in.Strokes[0].BarIndex = b
		if _, _, err := tabLines(in, tune.Perform(in.Tune)); err == nil || err.Error() != fmt.Sprintf("stroke 1 is in bar %d of a tune of 1 bar", b+1) {
			t.Errorf("bar index %d of one bar: %v", b, err)
		}
	}
}

// TestComeToFromElsewhere: in a repeat, a bar's first note is held on where what
// sounded last is tied and is the same stop of the same string and voice, and glided
// into where what sounded last glides; else it is picked.
func TestComeToFromElsewhere(t *testing.T) {
	type state struct {
		f   *follower
		st  tab.Stroke
		pl  tab.Pluck
		key float64
	}
	for name, c := range map[string]struct {
		change func(*state)
		want   tab.Attack
	}{
		"held":                     {func(*state) {}, tab.Tied},
		"in the bar":               {func(s *state) { s.st.At = 1 }, tab.Picked},
		"not tied":                 {func(s *state) { s.f.tied[0] = false }, tab.Picked},
		"tied on paper alone":      {func(s *state) { s.f.tied[0], s.pl.Attack = false, tab.Tied }, tab.Picked},
		"another voice":            {func(s *state) { s.pl.Ref.Voice = 1 }, tab.Picked},
		"a harmonic":               {func(s *state) { s.pl.Node = 2 }, tab.Picked},
		"a grace":                  {func(s *state) { s.pl.Ref.Grace = 0 }, tab.Picked},
		"nothing sounded":          {func(s *state) { s.f.last[0] = 0 }, tab.Picked},
		"another pitch":            {func(s *state) { s.key = 66 }, tab.Picked},
		"another stop":             {func(s *state) { s.f.stops[0] = 66 }, tab.Picked},
		"as before, tied":          {func(s *state) { s.f.otherwise, s.f.jumped, s.pl.Attack = false, true, tab.Tied }, tab.Tied},
		"as before, picked":        {func(s *state) { s.f.otherwise, s.f.jumped = false, true }, tab.Picked},
		"nothing new":              {func(s *state) { s.f.otherwise = false }, tab.Picked},
		"next bar, glided":         {func(s *state) { s.f.tied[0], s.pl.Attack = false, tab.Glided }, tab.Glided},
		"jumped, glided on paper":  {func(s *state) { s.f.tied[0], s.f.jumped, s.pl.Attack = false, true, tab.Glided }, tab.Picked},
		"jumped, gliding":          {func(s *state) { s.f.tied[0], s.f.jumped, s.f.gliding[0] = false, true, true }, tab.Glided},
		"jumped, gliding, a voice": {func(s *state) { s.f.tied[0], s.f.jumped, s.f.gliding[0], s.pl.Ref.Voice = false, true, true, 1 }, tab.Picked},
		"next bar, gliding":        {func(s *state) { s.f.tied[0], s.f.gliding[0] = false, true }, tab.Picked},
	} {
		in := tabOf(t, touched{0, 48, 1, 2, tab.Picked, false})
		ref := tune.Ref{Grace: -1}
		s := &state{
			f:  &follower{t: in, g: steel.New(in.Rig), out: []strand{{key: 64}}, last: []int{1}, stops: []float64{64}, gliding: []bool{false}, tied: []bool{true}, ref: []tune.Ref{ref}, otherwise: true},
			st: tab.Stroke{Placement: at(2)}, pl: tab.Pluck{Ref: ref, String: 1, Fret: 2}, key: 64,
		}
		c.change(s)
		if got := s.f.attack(&s.st, &s.pl, s.key); got != c.want {
			t.Errorf("%s: attack %d, want %d", name, got, c.want)
		}
	}
}

// TestStrandCut: what ends early comes to no later pitch and swings no longer; a
// line that is over, or begins there, stays.
func TestStrandCut(t *testing.T) {
	for at, want := range map[tune.Ticks]string{
		60: "48 2 48", 48: "48 2 48", 41: "41 2 41", 40: "40 1 40", 21: "21 1 21", 20: "20 0 20", 11: "11 0 11", 10: "48 2 48", 5: "48 2 48",
	} {
		l := strand{at: 10, end: 48, moves: []move{{15, 20, 61}, {30, 40, 62}}, vibratos: []vibrato{{from: 12, to: 48}}}
		l.cut(at)
		if got := fmt.Sprintf("%d %d %d", l.end, len(l.moves), l.vibratos[0].to); got != want {
			t.Errorf("cut at %d: %s, want %s", at, got, want)
		}
	}
	l := strand{at: 10, key: 60.4}
	if l.last() != 60.4 || l.start() != 10 {
		t.Errorf("a line that stays is at %g since %d", l.last(), l.start())
	}
	for key, want := range map[float64]bool{12: false, 12.5: true, 60: true, 107.5: true, 108: false} {
		if l.reaches(key) != want {
			t.Errorf("from 60.4 to %g: reached %v", key, !want)
		}
	}
	l.moves = []move{{15, 20, 61}, {30, 40, 62}}
	if l.last() != 62 || l.start() != 40 {
		t.Errorf("a line that moves is at %g since %d, want 62 since 40", l.last(), l.start())
	}
}

// TestSwings: vibrato goes on through a note held on where the one swing meets the
// other, and begins anew otherwise.
func TestSwings(t *testing.T) {
	p := &tab.Pluck{Vibrato: true}
	for name, c := range map[string]struct {
		from tune.Ticks
		held bool
		p    *tab.Pluck
		want string
	}{
		"held on":        {48, true, p, "[0-96]"},
		"struck":         {48, false, p, "[0-48 48-96]"},
		"held on, later": {50, true, p, "[0-48 50-96]"},
		"without":        {48, true, &tab.Pluck{}, "[0-48]"},
	} {
		l := strand{vibratos: []vibrato{{from: 0, to: 48}}}
		l.swing(c.from, 96, c.held, c.p, nil)
		var got []string
		for _, v := range l.vibratos {
			got = append(got, fmt.Sprintf("%d-%d", v.from, v.to))
		}
		if fmt.Sprint(got) != c.want {
			t.Errorf("%s: %v, want %s", name, got, c.want)
		}
	}
	var l strand
	if l.swing(0, 48, true, p, nil); len(l.vibratos) != 1 {
		t.Errorf("the first swing of a line: %v", l.vibratos)
	}
}

// TestPartsOfANote: half of a note but an eighth is glided out of, a quarter of it
// but a sixteenth into, and half of it but a half note it swells (docs/formats/midi.md).
func TestPartsOfANote(t *testing.T) {
	for _, c := range [][4]tune.Ticks{{24, 12, 6, 12}, {48, 24, 12, 24}, {96, 24, 12, 48}, {192, 24, 12, 96}, {384, 24, 12, 96}} {
		if g, s, w := glideLen(c[0]*tick), scoopLen(c[0]*tick), swellLen(c[0]*tick); g != c[1]*tick || s != c[2]*tick || w != c[3]*tick {
			t.Errorf("of %d: %d %d %d, want %d", c[0], g/tick, s/tick, w/tick, c[1:])
		}
	}
}

// TestLanes: each note has a lane of its own while it sounds, fourteen at most.
func TestLanes(t *testing.T) {
	chord := func(n int) *tune.Tune {
		b := tunetest.Quarters(1, "G3", "A3", "B3", "D4")
		b.Lines[0][0].Notes = nil
		for i := range n {
			b.Lines[0][0].Notes = append(b.Lines[0][0].Notes, tune.Note{Name: pitch.SpellKey(40+i, 0)})
		}
		return tunetest.Song(b)
	}
	for n, want := range map[int]int{1: 1, 3: 3, 14: 14, 15: 0} {
		lines, lanes, _, err := tuneLines(chord(n))
		if (err == nil) != (want > 0) || lanes != want {
			t.Errorf("%d at once: %d lanes, %v", n, lanes, err)
		}
		var got []int
		for _, l := range lines {
			got = append(got, l.lane)
		}
		if want == 3 && !slices.Equal(got, []int{0, 1, 2, 0, 0, 0}) {
			t.Errorf("lanes %d: a lane is free when its note ends", got)
		}
	}
	in := chord(1)
	for i, m := range []tune.Mark{tune.Accent, tune.StrongAccent, tune.Swell} {
		in.Bars[0].Lines[0][i].Marks = []tune.Mark{m}
	}
	lines, _, _, err := tuneLines(in)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []byte{accentVelocity, accentVelocity, plainVelocity, plainVelocity} {
		if l := lines[i]; l.velocity != want || (l.swell > 0) != (i == 2) {
			t.Errorf("note %d: velocity %d, swells for %d", i+1, l.velocity, l.swell)
		}
	}
}
