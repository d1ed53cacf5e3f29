package abc

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/tune"
)

// TestUnits: section 3.1.7, from memory, and the default by the meter.
func TestUnits(t *testing.T) {
	for _, c := range []struct{ fields, want string }{
		{"M:4/4", "1/8"}, {"M:3/4", "1/8"}, {"M:2/4", "1/16"}, {"M:6/8", "1/8"}, {"M:5/8", "1/16"}, {"M:none", "1/8"}, {"", "1/8"},
		{"M:2/4\nL:1/4", "1/4"}, {"L:1/1", "1"}, {"L:1/3", "1/8"}, {"L:0", "1/8"}, {"L:1/0", "1/8"},
	} {
		tunes, _, err := Read([]byte("X:1\n"+c.fields+"\nK:C\nC|\n"), "")
		if err != nil {
			t.Errorf("%q: %v", c.fields, err)
			continue
		}
		if got := tunes[0].Bars[0].Len.String(); got != c.want {
			t.Errorf("%q: a plain note lasts %s, want %s", c.fields, got, c.want)
		}
	}
}

func TestHeader(t *testing.T) {
	tunes, warnings, err := Read([]byte("%abc-2.1\nM:3/4\nO:Harbour Street\n\nX:7\nT:First\nT:Second\nC:A. Nonymous\nC:Another\nR:air\nS:a friend\nN:one\n+:more\nH:old\nZ:by hand\nP:A2B\nQ:1/4=90\nL:1/4\n"+
		"V:1 name=\"Upper\"\nV:2\nK:G\n[V:1]P:A\nC3|\nT:Third\nW:first line\nW:\nW:second\n\nfree text\n\nX:8\nT:Next\nK:D\nM:none\nd\n"), "book.abc")
	if err != nil || len(tunes) != 2 {
		t.Fatalf("%d tunes, %v, %v", len(tunes), err, warnings)
	}
	a := tunes[0]
	got := fmt.Sprintf("%d|%s|%q|%s|%s|%s|%s|%q|%q|%s|%v", a.Index, a.Title, a.Subtitles, a.Composer, a.Origin, a.Rhythm, a.Source, a.Notes, a.Words, a.Bars[0].Key, a.Bars[0].Meter.Beats)
	want := `7|First|["Second" "Third"]|A. Nonymous, Another|Harbour Street|air|a friend|["one more" "History: old" "Transcription: by hand"]|["first line" "" "second"]|G major|3`
	if got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
	if b := tunes[1]; b.Index != 8 || b.Origin != "Harbour Street" || b.Bars[0].Meter.Beats != 0 || b.Bars[0].Len != tune.Whole/8 {
		t.Errorf("second tune: %d, %s, %v", b.Index, b.Origin, b.Bars[0].Meter)
	}
}

// TestBadFiles: what is no book of tunes is one clear error.
func TestBadFiles(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"", "x.abc: the file is empty"},
		{" \n\t\n", "x.abc: the file is empty"},
		{"X:1\nK:C\nC\x00", "x.abc: byte 9: this is not text"},
		{"hello\nworld\n", "x.abc:1:1: there is no tune in the file"},
		{"X:1\nT:no key\n", "x.abc:1:1: there is no tune in the file: the tune X:1 has no K: field"},
		{"X:1\nK:C\n", "x.abc:1:1: there is no tune in the file: the tune X:1 has no notes"},
		{strings.Repeat("x", MaxBytes+1), "x.abc: the file has 33554433 bytes"},
		{strings.Repeat("a", 1<<20), "x.abc:1:65537: there is no tune in the file: the line has 1048576 bytes"},
		{strings.Repeat("X:1\nK:C\n"+strings.Repeat("abcd", 15_000)+"\n", 6), "has more than 250000 notes, signs"},
		{strings.Repeat("X:1\nK:C\na\n\n", MaxTunes+1), "x.abc:40001:1: the file has more than 10000 tunes"},
		{strings.Repeat("N:x\n", 300), "the file header has more than 200 fields"},
	} {
		tunes, _, err := Read([]byte(c.src), "x.abc")
		f, ok := err.(*fault.Fault)
		if !ok || tunes != nil || !strings.Contains(f.Error(), c.want) {
			t.Errorf("%.40q: got %v and %d tunes, want %q", c.src, err, len(tunes), c.want)
		}
	}
}

// TestWarningsAreBounded: the list ends with a count.
func TestWarningsAreBounded(t *testing.T) {
	_, warnings, err := Read([]byte("X:1\nK:C\nC\n"+strings.Repeat("J:what\n", 5000)), "x.abc")
	if err != nil || len(warnings) != MaxWarnings+1 || !strings.Contains(warnings[MaxWarnings].Error(), "4000 more warnings") {
		t.Errorf("%v, %d warnings", err, len(warnings))
	}
}

// TestOutsideTunes: what stands between tunes is not lost without a word.
func TestOutsideTunes(t *testing.T) {
	tunes, warnings, err := Read([]byte("X:1\nK:C\nC|\n\nD|E|\nfree text\nZ:who\n\nX:2\nT:none\n\nX:3\nK:C\nF|\n\nT:headless\nK:C\nG|\n"), "")
	if err != nil || len(tunes) != 3 {
		t.Fatalf("%d tunes, %v", len(tunes), err)
	}
	var got []string
	for _, w := range warnings {
		got = append(got, w.Error())
	}
	want := []string{
		`5:1: a line of music stands outside every tune and is left out: "D|E|"`,
		`7:1: the field "Z:who" stands outside every tune and is left out`,
		`9:1: the tune X:2 has no K: field and no notes, and is left out`,
		`16:1: a tune begins without its X: field`,
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestFieldGoesOn: a field of the header that ends in a backslash has its next line
// with it, which is no music (section 10.3: abc 2.0 had it so). In the body a
// backslash after a line of music joins lines of music.
func TestFieldGoesOn(t *testing.T) {
	for _, c := range []struct{ src, title, notes string }{
		{"X:1\nT:The Long \\\nand Winding Slipway\nK:C\nC4|\n", "The Long and Winding Slipway", "[]"},
		{"X:1\nT:Short\nN:a remark that \\\n  goes on \\\nand on\nM:4/4\nK:C\nC4|\n", "Short", "[a remark that goes on and on]"},
		{"X:1\nT:Short \\\nN:one\nK:C\nC4|\n", "Short", "[one]"},
		{"X:1\nT:Slash \\\\\nK:C\nC4|\n", "Slash \\", "[]"},
	} {
		tunes, warnings, err := Read([]byte(c.src), "")
		if err != nil || len(warnings) > 0 || len(tunes) != 1 {
			t.Errorf("%q: %d tunes, %v %v", c.src, len(tunes), err, warnings)
			continue
		}
		if got := fmt.Sprint(tunes[0].Notes); tunes[0].Title != c.title || got != c.notes || len(tunes[0].Bars) != 1 {
			t.Errorf("%q: title %q, notes %s, %d bars; want %q, %s, 1", c.src, tunes[0].Title, got, len(tunes[0].Bars), c.title, c.notes)
		}
	}
}

// ABC says of swung eighths no more than the kind of tune does: what that does not tell is told as lost.
func TestSwingByKind(t *testing.T) {
	for _, c := range []struct {
		kind, meter string
		read, write tune.Swing
		lost        bool
	}{
		{"western swing", "4/4", tune.TempoSwing, tune.TempoSwing, false},
		{"Blues", "4/4", tune.TripletSwing, tune.TripletSwing, false},
		{"blues", "12/8", tune.Swing{}, tune.Swing{}, false},
		{"straight blues", "4/4", tune.Swing{}, tune.Swing{}, false},
		{"reel", "4/4", tune.Swing{}, tune.TripletSwing, true},
		{"blues", "4/4", tune.TripletSwing, tune.Swing{}, true},
	} {
		src := "X:1\nT:Lantern Row\nR:" + c.kind + "\nM:" + c.meter + "\nL:1/8\nK:C\nCDEF|]\n"
		tunes, _, err := Read([]byte(src), "t.abc")
		if err != nil {
			t.Fatal(err)
		}
		if got := tunes[0].Swing; got != c.read {
			t.Errorf("%s in %s is read as %s, want %s", c.kind, c.meter, got, c.read)
		}
		tunes[0].Swing = c.write
		text, lost := Write(tunes[0])
		if (len(lost) > 0) != c.lost || c.lost && !strings.Contains(lost[0].Msg, "which ABC can't say") {
			t.Errorf("%s, %s, is written with %v lost", c.kind, c.write, lost)
		}
		if again, _, err := Read(text, "t.abc"); err != nil || again[0].Swing != c.read {
			t.Errorf("%s comes back as %v, %v", c.kind, again, err)
		}
	}
}
