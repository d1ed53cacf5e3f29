package abc

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/tune"
)

// TestKeys reads K: fields: the key, its signature from C to B, and what is not
// understood. Section 3.1.14 of the ABC 2.1 standard, from memory; the signatures of
// the modes are common practice, no source.
func TestKeys(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"C", "C major 0000000"}, {"G", "G major 000+000"}, {"Bb", "Bb major 00-000-"}, {"F#", "F# major ++++++0"},
		{"Am", "A minor 0000000"}, {"A minor", "A minor 0000000"}, {"AMin", "A minor 0000000"}, {"Eb MAJOR", "Eb major 00-00--"},
		{"Ddor", "D dorian 0000000"}, {"D Dorian", "D dorian 0000000"}, {"Gmix", "G mixolydian 0000000"}, {"A mix", "A mixolydian +00+000"},
		{"Ephr", "E phrygian 0000000"}, {"Flyd", "F lydian 0000000"}, {"Bloc", "B locrian 0000000"}, {"Cion", "C major 0000000"}, {"Aaeo", "A minor 0000000"},
		{"F#m", "F# minor +00++00"}, {"Bbmin", "Bb minor 0--0---"},
		{"D Phr ^f", "D phrygian 00-+00- own"}, {"D exp _b _e ^f", "D major 00-+00- own"}, {"D maj =c", "D major 000+000 own"}, {"D=c", "D major 000+000 own"},
		{"Gexp^f", "G major 000+000"},
		{"HP", "A mixolydian +00+000"}, {"Hp", "A mixolydian +00+000"}, {"none", "C major 0000000"}, {"", "C major 0000000"},
		{"G clef=bass", "G major 000+000, clef bass"}, {"Am bass", "A minor 0000000, clef bass"}, {"G treble-8", "G major 000+000, clef treble-8, octave -1"},
		{"C octave=-1", "C major 0000000, octave -1"}, {"C transpose=-3", "C major 0000000, semitones -3"}, {"C transpose=14", "C major 0000000, octave 1, semitones 2"},
		{"G nonsense", `G major 000+000, unread "nonsense"`}, {"Gfoo", `G major 000+000, unread "foo"`}, {"G#", "G# major +++++++ own"},
		{"clef=alto", "none, clef alto"}, {"C octave=99", `C major 0000000, unread "octave=99"`},
	} {
		k := parseKey(c.field)
		got := "none"
		if k.set {
			got = k.key.String() + " "
			for _, a := range k.key.Signature {
				got += map[int8]string{0: "0", 1: "+", -1: "-", 2: "+"}[a]
			}
			if k.key.Own {
				got += " own"
			}
		}
		if k.clef.name != "" {
			got += ", clef " + k.clef.name
		}
		if k.clef.octave != 0 {
			got += fmt.Sprintf(", octave %d", k.clef.octave)
		}
		if k.clef.semitones != 0 {
			got += fmt.Sprintf(", semitones %d", k.clef.semitones)
		}
		if k.unread != "" {
			got += fmt.Sprintf(", unread %q", k.unread)
		}
		if got != c.want {
			t.Errorf("K:%s: got %s, want %s", c.field, got, c.want)
		}
		if k.set {
			again := parseKey(keyText(k.key))
			if again.key != k.key || again.unread != "" {
				t.Errorf("K:%s is written K:%s and read as %+v", c.field, keyText(k.key), again)
			}
		}
	}
}

// TestMeters: section 3.1.6, from memory.
func TestMeters(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"4/4", "4/4"}, {"C", "4/4 C"}, {"C|", "2/2 C|"}, {"6/8", "6/8"}, {"none", "0/0"}, {"", "0/0"},
		{"2+2+3/8", "7/8 [2 2 3]"}, {"(2+3)/8", "5/8 [2 3]"}, {" 3 / 4 ", "3/4"},
		{"4/0", "bad"}, {"0/4", "bad"}, {"4/3", "bad"}, {"x", "bad"}, {"3", "bad"}, {"4/4/4", "bad"}, {"-3/4", "bad"}, {"999/4", "bad"}, {"3/99999999999999999999", "bad"},
	} {
		m, err := parseMeter(c.field)
		got := fmt.Sprintf("%d/%d", m.Beats, m.Unit)
		if m.Symbol != "" {
			got += " " + m.Symbol
		}
		if m.Groups != nil {
			got += fmt.Sprint(" ", m.Groups)
		}
		if err != nil {
			got = "bad"
		}
		if got != c.want {
			t.Errorf("M:%s: got %s, want %s", c.field, got, c.want)
		}
	}
}

// TestTempos: section 3.1.8, outdated forms included, from memory; the unit is an
// eighth.
func TestTempos(t *testing.T) {
	for _, c := range []struct{ field, want string }{
		{"1/4=120", `1/4=120000 ""`}, {"3/8=50.5", `3/8=50500 ""`}, {`"Slowly"`, `0=0 "Slowly"`}, {`1/4=60 "Slowly"`, `1/4=60000 "Slowly"`},
		{`"Allegro" 1/4=120`, `1/4=120000 "Allegro"`}, {"1/4 3/8 1/4 3/8=40", `5/4=40000 ""`},
		{"120", `1/8=120000 "" old`}, {"C=100", `1/8=100000 "" old`}, {"C3=40", `3/8=40000 "" old`},
		{"0", "bad"}, {"1/4=0", "bad"}, {"1/0=120", "bad"}, {"1/4=x", "bad"}, {"", "bad"}, {`""`, "bad"}, {`"open`, "bad"}, {"1/4=99999999999", "bad"}, {"1/4=1.2345", "bad"},
		{"99999/1=3", "bad"}, {"-1/4=120", "bad"}, {"1/4=-120", "bad"},
	} {
		x, old, err := parseTempo(c.field, tune.Whole/8)
		got := fmt.Sprintf("%s=%d %q", x.Beat, x.PerMinute, x.Text)
		if old {
			got += " old"
		}
		if err != nil {
			got = "bad"
		}
		if got != c.want {
			t.Errorf("Q:%s: got %s, want %s", c.field, got, c.want)
		}
	}
}

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

// TestText reads and writes text strings (section 8, from memory).
func TestText(t *testing.T) {
	for _, c := range []struct{ abc, text string }{
		{`caf\'e`, "café"}, {`\"uber \cc \AA \ss`, "über ç Å ß"}, {"caf&eacute; &amp; M&amp;M", "café & M&M"}, {`\u00e9t\u00E9`, "été"}, {`100\%`, "100%"}, {`a\\b`, `a\b`}, {`\&eacute;`, "&eacute;"},
		{"latin \xe9", "latin é"}, {"é", "é"}, {`\`, `\`}, {`\q`, `\q`}, {`\u00zz`, `\u00zz`}, {"a\x01b", "ab"}, {`\o`, `\o`},
	} {
		if got := decodeText(c.abc); got != c.text {
			t.Errorf("%q: got %q, want %q", c.abc, got, c.text)
		}
		if got := decodeText(encodeText(c.text)); got != c.text {
			t.Errorf("%q is written %q and read as %q", c.text, encodeText(c.text), got)
		}
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
		{strings.Repeat("x", MostBytes+1), "x.abc: the file has 33554433 bytes"},
		{strings.Repeat("a", 1<<20), "x.abc:1:65537: there is no tune in the file: the line has 1048576 bytes"},
		{strings.Repeat("X:1\nK:C\n"+strings.Repeat("abcd", 15_000)+"\n", 6), "has more than 250000 notes, signs"},
		{strings.Repeat("X:1\nK:C\na\n\n", MostTunes+1), "x.abc:40001:1: the file has more than 10000 tunes"},
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
	if err != nil || len(warnings) != MostWarnings+1 || !strings.Contains(warnings[MostWarnings].Error(), "4000 more warnings") {
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
