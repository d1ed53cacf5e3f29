package musicxml

import (
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"lapwright/fault"
	"lapwright/notation/musicxml/terms"
)

// TestFileBounds: a file as large as is read is read, and one a size larger is not.
func TestFileBounds(t *testing.T) {
	many := strings.Repeat
	bar := func(inside string) string { return score("<measure>" + inside + "</measure>") }
	archive := func(more int) string {
		files := []string{"META-INF/container.xml", containerOf("a.xml"), "a.xml", bar(quarter)}
		for i := range more {
			files = append(files, fmt.Sprint("x", i), "")
		}
		return string(packed(t, files...))
	}
	parts := func(n int) string {
		return "<score-partwise>" + strings.Join(numbered(n, `<part id="%d"><measure/></part>`), "") + "</score-partwise>"
	}
	comment := func(n int) string { return bar("<!--" + many("c", n-len("<!--")) + "-->" + quarter) }
	for name, c := range map[string]struct{ in, want string }{
		"a comment":            {comment(terms.MaxToken), ""},
		"a longer comment":     {comment(terms.MaxToken + 1), "x.xml:1:120: one tag, text or comment is longer than 1048576 bytes"},
		"elements":             {bar(quarter + many("<a/>", terms.MaxElements-5)), ""},
		"more elements":        {bar(quarter + many("<a/>", terms.MaxElements-4)), "one measure or header has more than 100000 elements"},
		"attributes":           {bar(quarter + many(`<a b="c"/>`, (terms.MaxElements-5)/2)), ""},
		"more attributes":      {bar(quarter + many(`<a b="c"/>`, (terms.MaxElements-5)/2) + `<a b="c"/>`), "more than 100000 elements"},
		"entries":              {archive(terms.MaxEntries - 2), ""},
		"more entries":         {archive(terms.MaxEntries - 1), "the compressed file has more than 10000 entries"},
		"parts":                {parts(terms.MaxParts), ""},
		"more parts":           {parts(terms.MaxParts + 1), "the score has more than 500 parts"},
		"measures":             {score(many("<measure/>", terms.MaxMeasures)), ""},
		"more measures":        {score(many("<measure/>", terms.MaxMeasures+1)), "the score has more than 30000 measures"},
		"depth":                {bar(many("<a>", terms.MaxDepth-3) + many("</a>", terms.MaxDepth-3)), ""},
		"more depth":           {bar(many("<a>", terms.MaxDepth-2) + many("</a>", terms.MaxDepth-2)), "elements lie more than 64 deep"},
		"a backslash":          {string(packed(t, "META-INF/container.xml", containerOf(`a\b.xml`), `a\b.xml`, bar(quarter))), "which leads out of the file"},
		"a roundabout":         {string(packed(t, "META-INF/container.xml", containerOf("b/../a.xml"), "a.xml", bar(quarter))), "which leads out of the file"},
		"a sound first":        {string(packed(t, "META-INF/container.xml", `<container><rootfiles><rootfile full-path="a.ogg" media-type="audio/ogg"/><rootfile full-path="a.xml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>`, "a.xml", bar(quarter))), ""},
		"a text ends in a tag": {score("<measure/>") + "<", ""},
		"no markup":            {"<score-partwise>< </score-partwise>", "the XML is broken"},
		"nothing but space":    {" \t\r\n", "this is no XML"},
		"UTF-16 said, not so":  {`<?xml version="1.0" encoding="UTF-16"?>` + bar(quarter), `the encoding "UTF-16" is not read`},
		"ASCII":                {`<?xml version="1.0" encoding="US-ASCII"?>` + bar(quarter), ""},
		"a document type":      {`<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">` + bar(quarter), ""},
	} {
		s, err := Read([]byte(c.in), "x.xml")
		if c.want == "" && (err != nil || len(s.Parts) == 0) {
			t.Errorf("%s: %v", name, err)
		}
		if c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}

// TestSurrogates: a clef (U+1D11E) in a title takes two units of UTF-16; half of one at the
// end of a file is no reason to fail.
func TestSurrogates(t *testing.T) {
	text := `<score-partwise><work><work-title>𝄞 in Ü</work-title></work><part id="P1"><measure>` + quarter + `</measure></part></score-partwise>`
	little := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(text)) {
		little = append(little, byte(u), byte(u>>8))
	}
	for name, in := range map[string][]byte{
		"whole":       little,
		"an odd byte": append(little[:len(little):len(little)], ' '),
	} {
		s, err := Read(in, "x.xml")
		if err != nil || s.Title != "𝄞 in Ü" {
			t.Errorf("%s: %v, %v", name, s, err)
		}
	}
	for name, c := range map[string]struct {
		in   []byte
		want string
	}{
		"the last is half": {[]byte{0x3c, 0, 0x34, 0xd8}, "<\ufffd"},
		"the last is two":  {[]byte{0x3c, 0, 0x34, 0xd8, 0x1e, 0xdd}, "<𝄞"},
		"the last is odd":  {[]byte{0x3c, 0, 0x34, 0xd8, 0x1e}, "<\ufffd"},
		"nothing":          {nil, ""},
	} {
		if got := string(fromUTF16(c.in, binary.LittleEndian)); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

// TestFlood: of a thousand faults each is told with its place, and not one more.
func TestFlood(t *testing.T) {
	wrong := `<note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note>`
	ties := "<measure>" + nt("G4", 1, `<tie type="start"/>`) + "</measure>"
	for name, in := range map[string]string{
		"notes": "<measure>" + strings.Repeat(wrong, 1200) + "</measure>",
		"ties":  strings.Repeat(ties+"<measure>"+nt("A4", 1)+"</measure>", 1200),
	} {
		s, err := Read([]byte(score(in)), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Warnings) != 1000 {
			t.Errorf("%s: %d faults are told, want 1000", name, len(s.Warnings))
		}
	}
	credits := func(n int, s string) string {
		return "<score-partwise><identification>" + strings.Repeat(s, n) + "</identification>" + `<part id="a"><measure/></part></score-partwise>`
	}
	for name, c := range map[string]string{
		"creators": `<creator type="lyricist">a pupil</creator>`,
		"rights":   "<rights>free</rights>",
	} {
		s, err := Read([]byte(credits(terms.MaxCredits+1, c)), "x.xml")
		if err != nil || len(s.Parts[0].Tune.Notes) != terms.MaxCredits {
			t.Errorf("%s: %v, %d are kept of %d", name, err, len(s.Parts[0].Tune.Notes), terms.MaxCredits+1)
		}
	}
}

// TestPartsAreListed: who asks for a part that is not there is told of twelve that are.
func TestPartsAreListed(t *testing.T) {
	for n, want := range map[int]string{
		2:  "there are: 1 a, 2 b",
		12: "there are: 1 a, 2 b, 3 c, 4 d, 5 e, 6 f, 7 g, 8 h, 9 i, 10 j, 11 k, 12 l",
		13: "there are: 1 a, 2 b, 3 c, 4 d, 5 e, 6 f, 7 g, 8 h, 9 i, 10 j, 11 k, 12 l, …",
	} {
		in := "<score-partwise>"
		for i := range n {
			in += fmt.Sprintf(`<part id="%c"><measure/></part>`, 'a'+i)
		}
		s, err := Read([]byte(in+"</score-partwise>"), "x.xml")
		if err != nil {
			t.Fatal(err)
		}
		for _, ask := range []string{"0", fmt.Sprint(n + 1), "x"} {
			if _, err := s.Part(ask); err == nil || hintOf(err) != want {
				t.Errorf("part %s of %d: %v, want %s", ask, n, hintOf(err), want)
			}
		}
		if p, err := s.Part(fmt.Sprint(n)); err != nil || p != s.Parts[n-1] {
			t.Errorf("part %d: %v, %v", n, p, err)
		}
	}
}

func hintOf(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		return f.Hint
	}
	return ""
}
