package sheet_test

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"
	"testing"

	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
	"lapwright/sheet/sheettest"
	"lapwright/tab"
	"lapwright/tune"
)

func TestOptionsThatAreWrong(t *testing.T) {
	tb := sheettest.EveryMark(t)
	for _, c := range []struct {
		o    sheet.Options
		want string
	}{
		{sheet.Options{Paper: "a5"}, `unknown paper "a5"`},
		{sheet.Options{Layout: "round"}, `unknown layout "round"`},
		{sheet.Options{Margin: 3}, "margin 3 mm is not from 8 to 50"},
		{sheet.Options{Margin: -1}, "margin -1 mm"},
		{sheet.Options{Scale: 9}, "scale 9 is not from 0.5 to 2.5"},
	} {
		_, err := sheet.Lay(tb, c.o)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: error %v, want %q", c.o, err, c.want)
		}
	}
	for name, lay := range map[string]func() (*draw.Drawing, error){
		"no tab":  func() (*draw.Drawing, error) { return sheet.Lay(nil, sheet.Options{}) },
		"no rig":  func() (*draw.Drawing, error) { return sheet.Lay(&tab.Tab{Tune: tb.Tune}, sheet.Options{}) },
		"no tune": func() (*draw.Drawing, error) { return sheet.LayTune(nil, sheet.Options{}) },
		"no bars": func() (*draw.Drawing, error) { return sheet.LayTune(&tune.Tune{Title: "x"}, sheet.Options{}) },
	} {
		if d, err := lay(); err == nil || d != nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// texts returns every text of a drawing with its size in points.
func texts(d *draw.Drawing) (out []string, least float64) {
	least = 1e9
	for _, p := range d.Pages {
		p.Walk(func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				out = append(out, x.S)
				least = min(least, x.Size/draw.PointMM)
			}
		})
	}
	return out, least
}

// TestLargePrint sees that nothing in large print is under 18 points but the
// raised figures of chord symbols.
func TestLargePrint(t *testing.T) {
	tb := sheettest.EveryMark(t)
	for i := range tb.Tune.Bars {
		tb.Tune.Bars[i].Chords = nil
	}
	d, err := sheet.Lay(tb, sheet.Options{Layout: sheet.LargePrint, NameLine: true, Header: "Harbour Street"})
	if err != nil {
		t.Fatal(err)
	}
	if _, least := texts(d); least < 17.99 {
		t.Errorf("a text of %.1f points", least)
	}
}

// TestWhatAStudentIsTold looks for what must be on every sheet.
func TestWhatAStudentIsTold(t *testing.T) {
	tb := sheettest.EveryMark(t)
	tb.Transposed = -14
	tb.Tune.Words = []string{"Down by the harbour, down by the quay"}
	tb.Tune.Notes = []string{"Played at the spring evening."}
	d, err := sheet.Lay(tb, sheet.Options{NameLine: true, Header: "Tuesday class", FirstPage: 7, Remarks: []sheet.Remark{{BarIndex: 4, Text: "Breathe here."}, {BarIndex: 400, Text: "And sing it."}}})
	if err != nil {
		t.Fatal(err)
	}
	all, _ := texts(d)
	joined := strings.Join(all, "\n")
	for _, want := range []string{
		"Every Mark", "Name", "Tuesday class", "D2 A2 D3 F♯3 A3 D4", "sounds an octave and 2 semitones below the tune as it came",
		"A: palm 1", "Breathe here.", "And sing it.", "Not exactly as the tune says", "bar 5, beat 1: wanted D4", "Down by the harbour", "spring evening", "7",
	} {
		if !strings.Contains(joined, want) {
			t.Errorf("the sheet does not say %q", want)
		}
	}
	if len(d.Bookmarks) == 0 || d.Title != "Every Mark" || !strings.Contains(d.Pages[0].Description, "Bar 1 (chord D") {
		t.Errorf("title %q, %d bookmarks, description %q", d.Title, len(d.Bookmarks), d.Pages[0].Description)
	}
}

// TestEveryPluckIsOnTheSheet counts the numbers of the tablature, each with its
// string, and the heads on the staff.
func TestEveryPluckIsOnTheSheet(t *testing.T) {
	tb := sheettest.EveryMark(t)
	want, heads := 0, 0
	for _, s := range tb.Strokes {
		want += len(s.Plucks)
	}
	for _, m := range tune.Moments(tb.Tune) {
		heads += len(m.Notes)
	}
	for _, l := range sheet.Layouts() {
		d, err := sheet.Lay(tb, sheet.Options{Layout: l})
		if err != nil {
			t.Fatal(err)
		}
		frets, drawn := 0, 0
		for _, p := range d.Pages {
			p.Walk(func(in []*draw.Group, it draw.Item) {
				if len(in) == 0 {
					return
				}
				g := in[len(in)-1]
				if _, ok := it.(draw.Text); ok && strings.HasPrefix(g.Class, "fret") {
					frets++
				}
				if _, ok := it.(draw.Glyph); ok && g.Class == "head" {
					drawn++
				}
			})
		}
		if hasTab := l != sheet.LeadSheet; hasTab && frets != want || !hasTab && frets != 0 {
			t.Errorf("%s: %d numbers on the strings, want %d", l, frets, want)
		}
		if hasStaff := l != sheet.TabOnly; hasStaff && drawn != heads || !hasStaff && drawn != 0 {
			t.Errorf("%s: %d heads on the staff, want %d", l, drawn, heads)
		}
	}
}

// TestHostileWords puts texts that try to break out, or that are far too long,
// everywhere that words can stand.
func TestHostileWords(t *testing.T) {
	for i, s := range []string{
		`</text></svg><script>alert(1)</script>`, `" onload="alert(1)`, "]]>&bogus;\x00\x01", strings.Repeat("endless ", 150), strings.Repeat("W", 800), "\xff\xfe\xc0", "\u202eevil\u2066", " ", "雪の舞",
	} {
		tb := sheettest.EveryMark(t)
		tn := tb.Tune
		tn.Title, tn.Composer, tn.Rhythm, tn.Origin = s, s, s, s
		tn.Subtitles, tn.Words, tn.Notes = []string{s}, []string{s}, []string{s}
		tn.Bars[0].Chords = []tune.ChordAt{{Text: s}}
		tn.Bars[1].Texts = []tune.TextAt{{Text: s}, {Text: s, Below: true}}
		tn.Bars[1].Part = s
		tn.Bars[2].Signs = []tune.Sign{{Kind: tune.DaCapo, Text: s}}
		tn.Bars[2].Tempos = []tune.Tempo{{Text: s, Beat: tune.Whole / 4, PerMinute: 1}}
		tn.Bars[3].Lines[0][0].Lyrics = []tune.Lyric{{Verse: 1, Text: s}}
		tb.Compromises[0].Why = s
		r := tb.Rig.Clone()
		r.Title, r.Tuning = s, s
		tb.Rig = r
		d, err := sheet.Lay(tb, sheet.Options{Header: s, Language: s, Remarks: []sheet.Remark{{BarIndex: 0, Text: s}, {BarIndex: 99, Text: s}}})
		if err != nil {
			t.Fatalf("%.20q: %v", s, err)
		}
		for page := range d.Pages {
			dec := xml.NewDecoder(strings.NewReader(string(draw.SVG(d, page))))
			for {
				tok, err := dec.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatalf("%.20q: page %d is not well formed: %v", s, page+1, err)
				}
				if e, ok := tok.(xml.StartElement); ok && (e.Name.Local == "script" || e.Name.Local == "a" || e.Name.Local == "image") {
					t.Fatalf("%.20q: made a <%s>", s, e.Name.Local)
				}
			}
		}
		if s == "雪の舞" && len(d.Unprinted()) == 0 {
			t.Error("letters that no font has were not reported")
		}
		if i < 3 { // texts go into a PDF one way: a few are enough
			if _, err := pdf.Write(d); err != nil {
				t.Errorf("%.20q: %v", s, err)
			}
		}
		if say.Tell(tb) == "" || say.TellTune(tn) == "" {
			t.Errorf("%.20q: nothing told", s)
		}
	}
}

// TestMetersOfEveryKind lays out bars in meters that no one counts.
func TestMetersOfEveryKind(t *testing.T) {
	for _, m := range []tune.Meter{{}, {Beats: 1, Unit: 1}, {Beats: 1, Unit: 128}, {Beats: 99, Unit: 8}, {Beats: 4, Unit: 4, Symbol: "C"}, {Beats: 15, Unit: 8, Groups: []int{3, 2, 2, 3, 5}}, {Beats: 5, Unit: 2}} {
		tn := &tune.Tune{Title: "Meter", Voices: []tune.Voice{{ID: "1"}}}
		for i := range 3 {
			b := sheettest.Measure(t, i+1, 4, 4, "A4/8 B4/8 C5/4 A4/8. B4/16 D5/4")
			b.Meter = m
			tn.Bars = append(tn.Bars, b)
		}
		if _, err := sheet.LayTune(tn, sheet.Options{}); err != nil {
			t.Errorf("%+v: %v", m, err)
		}
		if told := say.TellTune(tn); !strings.Contains(told, "Bar 3:") {
			t.Errorf("%+v: told %q", m, told)
		}
	}
}

// TestNoLoneLastSystem lays out pieces of every length up to several pages: no
// last page has a single system on it, and no page but the last is half empty.
func TestNoLoneLastSystem(t *testing.T) {
	several := 0
	for times := 1; times <= 30; times++ {
		d, err := sheet.Lay(long(t, times), sheet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(d.Pages) > 1 {
			several++
		}
		for i, p := range d.Pages {
			systems, low := 0, 0.0
			for _, it := range p.Items {
				if g, ok := it.(*draw.Group); ok && g.Class == "system" {
					systems++
					low = max(low, g.Bounds().Y1)
				}
			}
			switch last := i == len(d.Pages)-1; {
			case last && i > 0 && systems == 1:
				t.Errorf("%d times: a lone system on page %d", times, i+1)
			case !last && i > 0 && low < p.H*0.6:
				t.Errorf("%d times: page %d ends at %.0f of %.0f mm", times, i+1, low, p.H)
			}
		}
	}
	if several < 10 {
		t.Errorf("only %d pieces had several pages", several)
	}
}

// TestBook binds pieces and sees that contents, numbers and outline agree with
// where the pieces are.
func TestBook(t *testing.T) {
	const n = 60
	at := make([]int, n)
	d, err := sheet.Book("A year at Harbour Street", n, func(i, first int) (*draw.Drawing, error) {
		tb := long(t, 1+i%5)
		tb.Tune.Title = fmt.Sprintf("Piece %d", i+1)
		at[i] = first
		return sheet.Lay(tb, sheet.Options{FirstPage: first})
	}, sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	words := func(page int) string {
		var out []string
		d.Pages[page].Walk(func(_ []*draw.Group, it draw.Item) {
			if x, ok := it.(draw.Text); ok {
				out = append(out, x.S)
			}
		})
		return "\n" + strings.Join(out, "\n") + "\n"
	}
	contents := words(0) + words(1)
	for i := range n {
		title := fmt.Sprintf("Piece %d", i+1)
		if !strings.Contains(words(at[i]-1), "\n"+title+"\n") {
			t.Errorf("%s does not begin on page %d", title, at[i])
		}
		if !strings.Contains(contents, fmt.Sprintf("\n%s\n%d\n", title, at[i])) {
			t.Errorf("the contents do not give %s page %d", title, at[i])
		}
		found := false
		for _, b := range d.Bookmarks {
			found = found || b.Title == title && b.Page == at[i]-1
		}
		if !found {
			t.Errorf("the outline does not lead to %s", title)
		}
	}
	if _, err := sheet.Book("x", 0, nil, sheet.Options{}); err == nil {
		t.Error("an empty book was bound")
	}
}
