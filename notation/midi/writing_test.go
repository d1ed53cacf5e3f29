package midi

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// TestVariableLength: the examples that Standard MIDI Files 1.0 gives of
// variable-length numbers (from memory), and a time of more than four bytes, which is
// broken up by empty texts.
func TestVariableLength(t *testing.T) {
	for v, want := range map[uint32]string{
		0: "00", 0x40: "40", 0x7F: "7f", 0x80: "8100", 0x2000: "c000", 0x3FFF: "ff7f", 0x4000: "818000", 0x100000: "c08000",
		0x1FFFFF: "ffff7f", 0x200000: "81808000", 0x8000000: "c0808000", 0xFFFFFFF: "ffffff7f",
	} {
		if got := fmt.Sprintf("%x", appendVar(nil, v)); got != want {
			t.Errorf("%x is written %s, want %s", v, got, want)
		}
	}
	for d, want := range map[int64]string{maxDelta: "ffffff7f", maxDelta + 1: "ffffff7f" + "ff0100" + "01", 2*maxDelta + 1: "ffffff7fff0100ffffff7fff010001"} {
		if got := fmt.Sprintf("%x", appendDelta(nil, d)); got != want {
			t.Errorf("a time of %d is written %s, want %s", d, got, want)
		}
	}
	var events track
	events.put(10, orderOn, 0x90, 60, 64)
	events.put(30, orderOff, 0x80, 60, 64)
	for end, want := range map[int64]string{40: "0a903c4014803c400aff2f00", 30: "0a903c4014803c4000ff2f00", 20: "0a903c4014803c4000ff2f00"} {
		if got := fmt.Sprintf("%x", appendTrack(nil, &events, end)[8:]); got != want {
			t.Errorf("a track until %d: %s, want %s", end, got, want)
		}
	}
}

// plainWriter writes for two lanes at 960 ticks a quarter, 120 quarters a minute.
func plainWriter(ppq int64) *writer {
	perf := tune.Perform(tunetest.Song(tunetest.Quarters(1, "D4", "E4", "F#4", "G4")))
	return &writer{channels: []byte{2, 3}, ppq: ppq, clock: perf.Clock, speeds: perf.Clock.Speeds()}
}

// TestTicks: a time falls on the nearest tick, half a tick on the next.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		ppq   int64
		at    tune.Ticks
		want  int64
		exact bool
	}{
		{960, tune.Whole / 4, 960, true},
		{960, tune.Whole * 5 / 4, 4800, true},
		{960, tune.Whole / 12, 320, true},
		{1, tune.Whole / 8, 1, false},
		{1, tune.Whole/8 - 1, 0, false},
		{1, tune.Whole * 9 / 8, 5, false},
		{1, tune.Whole * 3 / 4, 3, true},
		{960, tune.Whole / 7, 549, false}, // 548.57
		{966, tune.Whole / 7, 552, true},
	} {
		w := plainWriter(c.ppq)
		if got := w.ticks(c.at); got != c.want || w.isExact(c.at) != c.exact {
			t.Errorf("%s at %d a quarter: tick %d, exact %v; want %d", c.at, c.ppq, got, w.isExact(c.at), c.want)
		}
	}
}

// TestFinestTick: as many ticks a quarter, from 960 up, as every onset, end and glide needs.
func TestFinestTick(t *testing.T) {
	for _, c := range []struct {
		at, end, move, pass tune.Ticks
		want                int64
		told                bool
	}{
		{0, tune.Whole / 4, tune.Whole / 8, tune.Whole, 960, false},
		{tune.Whole / 12, tune.Whole / 4, 0, 0, 960, false},
		{tune.Whole / 28, tune.Whole / 4, 0, 0, 966, false},
		{0, tune.Whole / 28, 0, 0, 966, false},
		{0, tune.Whole, tune.Whole / 28, 0, 966, false},
		{0, tune.Whole, 0, tune.Whole / 28, 966, false},
		{0, tune.Whole / 1024, 0, 0, 1024 / 4 * 4, false},
		{0, tune.Whole / 44, tune.Whole / 28, 0, 1001, false}, // 77 by 13
		{tune.Whole / (27 * 25 * 7), tune.Whole, 0, 0, 4725, false},
		{tune.Whole / (27 * 25 * 7 * 11), tune.Whole, 0, 0, 30240, true},
	} {
		w := plainWriter(0)
		w.lines = []strand{{at: c.at, end: c.end, moves: []move{{to: c.move}}}}
		w.passes = []tune.Pass{{Start: c.pass}}
		if w.choosePPQ(); w.ppq != c.want || (len(w.losses) > 0) != c.told {
			t.Errorf("%s, %s, %s, %s: %d ticks a quarter, want %d; %v", c.at, c.end, c.move, c.pass, w.ppq, c.want, w.losses)
		}
	}
}

// sent writes one strand and returns what is sent, by tick.
func sent(t *testing.T, l strand) []string {
	t.Helper()
	w, bent := plainWriter(960), []int{8192, 8192}
	out := &track{}
	if err := w.sound(out, &l, bent); err != nil {
		return []string{err.Error()}
	}
	var got []string
	for _, m := range out.messages {
		got = append(got, fmt.Sprintf("%d:%x", m.at, out.bytes[m.from:m.to]))
	}
	return got
}

// TestSent: what is sent for one sound. Note-on and note-off are 9n and 8n, a bend is En with
// 14 bits, the lower seven first, of which 2000 is none (MIDI 1.0); of 48 semitones 12 are a
// quarter of the way up, 0x2800, bytes 00 50. A sixteenth has 240 ticks.
func TestSent(t *testing.T) {
	const sixteenth = tune.Whole / 16
	plain := strand{at: 0, end: sixteenth, key: 60, lane: 1, velocity: 88}
	with := func(change func(*strand)) strand {
		l := plain
		change(&l)
		return l
	}
	for name, c := range map[string]struct {
		in   strand
		want string
	}{
		"a note":          {plain, "0:923c58 240:823c40"},
		"the first lane":  {with(func(l *strand) { l.lane = 0 }), "0:913c58 240:813c40"},
		"the lowest":      {with(func(l *strand) { l.key = 0 }), "0:920058 240:820040"},
		"the highest":     {with(func(l *strand) { l.key = 127 }), "0:927f58 240:827f40"},
		"no length":       {with(func(l *strand) { l.end = 0 }), "0:923c58 1:823c40"},
		"half a fret up":  {with(func(l *strand) { l.key = 60.25 }), "0:e22b40 0:923c58 240:823c40"}, // 42.7 of 8192
		"a jump":          {with(func(l *strand) { l.moves = []move{{sixteenth / 240, sixteenth / 240, 72}} }), "0:923c58 1:e20050 240:823c40"},
		"a short glide":   {with(func(l *strand) { l.moves = []move{{0, sixteenth / 30, 72}} }), "0:923c58 2:e20044 4:e20048 6:e2004c 8:e20050 240:823c40"},
		"shorter still":   {with(func(l *strand) { l.moves = []move{{0, sixteenth / 80, 72}} }), "0:923c58 1:e22b45 2:e2554a 3:e20050 240:823c40"},
		"down to its end": {with(func(l *strand) { l.moves = []move{{0, sixteenth / 120, 12}} }), "0:923c58 1:e20020 2:e20000 240:823c40"},
		"as far up":       {with(func(l *strand) { l.moves = []move{{0, sixteenth / 240, 108}} }), "0:923c58 1:e27f7f 240:823c40"},
		"a stroke":        {with(func(l *strand) { l.chop = true }), "0:992558 240:892540"},
		"too low":         {with(func(l *strand) { l.key = -1 }), "the pitch with key number -1 is outside the 128 keys of MIDI"},
		"too high":        {with(func(l *strand) { l.key = 128 }), "bar 3: the pitch with key number 128 is outside the 128 keys of MIDI"},
	} {
		c.in.barNumber = 3
		if got := strings.Join(sent(t, c.in), " "); !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
	// A long glide goes by seven ticks of the 3840 of a whole note, and is there when it is said to be.
	got := sent(t, with(func(l *strand) { l.moves = []move{{sixteenth / 2, sixteenth, 62}} }))
	if len(got) != 20 || got[1] != "127:e21440" || got[2] != "134:e22840" || got[17] != "239:e25342" && got[17] != "239:e25242" || got[18] != "240:e25542" {
		t.Errorf("a glide of 120 ticks by two semitones: %v", got)
	}
	// A scoop begins off the pitch before the note does and is over in its time.
	got = sent(t, with(func(l *strand) { l.scoop, l.scoopLen = -12, sixteenth/30 }))
	if g := strings.Join(got, " "); g != "0:e20030 2:e20034 4:e20038 6:e2003c 8:e20040 0:923c58 240:823c40" {
		t.Errorf("a scoop: %s", g)
	}
	// A swell opens controller 11 in 24 steps from 16 to 127.
	got = sent(t, with(func(l *strand) { l.swell = sixteenth / 2 }))
	if len(got) != 27 || got[0] != "0:b20b10" || got[1] != "5:b20b14" || got[12] != "60:b20b47" || got[23] != "115:b20b7a" || got[24] != "120:b20b7f" {
		t.Errorf("a swell: %v", got)
	}
}

// TestMetersOfBars: a bar of another length than its meter's has a meter of its own, in the
// meter's unit where it can.
func TestMetersOfBars(t *testing.T) {
	for _, c := range []struct {
		beats, unit int
		length      tune.Ticks
		want        string
	}{
		{4, 4, tune.Whole, "4/4"},
		{4, 4, tune.Whole / 4, "1/4"},
		{4, 4, tune.Whole / 2, "2/4"},
		{4, 4, 3 * tune.Whole / 8, "3/8"},
		{6, 8, tune.Whole / 8, "1/8"},
		{6, 8, tune.Whole / 4, "2/8"},
		{6, 8, tune.Whole / 2, "4/8"},
		{2, 2, tune.Whole / 4, "1/4"},
		{4, 4, tune.Whole / 3, "1/3"},
		{3, 4, 5 * tune.Whole / 4, "5/4"},
	} {
		m := barMeter(&tune.Bar{Len: c.length, Meter: tune.Meter{Beats: c.beats, Unit: c.unit}})
		if got := fmt.Sprintf("%d/%d", m.Beats, m.Unit); got != c.want {
			t.Errorf("%s of %d/%d: %s, want %s", c.length, c.beats, c.unit, got, c.want)
		}
	}
	for n, want := range map[int]int{1: 0, 2: 1, 8: 3, 128: 7, 256: -1, 3: -1, 0: -1} {
		if got := log2(n); got != want {
			t.Errorf("the power of two of %d: %d, want %d", n, got, want)
		}
	}
}

// TestMicroseconds: how long a quarter note lasts at a tempo of other beats.
func TestMicroseconds(t *testing.T) {
	for _, c := range []struct {
		beat      tune.Ticks
		perMinute int64
		want      int64
	}{
		{tune.Whole / 4, 120_000, 500_000},
		{tune.Whole / 2, 60_000, 500_000},
		{3 * tune.Whole / 8, 60_000, 666_667},
		{tune.Whole / 8, 100_000, 1_200_000},
		{tune.Whole, 10_000_000, 1_500},
		{8 * tune.Whole, 10_000_000, 188},
	} {
		if got := microseconds(tune.Speed{Beat: c.beat, PerMinute: c.perMinute}); got != c.want {
			t.Errorf("%s = %d: %d µs, want %d", c.beat, c.perMinute, got, c.want)
		}
	}
	w := &writer{speeds: []tune.Speed{{Beat: tune.Whole / 4, PerMinute: 60_000}, {At: tune.Whole, Beat: tune.Whole / 4, PerMinute: 120_000}}}
	for at, want := range map[tune.Ticks]float64{0: 4, tune.Whole - 1: 4, tune.Whole: 2, 2 * tune.Whole: 2} {
		if got := w.secondsPerWhole(at); got != want {
			t.Errorf("at %s a whole note takes %g s, want %g", at, got, want)
		}
	}
}

// TestConductor: what the first track says, event by event (Standard MIDI Files 1.0: 51 is a
// tempo, 58 a meter with the clocks of its beat, 24 a quarter, 59 a key; 03 a name, 06 a marker).
func TestConductor(t *testing.T) {
	bar := func(number, beats, unit int, fifths int, mode pitch.Mode) tune.Bar {
		b := tunetest.Quarters(number, "D4", "E4", "F#4", "G4")
		b.Meter = tune.Meter{Beats: beats, Unit: unit}
		b.Len = b.Meter.Len()
		b.Key, _ = pitch.NewKey(pitch.ClassAtFifths(fifths+int(mode)), mode)
		return b
	}
	written := func(bars ...tune.Bar) string {
		in := tunetest.Song(bars...)
		in.Title = ""
		b, losses, err := EncodeTune(in)
		if err != nil {
			return err.Error()
		}
		i := bytes.Index(b, []byte("MTrk"))
		track := fmt.Sprintf("%x", b[i+8:i+bytes.Index(b[i:], []byte("\xff\x2f"))])
		if len(losses) > 0 {
			track += fmt.Sprint(" ", losses[0].Msg)
		}
		return track
	}
	// Without a tempo 100 beats a minute are taken, 600,000 microseconds a quarter.
	const tempo = "00ff51030927c0"
	part := bar(1, 4, 4, 0, pitch.Major)
	part.Part = "B"
	for name, c := range map[string]struct{ got, want string }{
		"4/4 in G":         {written(bar(1, 4, 4, 1, pitch.Major)), "00ff580404021808" + "00ff59020100" + tempo},
		"6/8 in E minor":   {written(bar(1, 6, 8, 1, pitch.Minor)), "00ff580406032408" + "00ff59020101" + "00ff5103061a80"},
		"2/2":              {written(bar(1, 2, 2, -7, pitch.Major)), "00ff580402013008" + "00ff5902f900" + "00ff51030493e0"},
		"1/1":              {written(bar(1, 1, 1, 7, pitch.Major)), "00ff580401006008" + "00ff59020700" + "00ff51030249f0"},
		"twice the same":   {written(bar(1, 4, 4, 1, pitch.Major), bar(2, 4, 4, 1, pitch.Major)), "00ff580404021808" + "00ff59020100" + tempo + "bc00"},
		"another unit":     {written(bar(1, 4, 4, 1, pitch.Major), bar(2, 4, 8, 1, pitch.Major)), "00ff580404021808" + "00ff59020100" + tempo + "9e00ff580404030c08"},
		"another count":    {written(bar(1, 4, 4, 1, pitch.Major), bar(2, 3, 4, 1, pitch.Major)), "00ff580404021808" + "00ff59020100" + tempo + "9e00ff580403021808"},
		"255 beats":        {written(bar(1, 255, 128, 0, pitch.Major)), "00ff5804ff070208"},
		"256 beats":        {written(bar(1, 256, 128, 0, pitch.Major)), "the meter 256/128 has no place in a MIDI file"},
		"256ths":           {written(bar(1, 3, 256, 0, pitch.Major)), "the meter 3/256 has no place in a MIDI file"},
		"a part":           {written(part), "00ff060142"},
		"no part":          {written(bar(1, 4, 4, 1, pitch.Major)), "00ff580404021808"},
		"dorian is no key": {written(bar(1, 4, 4, 0, pitch.Dorian)), "00ff59020000"},
	} {
		if !strings.Contains(c.got, c.want) {
			t.Errorf("%s: %s, want %s", name, c.got, c.want)
		}
	}
}

// TestZoneIsSetUp: the second track begins with parameter 6 on channel 1, the number of
// members, and gives each member a range of 48 semitones (M1-100-UM, sections 2.1 and 2.4).
func TestZoneIsSetUp(t *testing.T) {
	b, _, err := EncodeTune(tunetest.Song(tunetest.Quarters(1, "D4", "E4", "F#4", "G4")))
	if err != nil {
		t.Fatal(err)
	}
	want := "00b06500" + "00b06406" + "00b00601" + "00b0657f" + "00b0647f" + "00c019" + // the zone, a program
		"00b16500" + "00b16400" + "00b10630" + "00b12600" + "00b1657f" + "00b1647f" + "00c119" + // its member
		"00913e58"
	if got := fmt.Sprintf("%x", b); !strings.Contains(got, want) {
		t.Errorf("%s lacks %s", got, want)
	}
}

// strung is a rig of n strings, all of them D4, and a tab that plays the last of them open.
func strung(n int, body rig.Body) *tab.Tab {
	r := rigtest.OpenD()
	r.Body = body
	open := r.Strings[0]
	r.Strings, r.Benders = nil, nil
	for range n {
		r.Strings = append(r.Strings, open)
	}
	return &tab.Tab{Tune: tunetest.Song(tunetest.Quarters(1, "D4")), Rig: r, Strokes: []tab.Stroke{{Len: tune.Whole / 4, Plucks: []tab.Pluck{{Ref: tune.Ref{Grace: -1}, String: n, Len: tune.Whole / 4}}}}}
}

// TestChannelsOfStrings: each string has its channel from 2 up; channel 10, the drums of General
// MIDI, is left out while there are others.
func TestChannelsOfStrings(t *testing.T) {
	for n, want := range map[int]int{1: 2, 8: 9, 9: 11, 14: 16, 15: 16} {
		b, _, err := Encode(strung(n, rig.LapSteel))
		if err != nil {
			t.Fatal(err)
		}
		f, err := Read(b, "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Tracks[1].Notes[0].Channel; got != want || f.Tracks[1].Program != 27 {
			t.Errorf("string %d of %d sounds on channel %d, program %d; want channel %d", n, n, got, f.Tracks[1].Program, want)
		}
	}
	if _, _, err := Encode(strung(16, rig.LapSteel)); err == nil || !strings.Contains(err.Error(), "has 16 strings, and one MIDI zone holds 15 channels") {
		t.Errorf("16 strings: %v", err)
	}
	for body, want := range map[rig.Body]byte{rig.LapSteel: 27, rig.PedalSteel: 27, rig.Tricone: 25} {
		if got := program(body); got != want {
			t.Errorf("the body %v has the program %d, want %d", body, got, want)
		}
	}
}

// TestSyllablesOfVerses: in each pass the verse whose turn it is; a word that goes on ends in a
// hyphen (RP-017).
func TestSyllablesOfVerses(t *testing.T) {
	b := tunetest.Quarters(1, "D4", "E4", "F#4", "G4")
	b.Right.Repeat = 1
	b.Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: "har", Hyphen: true}, {Verse: 2, Text: "boat"}, {Verse: 3, Text: "never"}}
	b.Lines[0][1].Lyrics = []tune.Lyric{{Verse: 1, Text: "bour"}, {Verse: 2, Extend: true}}
	data, _, err := EncodeTune(tunetest.Song(b))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(data, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	want := []Text{{0, "har-"}, {960, "bour"}, {3840, "boat"}}
	if got := f.Tracks[1].Lyrics; !slices.Equal(got, want) {
		t.Errorf("sung %v, want %v", got, want)
	}
}

// TestTempoBeforeLaterKeys: what the first track says stands in order of time, so that a tempo holds
// from where it is set though the key changes later.
func TestTempoBeforeLaterKeys(t *testing.T) {
	first, second := tunetest.Quarters(1, "D4", "E4", "F#4", "G4"), tunetest.Quarters(2, "D4", "E4", "F#4", "G4")
	first.Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 75_000}, {At: tune.Whole / 2, Beat: tune.Whole / 4, PerMinute: 60_000}}
	second.Key, _ = pitch.NewKey(pitch.Class{Letter: pitch.D}, pitch.Major)
	data, _, err := EncodeTune(tunetest.Song(first, second))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(data, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(f.Tracks[0].Tempos, f.Tracks[0].Keys); got != "[{0 800000} {1920 1000000}] [{0 1 false} {3840 2 false}]" {
		t.Errorf("tempos and keys by tick: %s", got)
	}
}
