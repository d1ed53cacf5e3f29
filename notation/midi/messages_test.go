package midi

import (
	"strings"
	"testing"
)

// TestControllers: what sets the pitch of a note beside its key. The numbers are
// those of MIDI 1.0 (registered parameter 0 is the bend range, controllers 98 and 99
// name parameters that are not registered, 121 resets) and of MIDI Polyphonic
// Expression (MMA RP-053, 2018: parameter 6 on channel 1 or 16 makes a zone, whose
// members bend by 48 semitones).
func TestControllers(t *testing.T) {
	const (
		up      = "\x00\xe0\x00\x60" // half of the bend range up, on channel 1
		range12 = "\x00\xb0\x65\x00\x00\xb0\x64\x00\x00\xb0\x06\x0c"
		upper   = "\x00\xbf\x65\x00\x00\xbf\x64\x06\x00\xbf\x06\x02"
	)
	for name, c := range map[string]struct{ in, want string }{
		"two semitones unasked":      {up + oneNote, "60 61"},
		"a parameter unregistered":   {range12[:8] + "\x00\xb0\x63\x00\x00\xb0\x62\x00\x00\xb0\x06\x0c" + up + oneNote, "60 61"},
		"bent down":                  {range12 + "\x00\xe0\x00\x20" + oneNote, "60 54"},
		"reset":                      {up + "\x00\xb0\x79\x00" + oneNote, "60 60"},
		"bent again after the reset": {up + "\x00\xb0\x79\x00" + up + oneNote, "60 61"},
		"the upper zone":             {upper + "\x00\xee\x00\x60\x00\x9e\x3c\x40\x60\x8e\x3c\x40", "60 84"},
		"outside the upper zone":     {upper + "\x00\xec\x00\x60\x00\x9c\x3c\x40\x60\x8c\x3c\x40", "60 61"},
		"the upper zone's manager":   {upper + "\x00\xef\x00\x60\x00\x9e\x3c\x40\x60\x8e\x3c\x40", "60 61"},
		"velocity 0 ends a note":     {"\x00\x90\x3c\x40\x60\x90\x3c\x00", "60 60"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(f.Tracks[0].Notes) != 1 {
			t.Errorf("%s: %d notes", name, len(f.Tracks[0].Notes))
			continue
		}
		if got := heardText(f)[0]; got != "0+1/4"+strings.TrimPrefix(c.want, "60") {
			t.Errorf("%s: heard %s, want key %s", name, got, c.want)
		}
	}
}

// TestOddFiles: the numbers at the edges of what the Standard MIDI File 1.0 allows.
func TestOddFiles(t *testing.T) {
	for name, c := range map[string]struct {
		in   []byte
		want string // "" for no warning
	}{
		"seven flats":        {smf(0, 96, "\x00\xff\x59\x02\xf9\x00"+oneNote+endTrack), ""},
		"seven sharps":       {smf(0, 96, "\x00\xff\x59\x02\x07\x01"+oneNote+endTrack), ""},
		"eight sharps":       {smf(0, 96, "\x00\xff\x59\x02\x08\x00"+oneNote+endTrack), "sets a key of 8 accidentals and mode 0"},
		"eight flats":        {smf(0, 96, "\x00\xff\x59\x02\xf8\x00"+oneNote+endTrack), "sets a key of -8 accidentals and mode 0"},
		"a third mode":       {smf(0, 96, "\x00\xff\x59\x02\x00\x02"+oneNote+endTrack), "sets a key of 0 accidentals and mode 2"},
		"type 0, two tracks": {smf(0, 96, oneNote+endTrack, oneNote+endTrack), "is of type 0, which has one track, and there are 2"},
		"type 1, two tracks": {smf(1, 96, oneNote+endTrack, oneNote+endTrack), ""},
		"a few bytes more":   {append(smf(0, 96, oneNote+endTrack), "abc"...), "the last 3 bytes are no chunk"},
		"seven bytes more":   {append(smf(0, 96, oneNote+endTrack), "MTrk\x00\x00\x00"...), "the last 7 bytes are no chunk"},
	} {
		f, err := Read(c.in, "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		said := ""
		for _, w := range f.Warnings {
			said += w.Error() + "\n"
		}
		if (c.want == "") != (said == "") || !strings.Contains(said, c.want) {
			t.Errorf("%s: told %q, want %q", name, said, c.want)
		}
	}
}
