package midi

import (
	"fmt"
	"strings"
	"testing"
)

// TestReadToTheByte: what just fits is read, and what is one byte or one number over
// is not. Standard MIDI Files 1.0: a header may be longer than six bytes and what is
// more is passed over, a time or length has at most four bytes, a data byte is at
// most 127; RIFF chunks of odd length are followed by a byte that does not count.
func TestReadToTheByte(t *testing.T) {
	header := func(length int, more string) []byte {
		b := smf(0, 96, oneNote+endTrack)
		out := append([]byte("MThd\x00\x00\x00"), byte(length))
		return append(append(append(out, b[8:14]...), more...), b[14:]...)
	}
	riff := func(chunks string) []byte { return []byte("RIFF\x00\x00\x00\x00RMID" + chunks) }
	file := string(smf(0, 96, oneNote+endTrack))
	data := fmt.Sprintf("data%c\x00\x00\x00", len(file)) + file
	for name, c := range map[string]struct {
		in   []byte
		want string // what is heard, or the error
	}{
		"a longer header":         {header(8, "ab"), "0+1/4 60"},
		"a shorter header":        {header(5, ""), "byte 4: says it is 5 bytes long"},
		"a header and no more":    {smf(0, 96), "byte 14: the file has no track"},
		"13 bytes":                {smf(0, 96)[:13], "ends after 13 bytes, and a header has 14"},
		"three letters":           {[]byte("MTh"), `it begins with "MTh", not "MThd"`},
		"four letters":            {[]byte("MThd"), "ends after 4 bytes"},
		"unprintable":             {[]byte("\x1f ~\x7f"), `it begins with "? ~?"`},
		"type 3":                  {smf(3, 96, oneNote+endTrack), "is of type 3"},
		"one tick a quarter":      {smf(0, 1, "\x00\x90\x3c\x40\x01\x80\x3c\x40"+endTrack), "0+1/4 60"},
		"32767 ticks a quarter":   {smf(0, 0x7fff, "\x00\x90\x3c\x40\x81\xff\x7f\x80\x3c\x40"+endTrack), "0+1/4 60"},
		"SMPTE 30":                {smf(0, 0xE20A, "\x00\x90\x3c\x40\x82\x2c\x80\x3c\x40"+endTrack), "0+1/2 60"}, // 300 ticks a second, 300 of them
		"SMPTE 26":                {smf(0, 0xE60A, oneNote+endTrack), "says a second has 26 SMPTE frames"},
		"RIFF":                    {riff(data), "0+1/4 60"},
		"RIFF, an even chunk":     {riff("junk\x02\x00\x00\x00ab" + data), "0+1/4 60"},
		"RIFF, an odd chunk":      {riff("junk\x01\x00\x00\x00a\x00" + data), "0+1/4 60"},
		"RIFF, empty chunks":      {riff("junk\x00\x00\x00\x00junk\x00\x00\x00\x00" + data), "0+1/4 60"},
		"RIFF, seven bytes":       {riff("data\x00\x00\x00"), "byte 12: holds no MIDI file"},
		"RIFF, no data in it":     {riff("data\x00\x00\x00\x00"), "byte 20: the file is empty"},
		"RIFF, a byte over":       {riff("junk\x01\x00\x00\x00"), "byte 16: says it is 1 bytes long, and 0 are left"},
		"RIFF of another kind":    {[]byte("RIFF\x00\x00\x00\x00WAVE" + data), `it begins with "RIFF"`},
		"an error inside RIFF":    {riff("data\x04\x00\x00\x00hell"), `byte 20: is no Standard MIDI File`},
		"a chunk of no bytes":     {append(smf(0, 96, oneNote+endTrack), "XFIH\x00\x00\x00\x00"...), "0+1/4 60"},
		"a chunk a byte over":     {append(smf(0, 96, oneNote+endTrack), "XFIH\x00\x00\x00\x01"...), "byte 38: says it is 1 bytes long, and 0 are left"},
		"a text to the end":       {smf(0, 96, oneNote+"\x00\xff\x01\x02ab"), "0+1/4 60"},
		"a text a byte over":      {smf(0, 96, oneNote+"\x00\xff\x01\x03ab"), "said to be 3 bytes long, and the track has 2 left"},
		"a kind to the end":       {smf(0, 96, oneNote+"\x00\xff"), "ends in the middle of an event"},
		"a length to the end":     {smf(0, 96, oneNote+"\x00\xff\x01"), "the length of an event is no whole number"},
		"a time to the end":       {smf(0, 96, oneNote+"\x81"), "the time before an event is no whole number"},
		"a time of four bytes":    {smf(0, 0x4000, "\x80\x83\x80\x00\x90\x3c\x40\x81\x80\x00\x80\x3c\x40"+endTrack), "3/4+1/4 60"},
		"a program to the end":    {smf(0, 96, oneNote+"\x00\xc0\x05"), "0+1/4 60"},
		"a program cut off":       {smf(0, 96, oneNote+"\x00\xc0"), "ends in the middle of an event"},
		"a pressure to the end":   {smf(0, 96, oneNote+"\x00\xd0\x05"), "0+1/4 60"},
		"running pressure":        {smf(0, 96, oneNote+"\x00\xd0\x05\x00\x06\x00\x07"+endTrack), "0+1/4 60"},
		"a key of 127":            {smf(0, 96, "\x00\x90\x7f\x7f\x60\x80\x7f\x7f"+endTrack), "0+1/4 127"},
		"a velocity of 128":       {smf(0, 96, "\x00\x90\x3c\x80"), "byte 23: has an event 0x90 whose data byte is over 127"},
		"a key of 128":            {smf(0, 96, "\x00\x90\x80\x40"), "byte 23: has an event 0x90 whose data byte is over 127"},
		"sysex, then running":     {smf(0, 96, "\x00\x90\x3c\x40\x00\xf0\x01\xf7\x60\x3c\x00"), "byte 31: has a data byte 0x3C"},
		"the least status":        {smf(0, 96, "\x00\x7f\x3c\x40"), "has a data byte 0x7F where an event"},
		"a song position":         {smf(0, 96, "\x00\xf2\x00\x00"), "byte 23: has a status byte 0xF2"},
		"a thousand tracks":       {append(smf(1, 96), strings.Repeat("MTrk\x00\x00\x00\x04"+endTrack, MaxTracks-1)+"MTrk\x00\x00\x00\x0c"+oneNote+endTrack...), "0+1/4 60"},
		"a thousand tracks and 1": {append(smf(1, 96), strings.Repeat("MTrk\x00\x00\x00\x04"+endTrack, MaxTracks+1)...), "there are more than 1000 tracks"},
		"two hundred at once":     {smf(0, 96, strings.Repeat("\x00\x90\x3c\x40", 200)+strings.Repeat("\x00\x80\x3c\x40", 199)+"\x60\x80\x3c\x40"+endTrack), "0+1/4 60"},
		"two hundred and one":     {smf(0, 96, strings.Repeat("\x00\x90\x3c\x40", 201)+endTrack), "more than 200 notes sound at once"},
		"two hundred in turn":     {smf(0, 96, strings.Repeat("\x00\x90\x3c\x40\x00\x80\x3c\x40", 250)+oneNote+endTrack), "0+1/4 60"},
	} {
		got := ""
		if f, err := Read(c.in, "x.mid"); err != nil {
			got = err.Error()
		} else if heard := heardText(f); len(heard) > 0 {
			got = heard[len(heard)-1]
		}
		if !strings.Contains(got, c.want) {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

// TestMetaEvents: the numbers and words of meta events (Standard MIDI Files 1.0: a
// tempo has three bytes, a key two, a meter four, whose second is a power of two),
// and what is passed over.
func TestMetaEvents(t *testing.T) {
	long := strings.Repeat("a", 1200)
	for name, c := range map[string]struct{ in, want string }{
		"a tempo":               {"\x00\xff\x51\x03\x01\x02\x03", "tempo 66051"},
		"the shortest":          {"\x00\xff\x51\x03\x00\x00\x01", "tempo 1"},
		"a tempo of four bytes": {"\x00\xff\x51\x04\x01\x02\x03\x04", "warned"},
		"a tempo of two bytes":  {"\x00\xff\x51\x02\x01\x02", "warned"},
		"a meter":               {"\x00\xff\x58\x04\x06\x03\x18\x08", "meter 6/8"},
		"one beat of a 1024th":  {"\x00\xff\x58\x04\x01\x0a\x18\x08", "meter 1/1024"},
		"of a 2048th":           {"\x00\xff\x58\x04\x01\x0b\x18\x08", "warned"},
		"a meter of five bytes": {"\x00\xff\x58\x05\x03\x02\x18\x08\x00", "meter 3/4"},
		"a meter of three":      {"\x00\xff\x58\x03\x03\x02\x18", "warned"},
		"a key":                 {"\x00\xff\x59\x02\xfd\x01", "key -3 true"},
		"C major":               {"\x00\xff\x59\x02\x00\x00", "key 0 false"},
		"a key of three bytes":  {"\x00\xff\x59\x03\xfd\x01\x00", "warned"},
		"a key of one":          {"\x00\xff\x59\x01\xfd", "warned"},
		"the first name":        {"\x00\xff\x03\x01a\x00\xff\x03\x01b", "name a"},
		"UTF-8":                 {"\x00\xff\x03\x02\xc3\xa9", "name é"},
		"Latin-1":               {"\x00\xff\x03\x01\xe9", "name é"},
		"a bell and blanks":     {"\x00\xff\x03\x05 a\x07b ", "name ab"},
		"zeros at the end":      {"\x00\xff\x03\x03a\x00\x00", "name a"},
		"a long name":           {"\x00\xff\x03\x89\x30" + long, "name " + long[:1000]},
		"a lyric and a marker":  {"\x60\xff\x05\x02la\x60\xff\x06\x01A", "lyric la at 96, marker A at 192"},
		"a text":                {"\x00\xff\x01\x01a", ""},
		"the first program":     {"\x00\xc0\x00\x00\xc0\x05", "program 0"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var got []string
		k := f.Tracks[0]
		add := func(format string, args ...any) { got = append(got, fmt.Sprintf(format, args...)) }
		for _, x := range k.Tempos {
			add("tempo %d", x.Microseconds)
		}
		for _, x := range k.Meters {
			add("meter %d/%d", x.Beats, x.Unit)
		}
		for _, x := range k.Keys {
			add("key %d %v", x.Fifths, x.Minor)
		}
		if k.Name != "" {
			add("name %s", k.Name)
		}
		for _, x := range k.Lyrics {
			add("lyric %s at %d", x.Text, x.At)
		}
		for _, x := range k.Markers {
			add("marker %s at %d", x.Text, x.At)
		}
		if k.Program >= 0 {
			add("program %d", k.Program)
		}
		if len(f.Warnings) > 0 {
			add("warned")
		}
		if g := strings.Join(got, ", "); g != c.want {
			t.Errorf("%s: %s, want %s", name, g, c.want)
		}
	}
}

// TestBendsOfANote: what is set at the tick of the note-on is where it begins, what
// is set at the tick of its end is no longer its own, and of one tick the last holds.
// A bend of 0x2000 is none, each 0x1000 half of the range of two semitones (MIDI 1.0).
func TestBendsOfANote(t *testing.T) {
	on, off := "\x00\x90\x3c\x40", "\x80\x3c\x40"
	for name, c := range map[string]struct{ in, want string }{
		"before":           {"\x00\xe0\x00\x60" + on + "\x60" + off, "1 []"},
		"lowest":           {"\x00\xe0\x00\x00" + on + "\x60" + off, "-2 []"},
		"fine":             {"\x00\xe0\x40\x40" + on + "\x60" + off, "0.015625 []"},
		"at its tick":      {on + "\x00\xe0\x00\x60\x60" + off, "1 []"},
		"twice at it":      {on + "\x00\xe0\x00\x60\x00\xe0\x00\x50\x60" + off, "0.5 []"},
		"before and at it": {"\x00\xe0\x00\x20" + on + "\x00\xe0\x00\x60\x60" + off, "1 []"},
		"a tick later":     {on + "\x01\xe0\x00\x60\x5f" + off, "0 [{1 1}]"},
		"twice under it":   {on + "\x01\xe0\x00\x60\x00\xe0\x00\x50\x5f" + off, "0 [{1 0.5}]"},
		"two under it":     {on + "\x01\xe0\x00\x60\x01\xe0\x00\x50\x5e" + off, "0 [{1 1} {2 0.5}]"},
		"a tick before":    {on + "\x5f\xe0\x00\x60\x01" + off, "0 [{95 1}]"},
		"at its end":       {on + "\x60\xe0\x00\x60\x00" + off, "0 []"},
		"after it":         {on + "\x60" + off + "\x00\xe0\x00\x60", "0 []"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil || len(f.Tracks[0].Notes) != 1 {
			t.Errorf("%s: %v", name, err)
			continue
		}
		n := f.Tracks[0].Notes[0]
		if got := fmt.Sprintf("%v %v", n.Bend, n.Bends); got != c.want || n.Len != 96 {
			t.Errorf("%s: %s for %d ticks, want %s", name, got, n.Len, c.want)
		}
	}
}

// TestZones: which channels a zone has and what bends them (MIDI Polyphonic
// Expression, MMA RP-053, 2018): the lower zone's members are counted up from channel
// 2, the upper one's down from 15; a new zone takes channels from the other; a range
// sent to one member holds for all; the manager's bend, of two semitones, is added.
func TestZones(t *testing.T) {
	rpn := func(ch, number, value int) string {
		s := "\x00\xb0\x65\x00\x00\xb0\x64" + string([]byte{byte(number)}) + "\x00\xb0\x06" + string([]byte{byte(value)})
		return strings.ReplaceAll(s, "\xb0", string([]byte{0xb0 | byte(ch-1)}))
	}
	up := func(ch int) string { return "\x00" + string([]byte{0xe0 | byte(ch-1)}) + "\x00\x60" }
	note := func(ch int) string {
		return fmt.Sprintf("\x00%s\x3c\x40\x60%s\x3c\x40", string([]byte{0x90 | byte(ch-1)}), string([]byte{0x80 | byte(ch-1)}))
	}
	for name, c := range map[string]struct{ in, want string }{
		"the first member":        {rpn(1, 6, 2) + up(2) + note(2), "84"},
		"the last member":         {rpn(1, 6, 2) + up(3) + note(3), "84"},
		"none":                    {rpn(1, 6, 2) + up(4) + note(4), "61"},
		"its manager":             {rpn(1, 6, 2) + up(1) + note(3), "61"},
		"its manager, no member":  {rpn(1, 6, 2) + up(1) + note(4), "60"},
		"its manager's own notes": {rpn(1, 6, 2) + up(1) + note(1), "61"},
		"both":                    {rpn(1, 6, 2) + up(1) + up(2) + note(2), "85"},
		"the last upper member":   {rpn(16, 6, 2) + up(14) + note(14), "84"},
		"no upper member":         {rpn(16, 6, 2) + up(13) + note(13), "61"},
		"the upper manager":       {rpn(16, 6, 2) + up(16) + note(15), "61"},
		"the upper, no member":    {rpn(16, 6, 2) + up(16) + note(13), "60"},
		"the upper's own notes":   {rpn(16, 6, 2) + up(16) + note(16), "61"},
		"no manager":              {rpn(2, 6, 2) + up(3) + note(3), "61"},
		"no manager's bend":       {rpn(2, 6, 2) + up(1) + note(3), "60"},
		"fifteen of fourteen":     {rpn(1, 6, 7) + rpn(16, 6, 8) + up(1) + note(8), "60"},
		"all fifteen":             {rpn(1, 6, 15) + up(16) + note(16), "84"},
		"a zone ended":            {rpn(1, 6, 2) + rpn(1, 6, 0) + up(1) + note(2), "60"},
		"taken by the upper":      {rpn(1, 6, 10) + rpn(16, 6, 8) + up(1) + note(8), "60"},
		"left to the lower":       {rpn(1, 6, 10) + rpn(16, 6, 8) + up(1) + note(7), "61"},
		"taken by the lower":      {rpn(16, 6, 10) + rpn(1, 6, 8) + up(16) + note(9), "60"},
		"left to the upper":       {rpn(16, 6, 10) + rpn(1, 6, 8) + up(16) + note(10), "61"},
		"all taken":               {rpn(16, 6, 3) + rpn(1, 6, 15) + up(16) + note(15), "60"},
		"a range for all":         {rpn(1, 6, 2) + rpn(2, 0, 12) + up(3) + note(3), "66"},
		"a range for the manager": {rpn(1, 6, 2) + rpn(1, 0, 12) + up(3) + note(3), "84"},
		"a manager's wider bend":  {rpn(1, 6, 2) + rpn(1, 0, 12) + up(1) + note(3), "66"},
		"a range for one alone":   {rpn(2, 0, 12) + up(3) + note(3), "61"},
		"and cents":               {rpn(1, 0, 12) + "\x00\xb0\x26\x3c\x00\xe0\x00\x00" + note(1), "47"},
		"cents of another":        {rpn(1, 0, 12) + rpn(1, 1, 2) + "\x00\xb0\x26\x3c\x00\xe0\x00\x00" + note(1), "48"},
		"other cents":             {rpn(1, 0, 12) + "\x00\xb0\x26\x3c\x00\xb0\x26\x00\x00\xe0\x00\x00" + note(1), "48"},
	} {
		f, err := Read(smf(0, 96, c.in+endTrack), "x.mid")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := heardText(f); len(got) != 1 || got[0] != "0+1/4 "+c.want {
			t.Errorf("%s: heard %v, want key %s", name, got, c.want)
		}
	}
}

// TestTracksOfTheirOwn: in a file of type 2 each track is a piece; what one sets does
// not hold in the next (Standard MIDI Files 1.0).
func TestTracksOfTheirOwn(t *testing.T) {
	bent, plain := "\x00\xe0\x00\x60"+oneNote+endTrack, oneNote+endTrack
	for format, want := range map[int]string{1: "[0+1/4 61 0+1/4 61]", 2: "[0+1/4 61 0+1/4 60]"} {
		f, err := Read(smf(format, 96, bent, plain), "x.mid")
		if err != nil {
			t.Fatal(err)
		}
		if got := fmt.Sprint(heardText(f)); got != want {
			t.Errorf("type %d: %s, want %s", format, got, want)
		}
	}
}
