package lesson

import (
	"context"
	"fmt"
	"html"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"lapwright/notation/abc"
	"lapwright/notation/abc/abctest"
	"lapwright/tune"
)

// threeMinutes is a tune of our own that lasts three minutes and never repeats a bar:
// 90 bars of four beats at 120 beats a minute.
func threeMinutes(t *testing.T) *tune.Tune {
	t.Helper()
	var b strings.Builder
	b.WriteString("X:1\nT:The Long Quay\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\n")
	scale := []string{"D", "E", "G", "A", "B", "d", "e", "g"}
	for bar := range 90 {
		for k := range 4 {
			fmt.Fprintf(&b, "%s%s ", scale[(bar*3+k*(1+bar%5))%8], scale[(bar+k*2)%8])
		}
		b.WriteString("|")
		if bar%6 == 5 {
			b.WriteString("\n")
		}
	}
	all, _, err := abc.Read([]byte(b.String()), "long.abc")
	if err != nil {
		t.Fatal(err)
	}
	return all[0]
}

// TestPageIsLight: a page for three instruments and three minutes stays under 9 MB with
// one recording and under 5 MB with none, whatever the program in it grows to
// (promised), and a folder with one recording is smaller than with all.
func TestPageIsLight(t *testing.T) {
	if testing.Short() {
		t.Skip("sounds three minutes")
	}
	long := threeMinutes(t)
	sizes := map[Recordings]int{}
	for recordings, most := range map[Recordings]int{NoRecordings: 5_000_000, OneRecording: 9_000_000} {
		l, err := Make(context.Background(), Plan{Tune: long, Rigs: rigs(t, "reso-open-g", "lap6-c6", "bender-open-d"), Recordings: recordings}, nil)
		if err != nil {
			t.Fatal(err)
		}
		page, err := l.Page(true)
		if err != nil {
			t.Fatal(err)
		}
		if len(page) >= most {
			t.Errorf("recordings %s: the page has %d bytes, and %d are too many", recordings, len(page), most)
		}
		t.Logf("recordings %s: %d bytes", recordings, len(page))
		sizes[recordings] = len(page)
	}
	if sizes[OneRecording]-sizes[NoRecordings] < 2_000_000 {
		t.Errorf("one recording of three minutes adds %d bytes: it is not there", sizes[OneRecording]-sizes[NoRecordings])
	}
}

// TestPageIsASCII: a page has no byte beyond ASCII, which browsers would decode slowly, and says what was written
// (WHATWG, HTML, section 13.1.4, character references).
func TestPageIsASCII(t *testing.T) {
	air := abctest.Tune(t, strings.Replace(short, "T:", "T:Ärger & “Sjö” 𝄫 ", 1))
	l, err := Make(t.Context(), Plan{Tune: air, Rigs: rigs(t, "tricone-open-d"), Words: "Übung: *F♯*, drei Züge", Recordings: NoRecordings}, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := l.Page(false)
	if err != nil {
		t.Fatal(err)
	}
	page := string(b)
	if i := strings.IndexFunc(page, func(r rune) bool { return r >= utf8.RuneSelf }); i >= 0 {
		t.Errorf("the page has %q", page[i:min(len(page), i+20)])
	}
	for _, want := range []string{"<h1>" + html.EscapeString(air.Title) + "</h1>", "Übung: <em>F♯</em>, drei Züge"} {
		if !strings.Contains(lettered(page), want) {
			t.Errorf("the page doesn't say %q", want)
		}
	}
}

// TestSheetsStandPlainOrPacked: of a usual lesson's instruments the wide sheets stand
// in the page for those who have no scripts; of a long tune's the first, and where
// another is missing it is said. Unpacked, a page has every sheet byte for byte.
func TestSheetsStandPlainOrPacked(t *testing.T) {
	for _, c := range []struct {
		tune  *tune.Tune
		plain int
	}{{abctest.Tune(t, short), 3}, {threeMinutes(t), 1}} {
		l, err := Make(context.Background(), Plan{Tune: c.tune, Rigs: rigs(t, "reso-open-g", "lap6-c6", "bender-open-d"), Recordings: NoRecordings}, nil)
		if err != nil {
			t.Fatal(err)
		}
		b, err := l.Page(true)
		if err != nil {
			t.Fatal(err)
		}
		text := lettered(string(b))
		whole := unpacked(t, text)
		plain := 0
		for _, e := range l.Editions {
			if strings.Contains(text, string(e.Pages[0])) {
				plain++
			}
			for k, svg := range append(slices.Clone(e.Pages), e.Narrow) {
				if strings.Count(whole, string(svg)) != 1 {
					t.Errorf("%s: drawing %d of %s stands %d times in the page, want once", c.tune.Title, k+1, e.Summary.Rig, strings.Count(whole, string(svg)))
				}
			}
			if strings.Contains(text, string(e.Narrow)) {
				t.Errorf("%s: the narrow sheet of %s is not packed", c.tune.Title, e.Summary.Rig)
			}
		}
		if plain != c.plain {
			t.Errorf("%s: %d wide sheets stand plain, want %d", c.tune.Title, plain, c.plain)
		}
		if n := strings.Count(text, "this sheet needs JavaScript; it is also in the file to print below"); n != len(l.Editions)-c.plain {
			t.Errorf("%s: of %d sheets it is said that they need JavaScript, want %d", c.tune.Title, n, len(l.Editions)-c.plain)
		}
	}
}

// TestRecordings: the recordings are of the instruments that they are wished for.
func TestRecordings(t *testing.T) {
	for recordings, want := range map[Recordings]string{NoRecordings: "", OneRecording: "reso-open-g", AllRecordings: "reso-open-g lap6-c6", "": "reso-open-g lap6-c6"} {
		l, err := Make(context.Background(), Plan{Tune: abctest.Tune(t, short), Rigs: rigs(t, "reso-open-g", "lap6-c6"), Recordings: recordings}, nil)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range l.Editions {
			for _, f := range e.files {
				if strings.HasSuffix(f.Name, "/audio.flac") {
					got = append(got, strings.TrimSuffix(f.Name, "/audio.flac"))
				}
			}
			if (len(e.stream) > 0) != (len(got) > 0 && got[len(got)-1] == e.Result.Tab.Rig.Name) {
				t.Errorf("recordings %q: %s has %d bytes of sound in the page", recordings, e.Result.Tab.Rig.Name, len(e.stream))
			}
			if e.gain == 0 {
				t.Errorf("recordings %q: the gain of %s is not known", recordings, e.Result.Tab.Rig.Name)
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("recordings %q: of %v, want %s", recordings, got, want)
		}
	}
}
