package notation

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"lapwright/fault"
	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/tab"
	"lapwright/tune"
)

// TestPieces: each tune of a book has its own text, with what stands before all of them; where one
// was left out every text is written anew, and so is that of another notation.
func TestPieces(t *testing.T) {
	const one, two = "X:1\nT:One\nK:G\nG4|]\n", "X:2\nT:Two\nK:G\nA4|]\n"
	read := func(src, file string) string {
		pieces, warnings, err := Read([]byte(src), file)
		if err != nil {
			return err.Error()
		}
		var out []string
		for _, p := range pieces {
			out = append(out, fmt.Sprintf("%s %q %d %d", p.Tune.Title, p.ABC, len(p.Warnings), len(p.Lost)))
		}
		return fmt.Sprintf("%s; %d", strings.Join(out, "; "), len(warnings))
	}
	for name, c := range map[string]struct{ src, file, want string }{
		"a book":           {one + "\n" + two, "a.abc", fmt.Sprintf("One %q 0 0; Two %q 0 0; 0", one, two)},
		"under one head":   {"O:here\n\n" + one + "\n" + two, "A.ABC", fmt.Sprintf("One %q 0 0; Two %q 0 0; 0", "O:here\n\n"+one, "O:here\n\n"+two)},
		"with a mark":      {"\ufeff" + strings.ReplaceAll(one, "\n", "\r\n"), "a.abc", fmt.Sprintf("One %q 0 0; 0", one)},
		"one left out":     {one + "\nX:5\nT:none\n\n" + two, "a.abc", fmt.Sprintf("One %q 1 0; Two %q 1 0; 1", "X:1\nT:One\nM:none\nL:1/8\nK:G\nG4|]\n", "X:2\nT:Two\nM:none\nL:1/8\nK:G\nA4|]\n")},
		"a slip in one":    {one + "\nX:2\nT:Two\nK:G\nA4?|]\n", "a.abc", fmt.Sprintf("One %q 0 0; Two %q 1 0; 1", one, "X:2\nT:Two\nK:G\nA4?|]\n")},
		"a chart":          {"title: Chart\nkey: G\nmeter: 4/4\n| G | C |\n", "a.chart", ""},
		"tab text":         {"|-0-|\n", "a.txt", `a.txt: a file ending in ".txt" can't be read as a tune`},
		"a picture":        {"", "a.PNG", `a.PNG: a file ending in ".png" can't be read as a tune`},
		"nothing of music": {"hello\n", "a.abc", "a.abc:1:1: there is no tune in the file"},
	} {
		got := read(c.src, c.file)
		if c.want == "" {
			if !strings.HasPrefix(got, `Chart "X:`) {
				t.Errorf("%s: %s", name, got)
			}
			continue
		}
		if got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", name, got, c.want)
		}
	}
	texts, starts := parts("%head\nX:1\na\n\nX:2\nb\n")
	if got := fmt.Sprintf("%q %v", texts, starts); got != `["%head\nX:1\na\n" "%head\nX:2\nb\n"] [2 5]` {
		t.Errorf("the parts of a book: %s", got)
	}
}

// TestRetitle: a title takes the place of the first of the head, or comes after the number; what no
// title can be is refused, and the rest stays as it was typed.
func TestRetitle(t *testing.T) {
	for name, c := range map[string]struct{ text, title, want string }{
		"another":          {"X:1\nT:Old\nT:Sub\nK:G\nG4|\n", "New", "X:1\nT:New\nT:Sub\nK:G\nG4|\n"},
		"the first":        {"X:1\nK:G\nG4|\n", "New", "X:1\nT:New\nK:G\nG4|\n"},
		"after CR LF":      {"X:1\r\nK:G\r\nG4|\r\n", "New", "X:1\nT:New\nK:G\r\nG4|\r\n"},
		"no number":        {"K:G\nG4|\n", "New", "T:New\nK:G\nG4|\n"},
		"in the music":     {"X:1\nK:G\nG4|\nT:Within\nA4|\n", "New", "X:1\nT:New\nK:G\nG4|\nT:Within\nA4|\n"},
		"before a number":  {"T:Old\nX:1\nK:G\nG4|\n", "New", ""},
		"without notes":    {"X:1\nK:G\n", "New", "X:1\nT:New\nK:G\n"},
		"signs":            {"X:1\nT:Old\nK:G\nG4|\n", `50% \ of & more`, "X:1\nT:50\\% \\\\ of \\& more\nK:G\nG4|\n"},
		"two lines":        {"X:1\nT:Old\nK:G\nG4|\n", "a\nb", ""},
		"a blank before":   {"X:1\nT:Old\nK:G\nG4|\n", " a", ""},
		"nothing to title": {"", "New", "T:New\n"},
	} {
		got, err := Retitle(c.text, c.title)
		if got != c.want || (err == nil) != (c.want != "") {
			t.Errorf("%s: %q, %v; want %q", name, got, err, c.want)
		}
		if err != nil && !strings.Contains(err.Error(), "can't be written in this tune's text") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestRigOfAText: only the exact form names a rig, and only one that is built in counts.
func TestRigOfAText(t *testing.T) {
	for text, want := range map[string]string{
		"tab text 1\nrig: reso-open-g\n": "reso-open-g", "tab text 1\nrig: mine\n": "", "rig: reso-open-g\n": "", "": "", "tab text 1\n": "",
	} {
		if got := RigNamed([]byte(text)); got != want {
			t.Errorf("%q is for %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"tab text 1\nrig: mine \n": "mine", "rig: mine\n": "", "tab text 1\n": ""} {
		if got, ok := NamedRig([]byte(text)); got != want || ok != (want != "") {
			t.Errorf("%q names %q, want %q", text, got, want)
		}
	}
}

// TestChartsAreTold: a text that begins with a field of a chart, in any case, is one; beginnings
// shorter than a field are none.
func TestChartsAreTold(t *testing.T) {
	for text, want := range map[string]Format{"key:": Chart, "KEY: G": Chart, "key": TabText, "title:": Chart, "Kind: reel": Chart, "meter:": Chart, "tempo:": Chart, "tune:": TabText, "\xfe\xff": MusicXML, " \r\n\tX:1": ABC} {
		if got := Sniff([]byte(text)); got != want {
			t.Errorf("%q is taken for %s, want %s", text, got, want)
		}
	}
}

// fretted is a score of one note on string 1 at the fifth fret, without a tuning.
const fretted = `<score-partwise><part-list><score-part id="P1"><part-name>a</part-name></score-part></part-list><part id="P1"><measure><attributes><divisions>1</divisions></attributes><note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration><notations><technical><string>1</string><fret>5</fret></technical></notations></note></measure></part></score-partwise>`

// TestTabWithoutARig: strings and frets for no rig that is known are left out with a word and what to
// do about it.
func TestTabWithoutARig(t *testing.T) {
	m, err := Open([]byte(fretted), "a.musicxml", Options{})
	if err != nil || m.Items[0].Tab != nil || len(m.Items[0].Lost) != 1 {
		t.Fatalf("%+v, %v", m, err)
	}
	var f *fault.Fault
	if !errors.As(m.Items[0].Lost[0], &f) || f.Hint == "" || !strings.Contains(f.Msg, `strings and frets are left out: no built-in rig has the tuning of part "a"`) {
		t.Errorf("told %+v", f)
	}
}

// TestMovedNotesAreTold: of the notes of a take that are brought to the grid ten are told one by one,
// the rest by their number.
func TestMovedNotesAreTold(t *testing.T) {
	take := func(notes int) *Material {
		// 96 ticks a quarter: every note is 5 ticks late, which is on no grid.
		events := "\x05"
		for range notes {
			events += "\x90\x3c\x40\x60\x80\x3c\x40\x00"
		}
		events += "\xff\x2f\x00"
		in := "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00" + string([]byte{byte(len(events) >> 8), byte(len(events))}) + events
		m, err := Open([]byte(in), "x.mid", Options{})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	for n, want := range map[int]string{10: "", 11: "1 more notes were moved to the grid", 14: "4 more notes were moved to the grid"} {
		it := take(n).Items[0]
		one, rest := 0, ""
		for _, f := range it.Lost {
			if strings.Contains(f.Msg, "was moved to the grid by") {
				one++
			} else if strings.Contains(f.Msg, "more notes were moved") {
				rest = f.Msg
			}
		}
		if one != movedShown || rest != want || !strings.Contains(strings.Join(it.About, "; "), fmt.Sprintf("%d of %d notes were moved", n, n)) {
			t.Errorf("%d notes: %d told, then %q, want %q; %v", n, one, rest, want, it.About)
		}
	}
	// A file of type 2 has a piece in each track that has notes.
	track := "MTrk\x00\x00\x00\x0c\x00\x90\x3c\x40\x60\x80\x3c\x40\x00\xff\x2f\x00"
	m, err := Open([]byte("MThd\x00\x00\x00\x06\x00\x02\x00\x03\x00\x60"+track+"MTrk\x00\x00\x00\x04\x00\xff\x2f\x00"+track), "x.mid", Options{})
	if err != nil || len(m.Items) != 2 || !strings.HasPrefix(m.Items[1].About[0], "track 3,") || m.Items[1].Tune.Index != 2 {
		t.Errorf("type 2: %+v, %v", m, err)
	}
}

// TestOneScoreOfSeveral: several tabs go into MusicXML, plain or compressed, and into nothing else.
func TestOneScoreOfSeveral(t *testing.T) {
	m, err := Open([]byte(fretted), "a.musicxml", Options{Rig: mustRig(t)})
	if err != nil {
		t.Fatal(err)
	}
	tb := m.Items[0].Tab
	for f, want := range map[Format]string{MusicXML: "<?xml", Compressed: "PK\x03\x04", ABC: "", MIDI: "", TabText: "", Chart: ""} {
		b, lost, err := EncodeTogether(f, []*tab.Tab{tb, tb})
		if want == "" {
			if err == nil || b != nil || !strings.Contains(err.Error(), "have a place in MusicXML alone") {
				t.Errorf("%s: %.10q, %v", f, b, err)
			}
			continue
		}
		if err != nil || len(lost) > 0 || !strings.HasPrefix(string(b), want) {
			t.Errorf("%s: %.10q, %v, %v", f, b, lost, err)
		}
		if again, err := Open(b, "x", Options{Rig: mustRig(t)}); err != nil || len(again.Items) != 2 {
			t.Errorf("%s: %v, %v", f, again, err)
		}
	}
	if _, _, err := EncodeTogether(Compressed, nil); err == nil {
		t.Error("a score of no part is compressed")
	}
	for _, f := range []Format{ABC, MusicXML, Compressed, MIDI, TabText} {
		b, lost, err := Encode(f, &m.Items[0])
		if err != nil || len(b) == 0 || (len(lost) > 0) != (f == ABC) {
			t.Errorf("%s: %d bytes, %v, %v", f, len(b), lost, err)
		}
	}
	_, lost, _ := Encode(Chart, &m.Items[0])
	rest := &Item{Tune: &tune.Tune{Bars: []tune.Bar{{Meter: tune.Meter{Beats: 4, Unit: 4}, Len: tune.Whole, Lines: [][]tune.Event{{{Len: tune.Whole, Kind: tune.Rest}}}}}, Voices: []tune.Voice{{ID: "1"}}}}
	_, none, _ := Encode(Chart, rest)
	if len(lost) != 1 || len(none) != 0 {
		t.Errorf("a chart loses %v of a note and %v of a rest", lost, none)
	}
}

// TestAppendInRareTexts: where a note goes in a text that ends in a field, a repeat, a full bar of
// free meter or words, and what it can't be added to.
func TestAppendInRareTexts(t *testing.T) {
	const head = "X:1\nM:4/4\nL:1/8\nK:C\n"
	for _, c := range []struct{ text, want string }{
		{head + "C8", "C8 | G"}, {head + "C4", "C4 G"}, {head + "C9", "C9 | G"}, {head + "C8:|", "C8:| G"}, {head + "[CE]4", "[CE]4 G"}, {head + "[CE]", "[CE] G"}, {head + "C8|\nM:3/4", "M:3/4\nG"},
		{head + "|:C4", "|:C4 G"}, {head + "C8|]", "C8| G"}, {"X:1\nM:none\nL:1/8\nK:C\nC8", "C8 G"}, {head + "C8|\nW:words", "W:words\nG"},
	} {
		got, err := Append(c.text, pitch.Note(pitch.G, 0, 4), tune.Whole/8)
		if err != nil || !strings.HasSuffix(got, c.want+"\n") {
			t.Errorf("%q becomes %q, %v; want it to end in %q", c.text, got, err, c.want)
		}
	}
	for text, want := range map[string]string{
		"X:1\nV:1\nV:2\nK:C\n[V:1]C|\n[V:2]E|": "several voices", head + "C4 % remark": "can't be added after what the text ends in", head + "C4 \"open": "can't be added",
	} {
		if got, err := Append(text, pitch.Note(pitch.G, 0, 4), tune.Whole/8); err == nil || got != "" || !strings.Contains(err.Error(), want) {
			t.Errorf("%q becomes %q, %v", text, got, err)
		}
	}
	if endsIn(head+"C8", pitch.Note(pitch.D, 0, 4), tune.Whole) || endsIn(head+"C8", pitch.Note(pitch.C, 0, 4), tune.Whole/2) || !endsIn(head+"C8 z8|z8|", pitch.Note(pitch.C, 0, 4), tune.Whole) || endsIn(head+"[CE]8", pitch.Note(pitch.C, 0, 4), tune.Whole) || endsIn(head+"z8", pitch.Note(pitch.C, 0, 4), tune.Whole) {
		t.Error("the last note of a text is another than it is")
	}
	for length, want := range map[tune.Ticks]string{tune.Whole / 8: "C", tune.Whole / 4: "C2", tune.Whole / 16: "C/2", 3 * tune.Whole / 16: "C3/2", tune.Whole / 12: "C2/3"} {
		if got, err := noteToken(pitch.Note(pitch.C, 0, 4), pitch.Key{}, length, tune.Whole/8); err != nil || got != want {
			t.Errorf("%s is written %s, %v; want %s", length, got, err, want)
		}
	}
	if _, _, err := abc.Read([]byte(head), "x"); err == nil {
		t.Error("a head alone is a tune")
	}
}

func mustRig(t *testing.T) *rig.Rig { return rigtest.Builtin(t, "reso-open-g") }
