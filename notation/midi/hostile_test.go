package midi

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"

	"lapwright/internal/hostile"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// smf makes a file of a header and tracks of the given bytes.
func smf(format, division int, tracks ...string) []byte {
	b := append([]byte("MThd"), 0, 0, 0, 6, 0, byte(format), 0, byte(len(tracks)), byte(division>>8), byte(division))
	for _, t := range tracks {
		b = append(b, "MTrk"...)
		b = binary.BigEndian.AppendUint32(b, uint32(len(t)))
		b = append(b, t...)
	}
	return b
}

const (
	endTrack = "\x00\xff\x2f\x00"
	oneNote  = "\x00\x90\x3c\x40\x60\x80\x3c\x40" // C4 for 96 ticks
)

// TestReadsAllKinds: types 0, 1 and 2, running status, SMPTE divisions, system
// exclusive and unknown meta events, files inside RIFF. Onsets and lengths are
// worked out by hand from the bytes.
func TestReadsAllKinds(t *testing.T) {
	riff := smf(0, 96, oneNote+endTrack)
	for name, c := range map[string]struct {
		in   []byte
		want string
	}{
		"type 0":           {smf(0, 96, oneNote+endTrack), "[0+1/4 60]"},
		"type 1":           {smf(1, 96, "\x00\xff\x51\x03\x07\xa1\x20"+endTrack, oneNote+endTrack), "[0+1/4 60]"},
		"type 2":           {smf(2, 96, oneNote+endTrack, oneNote+endTrack), "[0+1/4 60 0+1/4 60]"},
		"running status":   {smf(0, 96, "\x00\x90\x3c\x40\x60\x3c\x00\x00\x3e\x40\x60\x3e\x00"+endTrack), "[0+1/4 60 1/4+1/4 62]"},
		"sysex between":    {smf(0, 96, "\x00\xf0\x03\x01\x02\xf7"+oneNote+"\x00\xf7\x02\x01\x02"+endTrack), "[0+1/4 60]"},
		"unknown meta":     {smf(0, 96, "\x00\xff\x7f\x02ab"+oneNote+endTrack), "[0+1/4 60]"},
		"pressure":         {smf(0, 96, "\x00\xd0\x40\x00\xa0\x3c\x20\x00\xc0\x05"+oneNote+endTrack), "[0+1/4 60]"},
		"long delta":       {smf(0, 96, "\x83\x00\x90\x3c\x40\x60\x80\x3c\x40"+endTrack), "[1+1/4 60]"},
		"SMPTE 25 by 40":   {smf(0, 0xE728, "\x00\x90\x3c\x40\x83\x74\x80\x3c\x40"+endTrack), "[0+1/4 60]"},       // 500 ticks of 1/1000 s, at 120
		"SMPTE 24 by 10":   {smf(0, 0xE80A, "\x81\x70\x90\x3c\x40\x81\x70\x80\x3c\x40"+endTrack), "[1/2+1/2 60]"}, // 240 ticks a second
		"SMPTE drop frame": {smf(0, 0xE328, "\x00\x90\x3c\x40\x84\x58\x80\x3c\x40"+endTrack), "[0+1001/4000 60]"}, // 600 of 1200·1000/1001 a second
		"bend":             {smf(0, 96, "\x00\xe0\x00\x60"+oneNote+endTrack), "[0+1/4 61]"},                       // half of two semitones up
		"bend range":       {smf(0, 96, "\x00\xb0\x65\x00\x00\xb0\x64\x00\x00\xb0\x06\x0c\x00\xe0\x00\x60"+oneNote+endTrack), "[0+1/4 66]"},
		"jump":             {smf(0, 96, "\x00\x90\x3c\x40\x30\xe0\x00\x00\x30\x80\x3c\x40"+endTrack), "[0+1/8 60 1/8+1/8 58]"},
		"MPE zone":         {smf(0, 96, "\x00\xb0\x65\x00\x00\xb0\x64\x06\x00\xb0\x06\x02\x00\xe1\x00\x60\x00\x91\x3c\x40\x60\x81\x3c\x40"+endTrack), "[0+1/4 84]"},
		"manager bend":     {smf(0, 96, "\x00\xb0\x65\x00\x00\xb0\x64\x06\x00\xb0\x06\x02\x00\xe0\x00\x60\x00\x91\x3c\x40\x60\x81\x3c\x40"+endTrack), "[0+1/4 61]"},
		"unknown chunk":    {append(smf(0, 96, oneNote+endTrack), "XFIH\x00\x00\x00\x02ab"...), "[0+1/4 60]"},
		"same key twice":   {smf(0, 96, "\x00\x90\x3c\x40\x30\x90\x3c\x40\x30\x80\x3c\x40\x30\x80\x3c\x40"+endTrack), "[0+1/4 60 1/8+1/4 60]"},
		"never ended":      {smf(0, 96, "\x00\x90\x3c\x40\x60\xff\x2f\x00"), "[0+1/4 60]"},
		"RIFF":             {append([]byte("RIFF\x00\x00\x00\x00RMIDdata"), append(binary.LittleEndian.AppendUint32(nil, uint32(len(riff))), riff...)...), "[0+1/4 60]"},
	} {
		f, err := Read(c.in, "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := "[" + strings.Join(heardText(f), " ") + "]"; got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
	}
}

// TestRefusals: every file that can't be read gives one error that names the
// chunk or track and the byte.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		in   []byte
		want string
	}{
		"empty":            {nil, "x.mid: header, byte 0: the file is empty"},
		"text":             {[]byte("hello, world"), `x.mid: header, byte 0: is no Standard MIDI File: it begins with "hell", not "MThd"`},
		"short header":     {[]byte("MThd\x00\x00\x00\x06\x00"), "x.mid: chunk MThd, byte 9: ends after 9 bytes, and a header has 14"},
		"header length":    {[]byte("MThd\xff\xff\xff\xff\x00\x00\x00\x01\x00\x60"), "x.mid: chunk MThd, byte 4: says it is 4294967295 bytes long, and 6 are left"},
		"type":             {smf(7, 96, oneNote+endTrack), "x.mid: chunk MThd, byte 8: is of type 7, and there are types 0, 1 and 2"},
		"no division":      {smf(0, 0, oneNote+endTrack), "x.mid: chunk MThd, byte 12: says a quarter note has 0 ticks"},
		"SMPTE rate":       {smf(0, 0x9028, oneNote+endTrack), "x.mid: chunk MThd, byte 12: says a second has 112 SMPTE frames, and 24, 25, 29 and 30 are the rates there are"},
		"SMPTE ticks":      {smf(0, 0xE700, oneNote+endTrack), "x.mid: chunk MThd, byte 13: says an SMPTE frame has 0 ticks"},
		"no track":         {smf(0, 96), "x.mid: header, byte 14: the file has no track"},
		"track length":     {append(smf(1, 96), "MTrk\x7f\xff\xff\xff"+endTrack...), "x.mid: chunk MTrk, byte 18: says it is 2147483647 bytes long, and 4 are left"},
		"cut off":          {smf(0, 96, "\x00\x90\x3c"), "x.mid: track 1, byte 24: ends in the middle of an event"},
		"no event":         {smf(0, 96, "\x60"), "x.mid: track 1, byte 23: ends in the middle of an event"},
		"no status":        {smf(0, 96, "\x00\x3c\x40"), "x.mid: track 1, byte 23: has a data byte 0x3C where an event should begin"},
		"long delta":       {smf(0, 96, "\x81\x82\x83\x84\x05\x90\x3c\x40"), "x.mid: track 1, byte 22: the time before an event is no whole number of at most four bytes"},
		"meta length":      {smf(0, 96, "\x00\xff\x01\xff\xff\xff\x7fab"), "has an event said to be 268435455 bytes long, and the track has 2 left"},
		"sysex length":     {smf(0, 96, "\x00\xf0\x7fab"), "has an event said to be 127 bytes long, and the track has 2 left"},
		"data over 127":    {smf(0, 96, "\x00\x90\xff\x40"), "x.mid: track 1, byte 23: has an event 0x90 whose data byte is over 127"},
		"realtime":         {smf(0, 96, "\x00\xf8"), "x.mid: track 1, byte 23: has a status byte 0xF8, which has no place in a file"},
		"running over":     {smf(0, 96, "\x00\x90\x3c\x40\x00\xff\x01\x00\x00\x3c\x40"), "x.mid: track 1, byte 31: has a data byte 0x3C where an event should begin"},
		"RIFF, no data":    {[]byte("RIFF\x00\x00\x00\x00RMIDjunk\x00\x00\x00\x00"), "x.mid: chunk RIFF, byte 12: holds no MIDI file"},
		"RIFF, lying":      {[]byte("RIFF\x00\x00\x00\x00RMIDdata\xff\xff\xff\x7f"), "x.mid: chunk data, byte 16: says it is 2147483647 bytes long, and 0 are left"},
		"too long":         {smf(0, 96, strings.Repeat("\xff\xff\xff\x7f\xc0\x00", 5000)+endTrack), "lasts longer than 1099511627776 ticks"},
		"too many at once": {smf(0, 96, strings.Repeat("\x00\x90\x3c\x40", 300)+endTrack), "more than 200 notes sound at once on channel 1"},
	} {
		f, err := Read(c.in, "x.mid")
		if err == nil {
			t.Errorf("%s: no error", name)
			continue
		}
		if f != nil {
			t.Errorf("%s: an error and a file", name)
		}
		if got := err.Error(); !strings.Contains(got, c.want) {
			t.Errorf("%s:\n got %s\nwant %s", name, got, c.want)
		}
	}
}

// TestWarnings: what is odd but harmless is told with its place.
func TestWarnings(t *testing.T) {
	for name, c := range map[string]struct {
		in   []byte
		want string
	}{
		"no end":         {smf(0, 96, oneNote), "track 1, byte 30: has no end-of-track event"},
		"after the end":  {smf(0, 96, oneNote+endTrack+"abc"), "track 1, byte 34: goes on for 3 bytes after its end, which are passed over"},
		"no such note":   {smf(0, 96, "\x00\x80\x3c\x40"+endTrack), "track 1, byte 23: ends the note 60 on channel 1, which is not sounding"},
		"never ended":    {smf(0, 96, "\x00\x90\x3c\x40"+endTrack), "track 1, byte 23: the note 60 on channel 1 is never ended, and is taken to end with its track"},
		"tempo 0":        {smf(0, 96, "\x00\xff\x51\x03\x00\x00\x00"+oneNote+endTrack), "track 1, byte 23: sets a tempo of 0 microseconds a quarter note, which is passed over"},
		"meter 0":        {smf(0, 96, "\x00\xff\x58\x04\x00\x02\x18\x08"+oneNote+endTrack), "track 1, byte 23: sets a meter of 0 over 2^2, which is passed over"},
		"short tempo":    {smf(0, 96, "\x00\xff\x51\x01\x07"+oneNote+endTrack), "track 1, byte 23: has a meta event 0x51 of 1 bytes, where 3 belong; it is passed over"},
		"tracks missing": {append([]byte("MThd\x00\x00\x00\x06\x00\x01\x00\x05\x00\x60"), smf(0, 96, oneNote+endTrack)[14:]...), "chunk MThd, byte 10: promises 5 tracks, and there are 1"},
		"unknown chunk":  {append(smf(0, 96, oneNote+endTrack), "XFIH\x00\x00\x00\x00"...), "chunk XFIH, byte 34: is of an unknown kind and is passed over"},
	} {
		f, err := Read(c.in, "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		found := false
		for _, w := range f.Warnings {
			found = found || strings.Contains(w.Error(), c.want)
		}
		if !found {
			t.Errorf("%s: warnings %v, want %s", name, f.Warnings, c.want)
		}
	}
}

// TestHostileSizes: files made to be too much get an answer within bounds, also when
// they are made into a tune.
func TestHostileSizes(t *testing.T) {
	many := func(n int, s string) string { return strings.Repeat(s, n) }
	every := func(n int, f func(i int) string) string {
		var b bytes.Buffer
		for i := range n {
			b.WriteString(f(i))
		}
		return b.String()
	}
	for name, make := range map[string]func() []byte{
		"events":           func() []byte { return smf(0, 96, many(2_000_000, "\x00\x90\x3c\x00")+endTrack) },
		"controllers":      func() []byte { return smf(0, 96, many(2_000_000, "\x00\xb0\x07\x00")+endTrack) },
		"notes":            func() []byte { return smf(0, 96, many(80_000, "\x00\x90\x3c\x40\x01\x80\x3c\x40")+endTrack) },
		"notes of nothing": func() []byte { return smf(0, 96, many(80_000, "\x00\x90\x3c\x40\x00\x80\x3c\x40")+endTrack) },
		"bends": func() []byte {
			return smf(0, 96, "\x00\x90\x3c\x40"+many(150_000, "\x01\xe0\x00\x10\x01\xe0\x00\x60")+endTrack)
		},
		"bends under many": func() []byte {
			return smf(0, 96, every(128, func(i int) string { return "\x00\x90" + string([]byte{byte(i), 0x40}) })+many(80_000, "\x01\xe0\x00\x10\x01\xe0\x00\x60")+endTrack)
		},
		"manager bends": func() []byte {
			return smf(0, 96, "\x00\xb0\x65\x00\x00\xb0\x64\x06\x00\xb0\x06\x0f\x00\x91\x3c\x40"+many(100_000, "\x01\xe0\x00\x10\x01\xe0\x00\x60")+endTrack)
		},
		"words":    func() []byte { return smf(0, 96, many(200_000, "\x00\xff\x05\x02ab")+oneNote+endTrack) },
		"markers":  func() []byte { return smf(0, 96, many(40_000, "\x01\xff\x06\x02ab")+oneNote+endTrack) },
		"meters":   func() []byte { return smf(0, 96, many(40_000, "\x01\xff\x58\x04\x01\x0a\x18\x08")+oneNote+endTrack) },
		"far away": func() []byte { return smf(0, 1, many(500, "\xff\xff\xff\x7f\xc0\x00")+oneNote+endTrack) },
		"far, short bars": func() []byte {
			return smf(0, 96, "\x00\xff\x58\x04\x01\x0a\x18\x08\xff\xff\x7f\x90\x3c\x40\xff\xff\x7f\x80\x3c\x40"+endTrack)
		},
		"long note": func() []byte { return smf(0, 1, "\x00\x90\x3c\x40\xff\xff\x7f\x80\x3c\x40"+endTrack) },
		"tracks":    func() []byte { return append(smf(1, 96), many(100_000, "MTrk\x00\x00\x00\x04"+endTrack)...) },
		"chords": func() []byte {
			return smf(0, 96, many(300, every(128, func(i int) string { return "\x00\x90" + string([]byte{byte(i), 0x40}) })+"\x10\x80\x00\x00"+every(127, func(i int) string { return "\x00\x80" + string([]byte{byte(i + 1), 0x40}) }))+endTrack)
		},
	} {
		var im *Import
		hostile.Feed(t, name, make(), func(in []byte) (bool, error) {
			f, err := Read(in, "x.mid")
			if err != nil {
				return f != nil, err
			}
			f.Sounding()
			im, err = f.Tune(Options{})
			return im != nil, err
		})
		if im != nil {
			if l := im.Tune.Check(); len(l) > 0 {
				t.Errorf("%s: %v", name, l[0])
			}
		}
	}
}

// TestMostStrings: a rig of more strings than a zone has members is refused in
// words.
func TestMostStrings(t *testing.T) {
	in := handTab(t)
	in.Rig = in.Rig.Clone()
	for len(in.Rig.Strings) < 16 {
		in.Rig.Strings = append(in.Rig.Strings, in.Rig.Strings[0])
	}
	if _, err := Write(in); err == nil || !strings.Contains(err.Error(), "has 16 strings, and one MIDI zone holds 15 channels") {
		t.Errorf("got %v", err)
	}
}

// TestTempoAndMeter reads back tempo, meter and key as written, in the file's
// own terms.
func TestTempoAndMeter(t *testing.T) {
	b := tunetest.Quarters(1, "G3", "A3", "D4", "B3")
	b.Tempos = []tune.Tempo{{Beat: tune.Whole / 4, PerMinute: 90_000}, {At: tune.Whole / 2, Beat: 3 * tune.Whole / 8, PerMinute: 60_000}}
	data, err := WriteTune(tunetest.Song(b))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(data, "x.mid")
	if err != nil {
		t.Fatal(err)
	}
	c := f.Tracks[0]
	// 60e6/90 = 666667 µs; a dotted quarter at 60 is 666667 µs a quarter too,
	// so no second event is needed.
	if len(c.Tempos) != 1 || c.Tempos[0] != (Tempo{0, 666667}) {
		t.Errorf("tempos %v", c.Tempos)
	}
	if len(c.Meters) != 1 || c.Meters[0] != (Meter{0, 4, 4}) || len(c.Keys) != 1 || c.Keys[0] != (Key{0, 1, false}) {
		t.Errorf("meters %v, keys %v", c.Meters, c.Keys)
	}
	if c.Name != "Harbour Street Waltz" {
		t.Errorf("title %q", c.Name)
	}
}
