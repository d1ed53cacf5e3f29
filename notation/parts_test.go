package notation

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/midi"
	"lapwright/rig/rigtest"
)

const (
	sounding = `<measure><attributes><divisions>1</divisions></attributes><note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration></note></measure>`
	drummed  = `<measure><attributes><divisions>1</divisions></attributes><note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched><duration>4</duration></note></measure>`
)

// TestPartsOfAScore: a part of drums alone is left out of several, with a word about
// it, unless it is asked for or is all there is.
func TestPartsOfAScore(t *testing.T) {
	score := func(parts ...string) string {
		list, music := "", ""
		for i, p := range parts {
			list += fmt.Sprintf(`<score-part id="P%d"><part-name>part %d</part-name></score-part>`, i+1, i+1)
			music += fmt.Sprintf(`<part id="P%d">%s</part>`, i+1, p)
		}
		return "<score-partwise><part-list>" + list + "</part-list>" + music + "</score-partwise>"
	}
	for _, c := range []struct {
		in, part string
		want     string
		left     bool
	}{
		{score(sounding, sounding), "", "part 1, part 2", false},
		{score(drummed, sounding), "", "part 2", true},
		{score(sounding, drummed), "part 2", "part 2", false},
		{score(drummed), "", "part 1", false},
	} {
		m, err := Open([]byte(c.in), "a.musicxml", Options{Part: c.part})
		if err != nil {
			t.Errorf("part %q of %d bytes: %v", c.part, len(c.in), err)
			continue
		}
		var names []string
		for _, it := range m.Items {
			names = append(names, it.Name)
			if it.Tab != nil {
				t.Errorf("%s has no strings and becomes a tab", it.Name)
			}
		}
		left := false
		for _, w := range m.Warnings {
			left = left || strings.Contains(w.Msg, "has no pitched notes and is left out")
		}
		if got := strings.Join(names, ", "); got != c.want || left != c.left {
			t.Errorf("part %q: %s (%v), want %s", c.part, got, m.Warnings, c.want)
		}
	}
}

// TestTabOnAnotherRig: strings and frets that a named rig has not are an error, not a
// tune without them.
func TestTabOnAnotherRig(t *testing.T) {
	r := rigtest.Builtin(t, "reso-open-g")
	tabbed := strings.Replace(sounding, "</duration>", "</duration><notations><technical><string>1</string><fret>5</fret></technical></notations>", 1)
	in := `<score-partwise><part-list><score-part id="P1"><part-name>a</part-name></score-part></part-list><part id="P1">` + tabbed + `</part></score-partwise>`
	m, err := Open([]byte(in), "a.musicxml", Options{Rig: r})
	if err != nil || m.Items[0].Tab == nil || m.Items[0].Tab.Strokes[0].Plucks[0].Fret != 5 {
		t.Fatalf("strings and frets: %v, %v", m, err)
	}
	// What goes into a compressed file is the same score.
	plain, _, err := Encode(MusicXML, &m.Items[0])
	if err != nil {
		t.Fatal(err)
	}
	packed, _, err := Encode(Compressed, &m.Items[0])
	if err != nil || string(packed[:2]) != "PK" || string(plain[:2]) == "PK" {
		t.Errorf("compressed: %.4q, plain %.4q, %v", packed, plain, err)
	}
}

// TestWarningsOfItems: what is said of a line belongs to the piece that the line is
// in; what has no line belongs to all.
func TestWarningsOfItems(t *testing.T) {
	m := &Material{Items: []Item{{From: 1, To: 4}, {From: 5, To: 9}, {}}}
	for _, line := range []int{0, 1, 4, 5, 9, 12} {
		m.Warnings.Add(&fault.Fault{Line: line, Msg: fmt.Sprint(line)})
	}
	for i, want := range []string{"0 1 4 12", "0 5 9 12", "0 12"} {
		var got []string
		for _, w := range m.WarningsOf(i) {
			got = append(got, w.Msg)
		}
		if g := strings.Join(got, " "); g != want {
			t.Errorf("piece %d is told of lines %s, want %s", i, g, want)
		}
	}
}

// TestTracksOfAFile: the tracks of a MIDI file are told by their numbers, from 1.
func TestTracksOfAFile(t *testing.T) {
	m, err := Open([]byte(slipway), "a.abc", Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := midi.EncodeTune(m.Items[0].Tune)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(b, "a.mid", Options{Part: "2"}); err != nil {
		t.Errorf("the track of notes: %v", err)
	}
	if _, err := Open(b, "a.mid", Options{Part: "9"}); err == nil {
		t.Error("a track that is not there is opened")
	}
}
