package notation

import (
	"strings"
	"testing"

	"lapwright/internal/rig"
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
	m, err := Open([]byte(slipway), "a.abc", Wish{})
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
		again, err := Open(b, "x", Wish{}) // told by its content
		if err != nil || again.Format != f && f != MusicXML {
			t.Errorf("%s: opened as %v, %v", f, again, err)
			continue
		}
		back, _, err := Encode(ABC, &again.Items[0])
		if err != nil || !strings.Contains(string(back), "G2A2B2c2|d2e2f2g2|]") {
			t.Errorf("%s: came back as %s, %v", f, back, err)
		}
	}
}

// TestTabTextNeedsARig: the one wished for, or the one our own text names.
func TestTabTextNeedsARig(t *testing.T) {
	if _, err := Open([]byte("|-0-2-|"), "a.txt", Wish{}); err == nil || !strings.Contains(err.Error(), "tab text is read for a rig, and none is named") {
		t.Errorf("no rig: %v", err)
	}
	if _, err := Open([]byte("tab text 1\nrig: mine\n"), "a.txt", Wish{}); err == nil || !strings.Contains(err.Error(), `the tab text is for the rig "mine", which is not built in`) {
		t.Errorf("a rig of the user's own: %v", err)
	}
	r, ok := rig.Builtin("reso-open-g")
	if !ok {
		t.Fatal("the rig reso-open-g is gone")
	}
	m, err := Open([]byte("D |-0-2-4-|\nB |-------|\nG |-------|\nD |-------|\nB |-------|\nG |-------|\n"), "a.txt", Wish{Rig: r})
	if err != nil || m.Items[0].Tab == nil {
		t.Fatalf("%v, %v", m, err)
	}
}
