package sheet_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/notation/abc"
	"lapwright/rig/rigtest"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// mapped tells what stands where on each page, in millimetres: words, rules and boxes one by one; of lines of music, pictures of necks and
// the legend only how far they reach.
func mapped(b *strings.Builder, d *draw.Drawing) {
	fmt.Fprintf(b, "%q in %s\n", d.Title, d.Lang())
	for _, m := range d.Bookmarks {
		fmt.Fprintf(b, "bookmark %d %q page %d at %.2f\n", m.Level, m.Title, m.Page+1, m.Y)
	}
	for i, p := range d.Pages {
		fmt.Fprintf(b, "page %d of %g by %g: %d words said\n", i+1, p.W, p.H, len(strings.Fields(p.Description)))
		var tell func(items []draw.Item)
		tell = func(items []draw.Item) {
			for _, it := range items {
				switch it := it.(type) {
				case *draw.Group:
					if slices.Contains([]string{"system", "neck", "legend", "necks"}, it.Class) && it.Class != "necks" {
						r := it.Bounds()
						fmt.Fprintf(b, "%s %.2f, %.2f to %.2f, %.2f\n", it.Class, r.X0, r.Y0, r.X1, r.Y1)
						continue
					}
					tell(it.Items)
				case draw.Text:
					fmt.Fprintf(b, "%.2f, %.2f %q font %d of %.2f anchor %d ink %x\n", it.X, it.Y, it.S, it.Font, it.Size, it.Anchor, it.Ink)
				case draw.Rule:
					fmt.Fprintf(b, "line %.2f, %.2f to %.2f, %.2f of %.2f dash %.2f\n", it.X1, it.Y1, it.X2, it.Y2, it.Width, it.Dash)
				case draw.Box:
					fmt.Fprintf(b, "box %.2f, %.2f by %.2f, %.2f of %.2f round %.2f\n", it.X, it.Y, it.W, it.H, it.Width, it.Radius)
				}
			}
		}
		tell(p.Items)
	}
}

// worded is a tune with all that stands beside the music: who made it and where, verses more than fit, words, notes, compromises.
func worded(t testing.TB) *tab.Tab {
	tb := sheettest.EveryMark(t)
	tn := tb.Tune
	tn.Composer, tn.Origin, tn.Rhythm = "The Evening Class", "Harbour Street", "study"
	tn.Subtitles = []string{"with a second line"}
	tn.Words = []string{"A verse of words that stands after the music\nover two lines"}
	tn.Notes = []string{"Transcription: by ear, one evening", "History: nobody knows", "Play it twice."}
	for v := 1; v <= 12; v++ {
		e := &tn.Bars[0].Lines[0][0]
		e.Lyrics = append(e.Lyrics, tune.Lyric{Verse: v, Text: fmt.Sprintf("syl%d", v), Hyphen: v%2 == 0})
		e = &tn.Bars[0].Lines[0][1]
		e.Lyrics = append(e.Lyrics, tune.Lyric{Verse: v, Text: "la"})
	}
	tn.Bars[4].Part = "B"
	return tb
}

// TestPagesAsLookedAt: titles, remarks, words, handouts, books, pictures of grips and scores of several instruments stand on their pages as they did when they were looked at.
func TestPagesAsLookedAt(t *testing.T) {
	var b strings.Builder
	tell := func(title string, d *draw.Drawing, err error) {
		if err != nil {
			t.Fatalf("%s: %v", title, err)
		}
		fmt.Fprintf(&b, "# %s\n", title)
		mapped(&b, d)
	}
	words := worded(t)
	d, err := sheet.Lay(words, sheet.Options{FirstPage: 3, Top: 40, Remarks: []sheet.Remark{{BarIndex: 2, Text: strings.Repeat("Listen to the next string. ", 8)}, {BarIndex: 99, Text: "At the end."}, {BarIndex: 2, Text: "Again."}}})
	tell("a tab with words", d, err)
	d, err = sheet.Lay(words, sheet.Options{NoProvenance: true, StringOneLow: true, Scale: 1.6, Header: "Tuesday", NameLine: true, Language: "haw"})
	tell("larger, string 1 low, with a name line", d, err)
	tune2 := sheettest.EveryTurn(t)
	tune2.Composer = strings.Repeat("A maker with a long name ", 5)
	tune2.Title = strings.Repeat("A title that goes on and on ", 4)
	d, err = sheet.LayTune(tune2, sheet.Options{Paper: draw.Letter})
	tell("a tune of several pages", d, err)
	for _, left := range []bool{false, true} {
		d, err = sheet.Lay(sheettest.EveryMark(t), sheet.Options{Layout: sheet.Grips, LeftHanded: left, StringOneLow: left})
		tell("pictures of grips", d, err)
	}
	d, _, err = sheet.LayTogether([]sheet.Part{{Tab: words, Name: "Lead"}, {Tune: words.Tune, Name: "Voice"}, {Tab: sheettest.EveryMark(t), Name: "Second"}}, sheet.Options{})
	tell("three together", d, err)
	lane := func(l sheet.Line) sheet.LaneDrawn {
		out := sheet.LaneDrawn{Height: 7, Items: []draw.Item{draw.Rule{X1: l.Left, Y1: 1, X2: l.Right, Y2: 1, Width: 0.1 * l.Space}}}
		for _, bar := range l.Bars {
			if x, ok := l.X(bar, tune.Whole/8); ok {
				out.Items = append(out.Items, draw.Text{S: fmt.Sprint(bar), Font: draw.Sans, Size: 2, X: x, Y: 5})
			}
		}
		return out
	}
	d, err = sheet.LayTune(hushed(t), sheet.Options{Lane: lane})
	tell("a lane over rests of many bars", d, err)
	d, err = sheet.LayTune(hushed(t), sheet.Options{Lane: func(sheet.Line) sheet.LaneDrawn { return sheet.LaneDrawn{} }, Paper: draw.Phone})
	tell("a lane of nothing", d, err)
	titles := []string{"Tide", strings.Repeat("The long way round ", 6), "Quay"}
	d, err = sheet.Book("A Book With a Title That Is Longer Than Its Line and So Is Cut Short Where It Ends", 3, func(i, first int) (*draw.Drawing, error) {
		tn := hushed(t)
		tn.Title = titles[i]
		return sheet.LayTune(tn, sheet.Options{FirstPage: first})
	}, sheet.Options{FirstPage: 5})
	tell("a book", d, err)
	d, err = sheet.Book("Many", 40, func(i, first int) (*draw.Drawing, error) {
		return &draw.Drawing{Title: fmt.Sprint("Piece ", i+1), Description: "said", Pages: []*draw.Page{{W: 210, H: 297}, {W: 210, H: 297, Description: "own"}}}, nil
	}, sheet.Options{})
	tell("a book of two pages of contents", d, err)
	run := func(words string) []sheet.Run { return []sheet.Run{{Text: words}} }
	short := []sheet.Passage{{Runs: run("First"), Head: 1}, {Runs: []sheet.Run{{Text: "Plain and "}, {Text: "bold", Bold: true}, {Text: ", then "}, {Text: "slanted", Italic: true}, {Break: true}, {Text: "on a line of its own."}}}, {Runs: run("one"), Indent: 1, Mark: "•"}, {Runs: run("two " + strings.Repeat("wide ", 40)), Indent: 2, Mark: "2.", Close: true}, {Runs: run("Fourth"), Head: 4}, {Runs: run(strings.Repeat("unbroken", 30))}}
	sheets := func(n int) func(i, first int, top float64) (*draw.Drawing, error) {
		return func(i, first int, top float64) (*draw.Drawing, error) {
			if n == 0 {
				return nil, fmt.Errorf("none")
			}
			return sheet.LayTune(hushed(t), sheet.Options{FirstPage: first, Top: top})
		}
	}
	for _, c := range []struct {
		title string
		h     sheet.Handout
		o     sheet.Options
	}{
		{"a handout whose sheet shares its page", sheet.Handout{Title: "Lesson", Words: short[:2], Sheets: 2, Lay: sheets(2)}, sheet.Options{}},
		{"the same from page 4", sheet.Handout{Title: "Lesson", Words: short[:2], Sheets: 1, Lay: sheets(1)}, sheet.Options{FirstPage: 4}},
		{"a handout of all kinds of words", sheet.Handout{Title: strings.Repeat("Lesson of length ", 6), Words: short, Missing: []string{"No sheet for the third.", "Nor the fourth."}, Sheets: 1, Lay: sheets(1)}, sheet.Options{Paper: draw.Letter, Margin: 30}},
		{"words alone over pages", sheet.Handout{Title: "Read", Words: slices.Repeat(short, 4)}, sheet.Options{}},
		{"what is missing alone", sheet.Handout{Title: "Gone", Missing: []string{"All of it."}}, sheet.Options{}},
	} {
		d, err := c.h.Pages(c.o)
		tell(c.title, d, err)
	}
	if _, err := (&sheet.Handout{Title: "x", Sheets: 1, Lay: sheets(0)}).Pages(sheet.Options{}); err == nil {
		t.Error("a sheet that can't be laid is left out in silence")
	}
	many := *sheettest.EveryMark(t)
	r := *rigtest.Builtin(t, "pedal10-e9")
	many.Rig = &r
	for i := range many.Strokes {
		many.Strokes[i].Benders = 1 << (i % len(r.Benders))
		many.Strokes[i].Placement = steel.Placement{}
	}
	for _, paper := range []draw.Paper{draw.A4, draw.Phone} {
		d, err = sheet.Lay(&many, sheet.Options{Paper: paper})
		tell("a table of benders", d, err)
	}
	golden.File(t, "testdata/pages.txt", []byte(b.String()))
}

// hushed is a tune with rests of many bars between two notes.
func hushed(t testing.TB) *tune.Tune {
	t.Helper()
	tunes, _, err := abc.Read([]byte("X:1\nT:Hush\nM:4/4\nL:1/4\nK:D\nP:A\nd4|z4|z4|z4|f4|\nP:B\na4|z2 z2|d4|]\n"), "hush.abc")
	if err != nil {
		t.Fatal(err)
	}
	return tunes[0]
}
