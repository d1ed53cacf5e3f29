package picture_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/golden"
	"lapwright/listen/picture"
	"lapwright/sheet/draw"
)

// practised is what three takes tell of two strings and two regions: string 1 gets better, string 2
// was not told in the second take, high up all lies off, the last region is not told at first.
func practised() ([]picture.Figures, []string) {
	none := math.NaN()
	return []picture.Figures{
		{Label: "3 May", Strings: []float64{16, 5}, Regions: []float64{31}},
		{Label: "10 May", Strings: []float64{9.4, none}, Regions: []float64{20, 6}},
		{Label: "17 May", Strings: []float64{4, 7}, Regions: []float64{12, 2}},
	}, []string{"below fret 5", "from fret 12 up"}
}

// TestProgressAsLookedAt: the picture of progress as it was looked at.
func TestProgressAsLookedAt(t *testing.T) {
	takes, regions := practised()
	golden.File(t, "testdata/progress.svg.txt", draw.SVG(picture.Progress(takes, regions), 0))
}

// rows lists a picture of progress by what is written at the left: for each row its marks, each with
// where it stands across and how far it stands over the row's foot, in millimetres, and the joins.
func rows(d *draw.Drawing) map[string]string {
	out := map[string]string{}
	row, foot := "", 0.0
	for _, it := range d.Pages[0].Items {
		switch it := it.(type) {
		case draw.Text:
			if it.X == 0 {
				row = it.S
			} else if it.Anchor == draw.Start {
				out[row] += it.S + "; "
			}
		case draw.Rule:
			if it.X1 == 38 {
				foot = it.Y1
			} else {
				out[row] += fmt.Sprintf("joined from %.0f, ", it.X1)
			}
		case draw.Path:
			m := markOf(&draw.Group{Items: []draw.Item{it}})
			out[row] += fmt.Sprintf("%s at %.0f, %.1f up: ", m.looks, m.x, foot-m.y)
		case draw.Box:
			if it.Radius > 0 {
				m := markOf(&draw.Group{Items: []draw.Item{it}})
				out[row] += fmt.Sprintf("%s at %.0f, %.1f up: ", m.looks, m.x, foot-m.y)
			}
		}
	}
	return out
}

// TestProgressRows: a row is 13 mm high for 20 cents, so 5 cents stand 3.25 mm over its foot and are in tune still; what lies
// farther off stands at the top with its figure; a take that could not tell is passed over.
func TestProgressRows(t *testing.T) {
	takes, regions := practised()
	d := picture.Progress(takes, regions)
	got := rows(d)
	for name, want := range map[string]string{
		"string 1":        "orange diamond at 46, 10.4 up: 16; joined from 52, orange diamond at 107, 6.1 up: 9; joined from 111, green round at 168, 2.6 up: 4; ",
		"string 2":        "green round at 46, 3.2 up: 5; joined from 50, orange diamond at 168, 4.5 up: 7; ",
		"below fret 5":    "orange diamond at 46, 13.0 up: 31; joined from 52, orange diamond at 107, 13.0 up: 20; joined from 113, orange diamond at 168, 7.8 up: 12; ",
		"from fret 12 up": "orange diamond at 107, 3.9 up: 6; joined from 111, green round at 168, 1.3 up: 2; ",
	} {
		if got[name] != want {
			t.Errorf("%s:\ngot  %q\nwant %q", name, got[name], want)
		}
	}
	// One take alone stands in the middle.
	if got, want := rows(picture.Progress(takes[2:], nil))["string 1"], "green round at 107, 2.6 up: 4; "; got != want {
		t.Errorf("one take: %q, want %q", got, want)
	}
	if picture.Progress(nil, regions) != nil {
		t.Error("there is a picture of no takes")
	}
}

// TestFiguresOfProgress: up to 18 takes all have their figures, of more the last alone; no mark, no join and no other figure
// runs through one.
func TestFiguresOfProgress(t *testing.T) {
	for _, c := range []struct{ takes, figures int }{{1, 1}, {2, 2}, {18, 18}, {19, 1}, {60, 1}} {
		takes := make([]picture.Figures, c.takes)
		for i := range takes {
			takes[i].Strings = []float64{20 - float64(i%3)*8}
		}
		var figures, marks []draw.Rect
		var joins []draw.Rule
		for _, it := range picture.Progress(takes, nil).Pages[0].Items {
			switch it := it.(type) {
			case draw.Text:
				if it.Anchor == draw.Start && it.X > 0 {
					figures = append(figures, it.Bounds())
				}
			case draw.Path:
				marks = append(marks, it.Bounds())
			case draw.Box:
				if it.Radius > 0 {
					marks = append(marks, it.Bounds())
				}
			case draw.Rule:
				if it.X1 > 38 {
					joins = append(joins, it)
				}
			}
		}
		if len(figures) != c.figures || len(marks) != c.takes || len(joins) != c.takes-1 {
			t.Errorf("%d takes: %d figures, %d marks, %d joins", c.takes, len(figures), len(marks), len(joins))
		}
		for i, f := range figures {
			for _, o := range slices.Concat(marks, figures[i+1:]) {
				if f.Overlaps(o) {
					t.Errorf("%d takes: the figure at %v runs into %v", c.takes, f, o)
				}
			}
			for _, j := range joins {
				if j.X1 < f.X1 && j.X2 > f.X0 {
					t.Errorf("%d takes: a join from %.1f to %.1f mm runs through the figure at %v", c.takes, j.X1, j.X2, f)
				}
			}
		}
	}
}

// TestDatesUnderProgress: up to six dates are all written; of more, every second, every third and so on, so that
// never more than six are and none runs into the next.
func TestDatesUnderProgress(t *testing.T) {
	for _, c := range []struct {
		takes int
		want  string
	}{
		{1, "1"}, {2, "1 2"}, {6, "1 2 3 4 5 6"}, {7, "1 3 5 7"}, {12, "1 3 5 7 9 11"}, {13, "1 4 7 10 13"}, {40, "1 8 15 22 29 36"},
	} {
		takes := make([]picture.Figures, c.takes)
		for i := range takes {
			takes[i] = picture.Figures{Label: fmt.Sprint(i + 1), Strings: []float64{4}}
		}
		d := picture.Progress(takes, nil)
		var got []string
		for _, x := range texts(d.Pages[0].Items) {
			if x.Anchor == draw.Middle {
				got = append(got, x.S)
				if x.Y > d.Pages[0].H-1 {
					t.Errorf("%d takes: %q stands at %.1f of %.1f mm", c.takes, x.S, x.Y, d.Pages[0].H)
				}
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%d takes have the dates %q, want %q", c.takes, s, c.want)
		}
	}
}
