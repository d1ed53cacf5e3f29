package musicxml

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/notation/musicxml/terms"
	"lapwright/tune"
)

// TestRepeatInsideMeasure: a repeat or an ending inside a measure (MusicXML 4.0, the
// element barline with location "middle") is played where it stands. The order of
// playing is worked out by hand.
func TestRepeatInsideMeasure(t *testing.T) {
	backward := `<barline location="middle"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>`
	forward := `<barline location="middle"><bar-style>heavy-light</bar-style><repeat direction="forward"/></barline>`
	end := `<barline location="right"><repeat direction="backward"/></barline>`
	for name, c := range map[string]struct{ in, want, told string }{
		"backward": {"<measure number=\"1\">" + fourFour + nt("G4", 4) + "</measure><measure number=\"2\">" + nt("A4", 2) + backward + nt("B4", 2) + "</measure>",
			"0+1=67 1+1/2=69 3/2+1=67 5/2+1/2=69 3+1/2=71", ""},
		"forward": {"<measure number=\"1\">" + fourFour + nt("G4", 3) + forward + nt("A4", 1) + "</measure><measure number=\"2\">" + nt("B4", 4) + end + "</measure>",
			"0+3/4=67 3/4+1/4=69 1+1=71 2+1/4=69 9/4+1=71", ""},
		"two voices": {"<measure number=\"1\">" + fourFour + nt("G4", 2, "<voice>1</voice>") + backward + nt("B4", 2, "<voice>1</voice>") + "<backup><duration>4</duration></backup>" +
			nt("C4", 2, "<voice>2</voice>") + nt("D4", 2, "<voice>2</voice>") + "</measure>",
			"0+1/2=67 0+1/2=60 1/2+1/2=67 1/2+1/2=60 1+1/2=71 1+1/2=62", ""},
		"endings": {"<measure number=\"1\">" + fourFour + nt("G4", 2) + `<barline location="middle"><ending number="1" type="start"/></barline>` + nt("A4", 2) +
			`<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline></measure><measure number="2"><barline location="left"><ending number="2" type="start"/></barline>` +
			nt("B4", 4) + `<barline location="right"><ending number="2" type="discontinue"/></barline></measure>`,
			"0+1/2=67 1/2+1/2=69 1+1/2=67 3/2+1=71", ""},
		"under a note": {"<measure number=\"1\">" + fourFour + nt("G4", 2, "<voice>1</voice>") + backward + nt("B4", 2, "<voice>1</voice>") + "<backup><duration>4</duration></backup>" +
			nt("C4", 4, "<voice>2</voice>") + "</measure>",
			"0+1/2=67 0+1=60 1/2+1/2=71 1+1/2=67 1+1=60 3/2+1/2=71", "moved to the measure's edge"},
	} {
		s, err := Read([]byte(score(c.in)), "x.xml")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		tn := s.Parts[0].Tune
		var got []string
		for _, n := range tune.Sound(tn) {
			got = append(got, fmt.Sprintf("%s+%s=%d", n.At, n.Len, n.Name.Key()))
		}
		if g := strings.Join(got, " "); g != c.want {
			t.Errorf("%s: plays\n     %s\nwant %s", name, g, c.want)
		}
		if all := fmt.Sprint([]any{s.Warnings}); (c.told == "") != (len(s.Warnings) == 0) || !strings.Contains(all, c.told) {
			t.Errorf("%s: told %s", name, all)
		}
		if l := tn.Check(); len(l) > 0 {
			t.Errorf("%s: %v", name, l)
		}
		b, err := WriteTune(tn)
		if err != nil {
			t.Fatal(err)
		}
		again, err := Read(b, "y.xml")
		if err != nil || told(again.Parts[0].Tune) != told(tn) {
			t.Errorf("%s: written and read again it is another tune (%v)", name, err)
		}
	}
}

// TestTieIntoLastEnding: the note that a tie leads to in a second ending says so
// (MusicXML 4.0, the element tie).
func TestTieIntoLastEnding(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nK:C\n|:G4|A4-|1A4:|2A4|]\n"), "x.abc")
	if err != nil {
		t.Fatal(err)
	}
	b, err := WriteTune(tunes[0])
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(b), `<tie type="stop"/>`); n != 2 {
		t.Errorf("%d notes say that a tie stops at them, want 2", n)
	}
}

// TestBoundsAgree: what is beyond the reader's bounds is refused by the writer, and
// what is just within them is read.
func TestBoundsAgree(t *testing.T) {
	long := func(notes, voices int) *tune.Tune {
		tn := oneNote()
		bar := tn.Bars[0]
		e := bar.Lines[0][0]
		bar.Lines = nil
		tn.Voices = nil
		for v := range voices {
			tn.Voices = append(tn.Voices, tune.Voice{ID: fmt.Sprint(v + 1)})
			var line []tune.Event
			for i := range 32 {
				x := e
				x.At, x.Len, x.Value = tune.Ticks(i)*tune.Whole/32, tune.Whole/32, tune.Value{Log2: 5}
				line = append(line, x)
			}
			bar.Lines = append(bar.Lines, line)
		}
		bar.Meter, bar.Len = tune.Meter{Beats: 4, Unit: 4}, tune.Whole
		tn.Bars = nil
		for i := 0; i*32*voices < notes; i++ {
			b := bar
			b.Number = i + 1
			tn.Bars = append(tn.Bars, b)
		}
		return tn
	}
	for _, c := range []struct {
		tn   *tune.Tune
		want string
	}{
		{long(terms.MaxNotes, 1), ""},
		{long(terms.MaxNotes+1, 1), "the score would have 60032 notes, and 60000 is the most that is read again"},
		{long(32, 16), ""},
		{long(32, 17), "the score would have 17 voices, and 16 is the most that is read again"},
	} {
		b, err := WriteTune(c.tn)
		if c.want != "" {
			if err == nil || err.Error() != c.want {
				t.Errorf("got %v, want %s", err, c.want)
			}
			continue
		}
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		s, err := Read(b, "x.xml")
		if err != nil || len(s.Warnings) > 0 {
			t.Errorf("what is written is not read: %v %v", err, s)
		}
	}
}

// oneNote is a tune of one whole note.
func oneNote() *tune.Tune {
	tunes, _, err := abc.Read([]byte("X:1\nM:4/4\nL:1/4\nK:C\nG4|\n"), "x.abc")
	if err != nil {
		panic(err)
	}
	return tunes[0]
}
