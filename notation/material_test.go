package notation

import (
	"strings"
	"testing"

	"lapwright/rig/rigtest"
)

const slipway = "X:1\nT:Up the slipway\nM:4/4\nL:1/4\nK:G\nGABc|defg|]\n"

// TestFormatIsTold: by the ending, else by the content.
func TestFormatIsTold(t *testing.T) {
	for file, want := range map[string]Format{"a.abc": ABC, "A.XML": MusicXML, "a.musicxml": MusicXML, "a.mxl": Compressed, "a.MID": MIDI, "a.midi": MIDI, "a.txt": TabText, "a.tab": TabText} {
		if got, ok := FormatOf(file); !ok || got != want {
			t.Errorf("%s: got %q, want %q", file, got, want)
		}
	}
	if f, ok := FormatOf("a.pdf"); ok {
		t.Errorf("a.pdf is taken for %q", f)
	}
	for in, want := range map[string]Format{
		slipway: ABC, "%abc-2.1\n": ABC, "some words\nX:1\n": ABC, "MThd": MIDI, "RIFF": MIDI, "PK\x03\x04": Compressed,
		"\xef\xbb\xbf<?xml?>": MusicXML, "  <score-partwise/>": MusicXML, "\xff\xfe<\x00": MusicXML, "|-0-2-|": TabText, "": TabText,
	} {
		if got := Sniff([]byte(in)); got != want {
			t.Errorf("%.20q: got %q, want %q", in, got, want)
		}
	}
}

// TestEveryFormatOpensWhatItWrites: one tune on one rig, through every format
// and back.
func TestEveryFormatOpensWhatItWrites(t *testing.T) {
	m, err := Open([]byte(slipway), "a.abc", Options{})
	if err != nil {
		t.Fatal(err)
	}
	it := m.Items[0]
	for _, f := range Formats {
		b, _, err := Encode(f, &it)
		if f == TabText {
			if err == nil || !strings.Contains(err.Error(), "a tune is no tab yet") {
				t.Errorf("a tune as tab text: %v", err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		again, err := Open(b, "x", Options{}) // told by its content
		if err != nil || again.Format != f && f != MusicXML {
			t.Errorf("%s: opened as %v, %v", f, again, err)
			continue
		}
		back, _, err := Encode(ABC, &again.Items[0])
		kept := "G2A2B2c2|d2e2f2g2|]"
		if f == Chart { // a chart has chords alone, and this tune has none
			kept = "\"N.C.\"Z|Z|]"
		}
		if err != nil || !strings.Contains(string(back), kept) {
			t.Errorf("%s: came back as %s, %v", f, back, err)
		}
	}
}

// TestTabTextNeedsARig: the one wished for, or the one our own text names.
func TestTabTextNeedsARig(t *testing.T) {
	if _, err := Open([]byte("|-0-2-|"), "a.txt", Options{}); err == nil || !strings.Contains(err.Error(), "tab text is read for a rig, and none is named") {
		t.Errorf("no rig: %v", err)
	}
	if _, err := Open([]byte("tab text 1\nrig: mine\n"), "a.txt", Options{}); err == nil || !strings.Contains(err.Error(), `the tab text is for the rig "mine", which is not built in`) {
		t.Errorf("a rig of the user's own: %v", err)
	}
	r := rigtest.Builtin(t, "reso-open-g")
	m, err := Open([]byte("D |-0-2-4-|\nB |-------|\nG |-------|\nD |-------|\nB |-------|\nG |-------|\n"), "a.txt", Options{Rig: r})
	if err != nil || m.Items[0].Tab == nil {
		t.Fatalf("%v, %v", m, err)
	}
}

// TestMIDIPart: a track by number or name, a channel of it.
func TestMIDIPart(t *testing.T) {
	// Type 0, 96 ticks a quarter, a track named "band": C4 on channel 1 and C5
	// on channel 4, a quarter note each.
	track := "\x00\xff\x03\x04band\x00\x90\x3c\x40\x00\x93\x48\x40\x60\x80\x3c\x40\x00\x83\x48\x40\x00\xff\x2f\x00"
	in := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00" + string(rune(len(track))) + track)
	for part, want := range map[string]string{"1:4": "C5", "1:1": "C4", "band": "C4 C5", "1": "C4 C5"} {
		m, err := Open(in, "x.mid", Options{Part: part})
		if err != nil {
			t.Errorf("part %q: %v", part, err)
			continue
		}
		var got []string
		for _, n := range m.Items[0].Tune.Bars[0].Lines[0][0].Notes {
			got = append(got, n.Name.String())
		}
		if g := strings.Join(got, " "); g != want {
			t.Errorf("part %q: got %s, want %s", part, g, want)
		}
	}
	for part, want := range map[string]string{"2": `there is no track "2"`, "choir": `there is no track "choir"`, "1:17": `there is no track "1:17"`, "1:5": "track 1 has no notes on channel 5"} {
		if _, err := Open(in, "x.mid", Options{Part: part}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("part %q: got %v, want %s", part, err, want)
		}
	}
}
