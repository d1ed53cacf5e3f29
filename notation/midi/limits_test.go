package midi

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// TestJustRead: what is as much as is read, and one more of it.
func TestJustRead(t *testing.T) {
	zone := "\x00\xb0\x65\x00\x00\xb0\x64\x06\x00\xb0\x06\x0f"
	metas := strings.Repeat("\x00\xff\x51\x03\x01\x02\x03\x00\xff\x58\x04\x04\x02\x18\x08\x00\xff\x59\x02\x00\x00\x00\xff\x05\x01a\x00\xff\x06\x01a", MaxEvents/50)
	long := strings.Repeat("\xff\xff\xff\x7f\xc0\x00", 4096)
	for name, c := range map[string]struct{ in, more, want string }{
		"events":          {strings.Repeat("\x00\xe0\x00\x40", MaxEvents), "\x00\xe0\x00\x40", "track 1, byte 2000023: the file has more than 500000 notes and bends"},
		"metas":           {metas, "\x00\xff\x06\x01a", "more than 50000 tempos"},
		"ticks":           {long + "\xa0\x00\xc0\x00", "\x01\xc0\x00", "lasts longer than 1099511627776 ticks"},
		"pitches":         {strings.Repeat("\x00\x90\x3c\x40\x00\x3c\x00", MaxHeard), "\x00\x90\x3c\x40\x00\x3c\x00", "track 1, byte 1400023: the file has more than 200000 notes"},
		"notes at once":   {strings.Repeat("\x00\x90\x3c\x40", 200), "\x00\x90\x3c\x40", "track 1, byte 823: more than 200 notes sound at once on channel 1"},
		"bends of a zone": {zone + strings.Repeat("\x01\xe0\x00\x60", MaxBends/16-1), "\x01\xe0\x00\x50", "track 1, byte 250031: the file has more than 1000000 bends"},
	} {
		if _, err := Read(smf(0, 96, c.in+endTrack), "x.mid"); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := Read(smf(0, 96, c.in+c.more+endTrack), "x.mid"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("one more of %s: %v", name, err)
		}
	}
	f, err := Read(smf(0, 96, strings.Repeat("\x00\x80\x3c\x40", 150)+endTrack), "x.mid")
	if err != nil || len(f.Warnings) != 100 {
		t.Errorf("150 odd events: %d warnings, %v", len(f.Warnings), err)
	}
	inside := smf(0, 96, "\x00\x90\x3c\x40"+endTrack)
	f, err = Read(append([]byte("RIFF\x00\x00\x00\x00RMIDdata"+string([]byte{byte(len(inside)), 0, 0, 0})), inside...), "x.mid")
	if err != nil || !strings.Contains(fmt.Sprint([]error{f.Warnings}), "track 1, byte 43: the note 60 on channel 1 is never ended") {
		t.Errorf("a note inside RIFF: %v %v", f, err)
	}
	if _, err := Read([]byte("RIFF\x00\x00\x00\x00RMID"), "x.mid"); err == nil || !strings.Contains(err.Error(), "holds no MIDI file") {
		t.Errorf("RIFF and no more: %v", err)
	}
}

// TestSetUnderANote: what changes the pitch of a note that sounds already, which the rests of its pitch show; half up is half of the
// range (MIDI 1.0; MIDI Polyphonic Expression, MMA RP-053, 2018).
func TestSetUnderANote(t *testing.T) {
	rpn := func(ch, number, value byte) string {
		return "\x00" + string([]byte{0xb0 | ch, 0x65, 0}) + "\x00" + string([]byte{0xb0 | ch, 0x64, number}) + "\x00" + string([]byte{0xb0 | ch, 6, value})
	}
	zone, up := rpn(0, 6, 2), "\x00\xe0\x00\x60"
	note := func(ch byte, under string) string {
		return "\x00" + string([]byte{0x90 | ch, 60, 64}) + "\x30" + under[1:] + "\x30" + string([]byte{0x80 | ch, 60, 64})
	}
	for name, c := range map[string]struct{ in, want string }{
		"its manager":             {zone + note(1, up), "0+1/8 60 1/8+1/8 61"},
		"its manager, the last":   {zone + note(2, up), "0+1/8 60 1/8+1/8 61"},
		"no manager of its own":   {zone + note(3, up), "0+1/4 60"},
		"the upper manager":       {rpn(15, 6, 2) + note(14, "\x00\xef\x00\x60"), "0+1/8 60 1/8+1/8 61"},
		"a range":                 {up + note(0, rpn(0, 0, 12)), "0+1/8 61 1/8+1/8 66"},
		"a reset":                 {up + note(0, "\x00\xb0\x79\x00"), "0+1/8 61 1/8+1/8 60"},
		"cents":                   {up + note(0, rpn(0, 0, 12)+"\x00\xb0\x26\x64"), "0+1/8 61 1/8+1/8 67"}, // half of 13 semitones, to the nearest
		"a zone":                  {"\x00\xe1\x00\x60" + note(1, zone), "0+1/8 61 1/8+1/8 84"},
		"a zone given up":         {zone + up + note(1, rpn(0, 6, 0)+"\x00\xe1\x00\x40"), "0+1/8 61 1/8+1/8 60"},
		"another parameter":       {up + note(0, rpn(0, 1, 12)), "0+1/4 61"},
		"of another bank":         {up + note(0, "\x00\xb0\x65\x01\x00\xb0\x64\x00\x00\xb0\x06\x0c"), "0+1/4 61"},
		"a wrong channel's zone":  {rpn(5, 6, 2) + note(1, up), "0+1/4 60"},
		"volume":                  {up + note(0, "\x00\xb0\x07\x0c"), "0+1/4 61"},
		"an unregistered, coarse": {up + rpn(0, 0, 2) + note(0, "\x00\xb0\x63\x00\x00\xb0\x06\x0c"), "0+1/4 61"},
		"an unregistered, fine":   {up + rpn(0, 0, 2) + note(0, "\x00\xb0\x62\x00\x00\xb0\x06\x0c"), "0+1/4 61"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := strings.Join(heardText(f), " "); got != c.want {
			t.Errorf("%s: heard %s, want %s", name, got, c.want)
		}
	}
}

// TestMovements: where a movement stops and the next begins, wherever in the piece the note stands.
func TestMovements(t *testing.T) {
	for name, c := range map[string]struct {
		bend  float64
		bends []Bend
		want  string
	}{
		"a scoop":                {-2, []Bend{{2, -1}, {4, -0.5}, {6, 0}}, "0:0 scoop -2"},
		"a late beginning":       {-2, []Bend{{5, -1}, {7, -0.5}, {9, 0}}, "0:-2 9:0"},
		"early, a pause":         {0, []Bend{{11, 1}, {39, 2}}, "0:1 39:2 scoop -1"},
		"early, a shorter pause": {0, []Bend{{11, 1}, {38, 2}}, "0:2 scoop -2"},
		"not so early":           {0, []Bend{{12, 1}, {60, 2}}, "0:2 scoop -2"},
		"back early":             {0, []Bend{{40, 1}, {44, 2}, {48, 1}, {60, 0}}, "0:0 44:2 60:0"},
		"twice at one tick":      {0, []Bend{{40, 1}, {40, 1.5}, {44, 2}}, "0:0 44:2"},
		"just before the end":    {0, []Bend{{95, 2}}, "0:0 95:2"},
		"at the end":             {0, []Bend{{96, 2}}, "0:0"},
		"no bend":                {1, nil, "0:1"},
	} {
		for _, at := range []int64{0, 1000} {
			n := &Note{At: at, Len: 96, Key: 60, Bend: c.bend}
			for _, b := range c.bends {
				n.Bends = append(n.Bends, Bend{b.At + at, b.Semitones})
			}
			out, scoop := n.rests(100)
			var got []string
			for _, r := range out {
				got = append(got, fmt.Sprintf("%d:%g", r.At-at, r.Semitones))
			}
			if scoop != 0 {
				got = append(got, fmt.Sprintf("scoop %g", scoop))
			}
			if g := strings.Join(got, " "); g != c.want {
				t.Errorf("%s at %d: %s, want %s", name, at, g, c.want)
			}
		}
	}
}

// TestEndsInLaterBars: the triplets of a beat are those of its own bar and beat, and a voice that makes way is the first of those that
// end as soon.
func TestEndsInLaterBars(t *testing.T) {
	for name, c := range map[string]struct {
		in   [][]tune.Ticks
		want string
	}{
		"in the beat of a triplet": {[][]tune.Ticks{{240, 269}, {256, 270}}, "272 272"},
		"in the beat after it":     {[][]tune.Ticks{{256, 270}, {288, 317}}, "272 312"},
		"a bar before it":          {[][]tune.Ticks{{48, 77}, {256, 270}}, "72 272"},
		"a bar after it":           {[][]tune.Ticks{{64, 78}, {240, 269}}, "80 264"},
	} {
		p := &placing{layout: barsOf(192, 192), sounds: soundsOf(c.in...)}
		p.settleEnds(12 * tick)
		var got []string
		for i := range p.sounds {
			got = append(got, fmt.Sprint(int64(p.sounds[i].end/tick)))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: ends at %s, want %s", name, g, c.want)
		}
	}
	var in [][3]int
	for i := range 8 {
		in = append(in, [3]int{0, 100 + i%2*20, 80 - 2*i + i%2*20})
	}
	k := &composer{barsOf(192), &File{}, &Import{}, nil}
	var units []unit
	for _, s := range lasting(append(in, [3]int{50, 110, 60})...) {
		units = append(units, unit{at: s.at, end: s.end, sounds: []sound{s}})
	}
	if v := k.voices(units); len(v) != 8 || len(v[0]) != 2 || v[0][0].end != 50*tick {
		t.Errorf("of lines that end at once the first makes way: %d lines, %d in the first", len(v), len(v[0]))
	}
}

// TestTiedOn: a string's note is held on into a repeat when the tune ties it; a grace before a tied note is not tied.
func TestTiedOn(t *testing.T) {
	for name, c := range map[string]struct {
		tie  bool
		ref  tune.Ref
		want bool
	}{
		"tied":     {true, tune.Ref{Grace: -1}, true},
		"not tied": {false, tune.Ref{Grace: -1}, false},
		"a grace":  {true, tune.Ref{Grace: 0}, false},
		"no note":  {true, tune.Ref{Event: 9, Grace: -1}, false},
	} {
		in := tabOf(t, touched{0, 48, 1, 2, tab.Picked, false})
		e := &in.Tune.Bars[0].Lines[0][0]
		e.Notes[0].Tie = c.tie
		e.Graces = []tune.Grace{{Notes: []tune.Note{{Name: e.Notes[0].Name, Tie: true}}}}
		f := &follower{t: in, g: steel.New(in.Rig), last: make([]int, 6), stops: make([]float64, 6), gliding: make([]bool, 6), tied: make([]bool, 6), ref: make([]tune.Ref, 6)}
		pl := in.Strokes[0].Plucks[0]
		pl.Ref = c.ref
		if f.pluck(0, &in.Strokes[0], &pl); f.tied[0] != c.want {
			t.Errorf("%s: tied on %v", name, f.tied[0])
		}
	}
}

// TestLeastWritten: a tune without bars is a file without notes, and the slowest tempo that three bytes hold is told of no loss.
func TestLeastWritten(t *testing.T) {
	b, losses, err := EncodeTune(&tune.Tune{})
	if err != nil || len(losses) > 0 {
		t.Fatal(losses, err)
	}
	if f, err := Read(b, "x.mid"); err != nil || len(f.Warnings) > 0 || len(f.Tracks) != 2 || len(f.Tracks[1].Notes) > 0 {
		t.Errorf("a tune of nothing: %+v %v", f, err)
	}
	in := strung(1, rig.LapSteel)
	in.Rig.Strings, in.Strokes = nil, nil
	if _, _, err := Encode(in); err != nil {
		t.Errorf("a rig without strings: %v", err)
	}
	for us, told := range map[int64]bool{slowest: false, slowest + 1: true} {
		w := plainWriter(960)
		w.tune = &tune.Tune{}
		// One beat of so short a value takes as long a quarter note.
		beat := tune.Speed{Beat: tune.Whole / 27648}
		for beat.PerMinute = 60e9 * 6912 / us; microseconds(beat) != us; beat.PerMinute++ {
			if microseconds(beat) < us {
				t.Fatalf("no tempo has %d microseconds a quarter", us)
			}
		}
		w.speeds = []tune.Speed{beat}
		if w.conductor(); (len(w.losses) > 0) != told {
			t.Errorf("%d microseconds a quarter: %v", us, w.losses)
		}
	}
}
