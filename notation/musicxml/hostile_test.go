package musicxml

import (
	"archive/zip"
	"bytes"
	"fmt"
	"hash/crc32"
	"strings"
	"testing"

	"lapwright/internal/hostile"
)

// score wraps measures into a one-part score.
func score(measures string) string {
	return `<score-partwise><part-list><score-part id="P1"><part-name>a</part-name></score-part></part-list><part id="P1">` + measures + `</part></score-partwise>`
}

const quarter = `<note><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration></note>`

// packed makes a zip file of names and contents in turn.
func packed(t testing.TB, files ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i+1 < len(files); i += 2 {
		w, err := z.Create(files[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(files[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func containerOf(name string) string {
	return `<container><rootfiles><rootfile full-path="` + name + `"/></rootfiles></container>`
}

// lyingZip says that its entry unpacks to less than it does.
func lyingZip(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range [][2]string{{"META-INF/container.xml", containerOf("a.xml")}, {"a.xml", strings.Repeat(" ", 1000)}} {
		w, err := z.CreateRaw(&zip.FileHeader{Name: f[0], Method: zip.Store, CRC32: crc32.ChecksumIEEE([]byte(f[1])), CompressedSize64: uint64(len(f[1])), UncompressedSize64: uint64(len(f[1]))/2 + 1})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(f[1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestRefusals: every file that can't be read gives one error that says where.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		in   string
		want string
	}{
		"empty":              {"", "x.xml: the file is empty"},
		"binary":             {"\x00\x01\x02", `x.xml:1:1: this is no XML: the first character is not "<"`},
		"other XML":          {"<html/>", `x.xml:1:1: this is no MusicXML score: its root element is "html"`},
		"opus":               {"<opus/>", "x.xml:1:1: this is a list of scores, an opus; read the scores in it one by one"},
		"cut off":            {"<score-partwise><part id=\"P1\">\n<measure>", "x.xml:2:10: the XML is broken: unexpected EOF"},
		"wrong end":          {"<score-partwise>\n</part>", "x.xml:2:8: the XML is broken: element <score-partwise> closed by </part>"},
		"no parts":           {"<score-partwise/>", "x.xml: the score has no part with measures"},
		"entities":           {"<?xml version=\"1.0\"?>\n<!DOCTYPE a [<!ENTITY b \"bbbb\">]>\n<score-partwise/>", "x.xml:2:1: the document type has declarations of its own, which are not read"},
		"external entity":    {"<!DOCTYPE a [<!ENTITY b SYSTEM \"file:///etc/passwd\">]><score-partwise>&b;</score-partwise>", "x.xml:1:1: the document type has declarations of its own, which are not read"},
		"undefined entity":   {score("<measure>&bomb;</measure>"), "the XML is broken: invalid character entity &bomb;"},
		"encoding":           {"<?xml version=\"1.0\" encoding=\"EBCDIC\"?><score-partwise/>", `x.xml:1:40: the XML can't be read: xml: opening charset "EBCDIC": the encoding "EBCDIC" is not read`},
		"deep":               {score("<measure>" + strings.Repeat("<note>", 100) + strings.Repeat("</note>", 100) + "</measure>"), "elements lie more than 64 deep"},
		"no divisions":       {score("<measure><attributes><divisions>0</divisions></attributes></measure>"), `"0" divisions a quarter note make no sense`},
		"negative duration":  {score("<measure><note><rest/><duration>-4</duration></note></measure>"), `"-4" is no duration`},
		"absurd duration":    {score("<measure><note><rest/><duration>999999999999</duration></note></measure>"), `"999999999999" is no duration`},
		"long measure":       {score("<measure><note><rest/><duration>99999999</duration></note></measure>"), "no length that can be kept exactly"},
		"endless measure":    {score("<measure>" + strings.Repeat("<forward><duration>999999</duration></forward>", 3) + "</measure>"), "the part is longer than 250000 whole notes"},
		"no duration":        {score("<measure><note><rest/></note></measure>"), "a note has no duration"},
		"odd duration":       {score("<measure><attributes><divisions>19</divisions></attributes>" + quarter + "</measure>"), "a duration of 1 with 19 divisions a quarter note is no length that can be kept exactly"},
		"zip, no container":  {string(packed(t, "a.xml", "<score-partwise/>")), `x.xml: the compressed file has no "META-INF/container.xml"`},
		"zip, no score":      {string(packed(t, "META-INF/container.xml", containerOf("a.xml"))), `x.xml: the compressed file has no "a.xml"`},
		"zip, leads out":     {string(packed(t, "META-INF/container.xml", containerOf("../../etc/passwd"), "../../etc/passwd", "x")), `the container names the score "../../etc/passwd", which leads out of the file`},
		"zip, absolute":      {string(packed(t, "META-INF/container.xml", containerOf("/etc/passwd"))), "which leads out of the file"},
		"zip, empty names":   {string(packed(t, "META-INF/container.xml", "<container/>")), "the container of the compressed file names no score"},
		"zip, broken":        {"PK\x03\x04broken", "x.xml: the compressed file is broken: zip: not a valid zip file"},
		"zip, lying":         {string(lyingZip(t)), "can't be unpacked"},
		"zip, bad container": {string(packed(t, "META-INF/container.xml", "<container>", "a.xml", "")), "x.xml: META-INF/container.xml:1:12: the XML is broken"},
	} {
		s, err := Read([]byte(c.in), "x.xml")
		if err == nil {
			t.Errorf("%s: no error", name)
			continue
		}
		if s != nil {
			t.Errorf("%s: an error and a score", name)
		}
		if got := err.Error(); !strings.Contains(got, c.want) {
			t.Errorf("%s:\n got %s\nwant %s", name, got, c.want)
		}
	}
}

// TestHostileSizes: files made to be too much get an answer within bounds.
func TestHostileSizes(t *testing.T) {
	many := func(n int, s string) string { return strings.Repeat(s, n) }
	for name, make := range map[string]func() string{
		"one long line": func() string {
			return score("<measure><note><rest/><duration>" + many(30<<20, "1") + "</duration></note></measure>")
		},
		"one long attribute": func() string { return score(`<measure number="` + many(30<<20, "1") + `"/>`) },
		"one long comment":   func() string { return score("<!--" + many(30<<20, "<") + "-->") },
		"one long CDATA":     func() string { return score("<measure><![CDATA[" + many(30<<20, "<") + "]]></measure>") },
		"many attributes": func() string {
			return score("<measure>" + many(200, "<note "+strings.Join(numbered(5000, `a%d="1"`), " ")+"/>") + "</measure>")
		},
		"rests": func() string {
			return score(many(62, "<measure>"+many(1000, "<note><rest/><duration>1</duration></note>")+"</measure>"))
		},
		"notes": func() string { return score(many(62, "<measure>"+many(1000, quarter)+"</measure>")) },
		"chords": func() string {
			return score(many(62, "<measure>"+many(1000, strings.Replace(quarter, "<note>", "<note><chord/>", 1))+"</measure>"))
		},
		"graces": func() string {
			return score("<measure>" + many(90_000, "<note><grace/><pitch><step>C</step><octave>4</octave></pitch></note>") + "</measure>")
		},
		"voices": func() string {
			return score("<measure>" + strings.Join(numbered(40_000, "<note><rest/><duration>1</duration><voice>%d</voice></note>"), "") + "</measure>")
		},
		"voices of all bars": func() string {
			return score("<measure>" + strings.Join(numbered(16, "<note><rest/><duration>1</duration><voice>%d</voice></note>"), "") + "</measure>" + many(29_000, "<measure/>"))
		},
		"a long good score": func() string {
			return score(many(59, "<measure>"+many(1000, quarter)+"</measure>"))
		},
		"overlapping voices": func() string {
			return score("<measure>" + many(20_000, quarter+"<backup><duration>1</duration></backup>") + "</measure>")
		},
		"slurs": func() string {
			return score("<measure>" + many(20_000, `<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration><notations><slur type="start"/><slur type="start" number="2"/></notations></note>`) + "</measure>")
		},
		"empty measures": func() string { return score(many(40_000, "<measure/>")) },
		"empty elements": func() string { return score("<measure>" + many(150_000, "<a/>") + "</measure>") },
		"parts": func() string {
			return "<score-partwise>" + strings.Join(numbered(1_000, `<part id="%d"><measure/></part>`), "") + "</score-partwise>"
		},
		"directions": func() string {
			return score("<measure>" + many(60_000, "<direction><direction-type><words>x</words></direction-type></direction>") + "</measure>")
		},
		"directions, spread": func() string {
			return score(many(60, "<measure>"+many(1000, "<direction><direction-type><words>x</words></direction-type></direction>")+"</measure>"))
		},
		"chord symbols": func() string {
			return score(many(60, "<measure>"+many(1000, "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>")+quarter+"</measure>"))
		},
		"unknown names": func() string { return score("<measure>" + strings.Join(numbered(60_000, "<x%d/>"), "") + "</measure>") },
		"repeats": func() string {
			return score(many(3000, `<measure><barline location="left"><repeat direction="forward"/></barline>`+quarter+`<barline location="right"><repeat direction="backward" times="99"/></barline></measure>`))
		},
		"syllables": func() string {
			return score(many(20, "<measure>"+many(100, "<note><rest/><duration>1</duration>"+many(50, "<lyric><text>a</text></lyric>")+"</note>")+"</measure>"))
		},
		"credits": func() string {
			return "<score-partwise>" + many(20_000, "<credit><credit-type>subtitle</credit-type><credit-words>x</credit-words></credit>") + "</score-partwise>"
		},
		"zip bomb": func() string {
			return string(packed(t, "META-INF/container.xml", containerOf("a.xml"), "a.xml", many(100<<20, " ")))
		},
		"zip of many entries": func() string { return string(packed(t, numbered(40_000, "%d")...)) },
	} {
		hostile.Feed(t, name, []byte(make()), func(in []byte) (bool, error) {
			s, err := Read(in, "x.xml")
			return s != nil, err
		})
	}
}

func numbered(n int, format string) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf(format, i)
	}
	return out
}
