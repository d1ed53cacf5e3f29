package notation

import (
	"slices"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/midi"
)

// A track is named by its name in any case, by its number, or as track and
// channel; MIDI has 16 channels (MIDI 1.0, Channel Voice Messages).
func TestMIDIParts(t *testing.T) {
	f := &midi.File{Name: "x.mid", Tracks: []midi.Track{{Name: "Melody"}, {Name: "Bass"}}}
	for part, want := range map[string][2]int{"melody": {1, 0}, "BASS": {2, 0}, "1": {1, 0}, "2": {2, 0}, "1:1": {1, 1}, "2:16": {2, 16}} {
		if n, c, err := midiPart(f, part); err != nil || [2]int{n, c} != want {
			t.Errorf("%q: track %d, channel %d, %v; want %v", part, n, c, err, want)
		}
	}
	for _, part := range []string{"0", "3", "-1", "x", "1:0", "1:17", "1:x", "0:1", "3:1", "x:1", ":1", "1:"} {
		if n, c, err := midiPart(f, part); err == nil || !strings.Contains(err.Error(), "there is no track ") {
			t.Errorf("%q: track %d, channel %d, %v; want none", part, n, c, err)
		}
	}
}

func TestFormatsByName(t *testing.T) {
	for _, f := range Formats {
		if got, err := ParseFormat(string(f)); err != nil || got != f {
			t.Errorf("%q: %q %v", f, got, err)
		}
	}
	if got, err := ParseFormat("pdf"); err == nil || got != "" || !strings.Contains(err.Error(), `there is no format "pdf"`) {
		t.Errorf("pdf: %q %v", got, err)
	}
}

// Each tune of a file knows its lines, keeps its number, and hears the warnings
// about its own lines and about the file as a whole.
func TestLinesOfTunes(t *testing.T) {
	const first = "X:7\nT:Low Tide\nM:4/4\nL:1/4\nK:G\nGABc|]\n"
	m, err := Open([]byte(first+"\n"+"X:0\nT:High Tide\nM:4/4\nL:1/4\nK:G\nGABc|]\n"), "x.abc", Options{})
	if err != nil || len(m.Items) != 2 {
		t.Fatal(err)
	}
	a, b := m.Items[0], m.Items[1]
	if a.From != 1 || a.To != 7 || b.From != 8 || b.To < 13 || a.Tune.Index != 7 || b.Tune.Index != 2 {
		t.Errorf("lines %d to %d and %d to %d, numbers %d and %d", a.From, a.To, b.From, b.To, a.Tune.Index, b.Tune.Index)
	}
	m.Warnings = fault.List{{Msg: "file"}, {Line: 1, Msg: "1"}, {Line: 7, Msg: "7"}, {Line: 8, Msg: "8"}, {Line: 13, Msg: "13"}}
	for i, want := range [][]string{{"file", "1", "7"}, {"file", "8", "13"}} {
		var got []string
		for _, w := range m.WarningsOf(i) {
			got = append(got, w.Msg)
		}
		if !slices.Equal(got, want) {
			t.Errorf("tune %d hears %q, want %q", i+1, got, want)
		}
	}
}
