package writing_test

import (
	"strings"
	"testing"

	"lapwright/notation/abc/writing"
	"lapwright/pitch"
	"lapwright/tune"
)

const plainFields = "X:1\nT:t\nM:4/4\nL:1/8\nK:C\n"

// TestWrittenAsRead: lines of music that are written as they stand, sign for sign (ABC 2.1, by the
// sections of what they are; lengths are in eighths).
func TestWrittenAsRead(t *testing.T) {
	ten := strings.Repeat("CDEFGABc|", 10) // 90 of the 92 bytes of a line
	for name, body := range map[string]string{
		"lengths":            "C C2 C/ C3/2|C/4 C/8 C/8 C3/4 C3 C2 C3/4 C/4|",
		"octaves":            "C,,2 C,2 C2 c2|c'2 c''2 B,2 B2|",
		"accidentals":        "^F2 F2 =F2 F2|_B2 B2 ^^C2 __D2|",
		"other octaves":      "^F2 ^f2 F2 f2|",
		"over a tie":         "^F8-|F4 ^F4|",
		"a tie to another":   "[^FA]8-|[FA]4 ^F4|",
		"chords":             "[CEG]4 [C-E]2 [CE]2-|[CE]8|",
		"glides and scoops":  "!glide!C4 !slide!D4|!scoop=-2!E4 !scoop=3!F4|!chop!G4 !courtesy!^F4|",
		"of one of two":      "!glide@1![CE]4 [DF]4|!slide@2![CE]4 !scoop=2@1![CE]4|",
		"of each":            "!scoop=2@1!!slide@2![CE]8|",
		"marks":              ".C2 !fermata!D2 !trill!E2 !accent!F2|",
		"triplets":           "(3CDE (3:2:2C2D z4|(3C2D2E2 z4|",
		"other tuplets":      "(5CDEFG z4|(5:4CDEFG z4|(7:4:6CDEFGA2 z4|",
		"a tuplet within":    "(3C2(3:2:2DEF D2 z4|",
		"rests":              "z2 x2 z4|Z|x8|",
		"a skip in a triple": "(3CxE C6|",
		"graces":             "{a}C4 {ab}D4|{/a}C4 {a}{/b}D4|{a2b/2}C4 {a3/2}D4|{[ca]b}C8|",
		"slurs":              "(C4 D4)|((C2 D2) E4)|",
		"beams":              "CDEF GABc|CD EF G2 AB|",
		"repeats":            "|: C8:| D8:: E8:: F8::|",
		"repeats and lines":  "|: C8:||: D8:: E8::|",
		"lines":              "C8|| D8[|] E8.| F8|] G8[| A8|",
		"lines and repeats":  "C8||[| D8|][|: E8.:| F8:[|: G8:|",
		"open at first":      "[| C8|",
		"open, repeated":     "[|: C8:|",
		"endings":            "|: C8|[1,3 D8:| [2 E8||",
		"parts":              "[P:A]C8|[P:B]D8|",
		"meters":             "C8|[M:3/4]C6|[M:C|]C8|[M:C]C8|[M:none]C3|[M:2+3/8]C4-C|",
		"keys":               "C8|[K:D]C8|[K:Am]C8|",
		"words over":         `"^over"C4 "_under"D4|`,
		"words at the end":   `C8"^end"|]`,
		"chord symbols":      `"Am"C4 "D7/F#"D4|`,
		"between the notes":  `"C"C8 & x4 "G"x4|`,
		"twice between":      `"C"C8 & x2 "F"x2 "G"x4|`,
		"signs":              `!segno!C8|!coda!D8!dacoda!|E8!D.S.!|`,
		"tempos":             `C4 [Q:1/4=90]D4|[Q:"slower" 3/8=60]E8|`,
		"words under":        "C4 D4|E4 F4|\nw: one two three _",
		"signs in words":     "C2 D2 E2 F2|\nw: a\\-b c~d _ _",
		"two verses":         "C4 D4|\nw: one two\nw: three four",
		"a verse of one":     "C4 D4|\nw: one two\nw: three",
		"the second verse":   "C4 D4|\nw: *\nw: three four",
		"the second note":    "C4 D4|\nw: * one-",
		"two lines":          "C8|\nD8|",
		"no field":           "C :| D8|",
		"92 bytes":           ten + "C|",
		"93 bytes":           ten + "\\\nCC|",
		"one long bar":       strings.Repeat("C/8", 32) + "|",
	} {
		got, lost := writing.Tune(readOne(t, plainFields+body+"\n"))
		if string(got) != plainFields+body+"\n" || len(lost) > 0 {
			t.Errorf("%s: written\n%s; lost %v", name, got, lost)
		}
	}
	for name, fields := range map[string]string{
		"six-eight":       "M:6/8\nL:1/8\nK:C\nC6|(2CD C3|(4CDEF C3|\n",
		"no meter":        "M:none\nL:1/8\nK:C\nZ|C|\n",
		"short units":     "M:2/4\nL:1/16\nK:C\nC8|\n",
		"a tempo":         "M:4/4\nL:1/8\nQ:1/4=90\nK:C\nC8|\n",
		"two tempos":      "M:4/4\nL:1/8\nQ:1/4=90\nK:C\nC4 [Q:1/4=80]D4|\n",
		"two voices":      "M:4/4\nL:1/8\nV:a\nV:b\nK:C\n[V:a] C8|D8|\n[V:b] E8|F8|\n",
		"a named voice":   "M:4/4\nL:1/8\nV:1 name=\"Steel\"\nK:C\n[V:1] C8|\n",
		"a chord in both": "M:4/4\nL:1/8\nV:a\nV:b\nK:C\n[V:a] \"C\"C8|\n[V:b] E4 \"G\"F4|\n",
		"a lone chord":    "M:4/4\nL:1/8\nV:a\nV:b\nK:C\n[V:a] C8 & x2 \"G\"x6|\n[V:b] E4 F4|\n",
	} {
		text := "X:1\nT:t\n" + fields
		if got, lost := writing.Tune(readOne(t, text)); string(got) != text || len(lost) > 0 {
			t.Errorf("%s: written\n%s; lost %v", name, got, lost)
		}
	}
}

// TestFieldsOfATune: each field on its line; a text that begins like music is kept from being it.
func TestFieldsOfATune(t *testing.T) {
	x := readOne(t, plainFields+"C8|\n")
	x.Title, x.Subtitles, x.Composer, x.Origin, x.Rhythm, x.Source = "|one", []string{":two", "three"}, "a class", "here", "reel", "a friend"
	x.Notes, x.Words, x.PartOrder = []string{"Area: x", "plain", "Transcription: me"}, []string{"la", ""}, "A"
	x.Bars[0].Part = "A"
	got, lost := writing.Tune(x)
	want := "X:1\nT: |one\nT: :two\nT:three\nC:a class\nO:here\nR:reel\nS:a friend\nA:x\nN:plain\nZ:me\nP:A\nM:4/4\nL:1/8\nK:C\n[P:A]C8|\nW:la\nW:\n"
	if string(got) != want || len(lost) > 0 {
		t.Errorf("written\n%s\nwant\n%s\n%v", got, want, lost)
	}
	voices := func(ids ...string) string {
		x := readOne(t, plainFields+"C8|\n")
		x.Voices = nil
		line := x.Bars[0].Lines[0]
		x.Bars[0].Lines = nil
		for _, id := range ids {
			x.Voices = append(x.Voices, tune.Voice{ID: id})
			x.Bars[0].Lines = append(x.Bars[0].Lines, line)
		}
		text, _ := writing.Tune(x)
		var out []string
		for _, l := range strings.Split(string(text), "\n") {
			if id, ok := strings.CutPrefix(l, "V:"); ok {
				out = append(out, id)
			}
		}
		return strings.Join(out, " ")
	}
	for _, c := range [][2]string{
		{voices("1"), ""}, {voices("a"), "a"}, {voices("1", "2"), "1 2"}, {voices("a", "a"), "a 2"}, {voices("2", "2"), "2 2a"}, {voices("", "x"), "1 x"}, {voices(":a", "|b", "*", "c d", "e]", `f"`, `g\`, "h%", "i="), "1 2 3 4 5 6 7 8 9"},
	} {
		if c[0] != c[1] {
			t.Errorf("voices are called %q, want %q", c[0], c[1])
		}
	}
}

// TestSyllablesAndVerses: what is held is drawn out to the next syllable, 32 verses are written, and
// a chord symbol that is spelled otherwise than it means is written as it means.
func TestSyllablesAndVerses(t *testing.T) {
	x := readOne(t, plainFields+"C4 D4|\n")
	x.Bars[0].Lines[0][0].Lyrics = []tune.Lyric{{Verse: 32, Text: "one"}}
	got, lost := writing.Tune(x)
	if n := strings.Count(string(got), "w:"); n != 32 || len(lost) > 0 {
		t.Errorf("%d verses, lost %v", n, lost)
	}
	x.Bars[0].Lines[0][0].Lyrics[0].Verse = 33
	if got, lost = writing.Tune(x); strings.Count(string(got), "w:") != 32 || len(lost) != 1 {
		t.Errorf("%d verses, lost %v", strings.Count(string(got), "w:"), lost)
	}
	for _, c := range []struct {
		text, chord, want string
		lost              int
	}{
		{"Am", "Am", `"Am"`, 0}, {"A-", "Am", `"A-"`, 0}, {"Am", "Dm", `"Dm"`, 1}, {"Dm", "", `"Dm"`, 0}, {"@x", "", `"^@x"`, 1}, {"<x", "", `"^<x"`, 1}, {"x@", "", `"x@"`, 0},
	} {
		x := readOne(t, plainFields+"C8|\n")
		at := tune.ChordAt{Text: c.text}
		if c.chord != "" {
			ch, err := pitch.ParseChord(c.chord)
			if err != nil {
				t.Fatal(err)
			}
			at.Chord = &ch
		}
		x.Bars[0].Chords = []tune.ChordAt{at}
		got, lost := writing.Tune(x)
		if !strings.Contains(string(got), c.want+"C8|") || len(lost) != c.lost {
			t.Errorf("%s for %s: %s, lost %v", c.text, c.chord, got, lost)
		}
	}
}
