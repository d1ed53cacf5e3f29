package lesson

import (
	"compress/gzip"
	"context"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"lapwright/arrange"
	"lapwright/feel"
	"lapwright/internal/further"
	"lapwright/notation/tabtext"
	"lapwright/page"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/sound"
	"lapwright/tab"
)

// packedPart is what a page holds packed: data with a name, or sheets without.
var packedPart = regexp.MustCompile(`<script type="(?:text/plain|(application/json)" id="(\w+))" data-packed>([^<]*)</script>`)

// unpacked returns a page as it is when its script has unpacked all.
func unpacked(t *testing.T, html string) string {
	t.Helper()
	return packedPart.ReplaceAllStringFunc(html, func(part string) string {
		m := packedPart.FindStringSubmatch(part)
		r, err := gzip.NewReader(base64.NewDecoder(base64.StdEncoding, strings.NewReader(m[3])))
		if err != nil {
			t.Fatal(err)
		}
		plain, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if m[2] == "" {
			return string(plain)
		}
		return fmt.Sprintf(`<script type="%s" id="%s">%s</script>`, m[1], m[2], plain)
	})
}

// numbered is a character that a page writes as its number.
var numbered = regexp.MustCompile(`&#(\d+);`)

// lettered gives a page with the characters beyond ASCII that it writes as numbers.
func lettered(html string) string {
	return numbered.ReplaceAllStringFunc(html, func(number string) string {
		n, err := strconv.Atoi(numbered.FindStringSubmatch(number)[1])
		if err != nil || n < utf8.RuneSelf {
			return number
		}
		return string(rune(n))
	})
}

// carriedOf reads what a page carries: the lesson as the core opens it, and the
// teacher's tabs.
func carriedOf(t *testing.T, html string) (*page.Lesson, []*tab.Tab) {
	t.Helper()
	_, text, ok := strings.Cut(unpacked(t, html), `id="carried">`)
	text, _, _ = strings.Cut(text, "</script>")
	if !ok {
		t.Fatal("the page carries no lesson")
	}
	l, err := page.Open([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var c report.Carried
	if err := json.Unmarshal([]byte(text), &c); err != nil {
		t.Fatal(err)
	}
	var tabs []*tab.Tab
	for _, x := range c.Instruments {
		r, err := rig.Parse([]byte(x.Rig), "instrument")
		if err != nil {
			t.Fatal(err)
		}
		one, guessed, err := tabtext.Parse([]byte(x.Tab), "tab", r)
		if err != nil || len(guessed) > 0 {
			t.Fatalf("%v, guessed %v", err, guessed)
		}
		tabs = append(tabs, one)
	}
	return l, tabs
}

// TestPageCarriesTheLesson: what a page carries is the tune and the tabs it shows,
// as they are, whatever words stand in them.
func TestPageCarriesTheLesson(t *testing.T) {
	demos, err := Demos()
	if err != nil {
		t.Fatal(err)
	}
	var rigs []*rig.Rig
	for _, name := range []string{"reso-open-g", "pedal10-e9"} {
		r, _ := rig.Builtin(name)
		rigs = append(rigs, r)
	}
	high := 1
	swing, _ := feel.Find("swing")
	made, err := Make(context.Background(), Plan{Tune: demos[0].Tune, Rigs: rigs, Parts: map[string]Parts{"reso-open-g": BothParts}, Feels: map[string]*feel.Feel{"": swing}, Title: "</script><b>&", Recordings: NoRecordings, Arrange: map[string]arrange.Options{"": {Octave: &high, Closed: true}}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	html, err := made.Page(false)
	if err != nil {
		t.Fatal(err)
	}
	l, tabs := carriedOf(t, string(html))
	if len(tabs) != len(made.Editions) {
		t.Fatalf("%d tabs carried, want %d", len(tabs), len(made.Editions))
	}
	for i, e := range made.Editions {
		timing, err := page.Timing(tabs[i], sound.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, _ := json.Marshal(report.TabOf(tabs[i], timing))
		want, _ := json.Marshal(report.TabOf(e.Result.Tab, e.Timing))
		if string(got) != string(want) {
			t.Errorf("%s: the carried tab is followed differently", e.Summary.Rig)
		}
	}
	// An instrument that the teacher did not think of gets the teacher's wishes.
	other, _ := rig.Builtin("lap6-c6")
	res, err := arrange.Arrange(context.Background(), demos[0].Tune, other, arrange.Options{Octave: &high, Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	question, err := json.Marshal(report.Asked{What: "place", Rig: string(rig.Format(other))})
	if err != nil {
		t.Fatal(err)
	}
	var placed report.OnInstrument
	if err := json.Unmarshal(l.Answer(question, page.Recording{}), &placed); err != nil {
		t.Fatal(err)
	}
	if want := string(tabtext.Format(res.Tab)); placed.Tab != want {
		t.Errorf("placed as\n%s\nwant\n%s", placed.Tab, want)
	}
}

// TestCarriedSheetIsDrawnAgain: from what a page carries, its program draws the
// sheets that the page shows, byte for byte, and with the strings in the other order
// and the necks the other way round.
func TestCarriedSheetIsDrawnAgain(t *testing.T) {
	demos, err := Demos()
	if err != nil {
		t.Fatal(err)
	}
	var rigs []*rig.Rig
	for _, name := range []string{"reso-open-g", "bender-open-d"} {
		r, _ := rig.Builtin(name)
		rigs = append(rigs, r)
	}
	demos = demos[:further.Few(3, len(demos))]
	if testing.Short() {
		demos = demos[:1]
	}
	drawn := 0
	for _, d := range demos {
		for _, low := range []bool{false, true} {
			made, err := Make(t.Context(), Plan{Tune: d.Tune, Rigs: rigs, Layouts: map[string]sheet.Layout{"reso-open-g": sheet.Grips, "bender-open-d": sheet.LargePrint}, Sheet: sheet.Options{StringOneLow: low, LeftHanded: low}, Recordings: NoRecordings}, nil)
			if err != nil {
				t.Fatal(err)
			}
			html, err := made.Page(false)
			if err != nil {
				t.Fatal(err)
			}
			l, _ := carriedOf(t, string(html))
			_, text, _ := strings.Cut(unpacked(t, string(html)), `id="carried">`)
			text, _, _ = strings.Cut(text, "</script>")
			var c report.Carried
			if err := json.Unmarshal([]byte(text), &c); err != nil {
				t.Fatal(err)
			}
			for i, e := range made.Editions {
				for _, turned := range []bool{low, !low} {
					x := c.Instruments[i]
					if x.StringOneLow != low || x.LeftHanded != low {
						t.Fatalf("the page carries %v and %v for a left-handed sheet with string 1 at the bottom: %v", x.StringOneLow, x.LeftHanded, low)
					}
					question, err := json.Marshal(report.Asked{What: "sheet", Rig: x.Rig, Tab: x.Tab, Layout: x.Layout, StringOneLow: turned, LeftHanded: turned})
					if err != nil {
						t.Fatal(err)
					}
					var got report.ScreenSheet
					if err := json.Unmarshal(l.Answer(question, page.Recording{}), &got); err != nil {
						t.Fatal(err)
					}
					pages, narrow := e.Pages, e.Narrow
					if turned != low {
						o := e.drawnAs
						o.StringOneLow, o.LeftHanded = turned, turned
						if pages, narrow, err = page.Screen(e.Result.Tab, o); err != nil {
							t.Fatal(err)
						}
						if string(narrow) == string(e.Narrow) {
							t.Errorf("%s: the sheet is the same with string 1 at the other edge", d.Tune.Title)
						}
					}
					if len(got.Pages) != len(pages) || got.Narrow != string(narrow) {
						t.Fatalf("%s on %s, string 1 low %v: another sheet of %d pages, want %d", d.Tune.Title, e.Result.Tab.Rig.Name, turned, len(got.Pages), len(pages))
					}
					for k := range pages {
						if got.Pages[k] != string(pages[k]) {
							t.Errorf("%s on %s: page %d is another", d.Tune.Title, e.Result.Tab.Rig.Name, k+1)
						}
					}
					drawn++
				}
			}
		}
	}
	if drawn != 8*len(demos) {
		t.Errorf("only %d sheets were drawn", drawn)
	}
}
