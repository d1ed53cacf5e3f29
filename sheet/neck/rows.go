package neck

import (
	"fmt"
	"lapwright/sheet/draw"
	"strings"
)

// Options are what a user may choose for a page of necks. The zero value is A4
// with the usual margin.
type Options struct {
	Paper    draw.Paper
	Margin   float64 // millimetres on all four sides, 8 to 50; 0 is 15
	Language string  // BCP 47 tag of the words; "" is "en"
}

// Page sets neck pictures under a title, each as wide as the page, or as many
// beside each other as have room when they show few frets.
func Page(title string, necks []View, o Options) (*draw.Drawing, error) {
	var err error
	if o.Paper, o.Margin, err = draw.Frame(o.Paper, o.Margin); err != nil {
		return nil, err
	}
	if len(necks) == 0 {
		return nil, fmt.Errorf("there is no neck to draw")
	}
	w, h := o.Paper.Size()
	width := w - 2*o.Margin
	d := &draw.Drawing{Title: title, Language: o.Language}
	var page *draw.Page
	y := 0.0
	turn := func() {
		page = &draw.Page{W: w, H: h}
		d.Pages = append(d.Pages, page)
		y = o.Margin
	}
	turn()
	const em = 18 * draw.PointMM
	for _, l := range draw.Wrap(title, draw.SerifBold, em, width) {
		y += em
		page.Items = append(page.Items, draw.Text{S: l, Font: draw.SerifBold, Size: em, X: w / 2, Y: y, Anchor: draw.Middle})
		y += em * 0.25
	}
	y += 5
	var words []string
	for _, row := range Rows(necks, width) {
		tall := 0.0
		for _, c := range row {
			tall = max(tall, c.Height)
		}
		if y+tall > h-o.Margin && y > o.Margin {
			turn()
		}
		for _, c := range row {
			page.Items = append(page.Items, c.At(o.Margin, y))
			words = append(words, c.words)
		}
		y += tall + 6
	}
	d.Description = title + ". " + strings.Join(words, ". ")
	d.Bookmarks = []draw.Bookmark{{Title: title, Y: o.Margin}}
	return d, nil
}

// Cell is a neck picture at its place in a row, in millimetres.
type Cell struct {
	group  *draw.Group
	x      float64
	Height float64
	words  string
}

// At returns the picture with the row's upper left corner at x, y.
func (c Cell) At(x, y float64) draw.Item { return draw.Placed(c.group, 1, x+c.x, y) }

// Rows sets small pictures side by side and large ones in rows of their
// own.
func Rows(necks []View, width float64) [][]Cell {
	var out [][]Cell
	var row []Cell
	const gutter = 7.0
	columns := max(int((width+gutter)/(50+gutter)), 1)
	small := (width - gutter*float64(columns-1)) / float64(columns)
	for _, n := range necks {
		if n.To-n.From > 9 {
			if row != nil {
				out = append(out, row)
				row = nil
			}
			g, h := n.Picture(width)
			out = append(out, []Cell{{g, 0, h, n.Describe()}})
			continue
		}
		g, h := n.Picture(small)
		row = append(row, Cell{g, float64(len(row)) * (small + gutter), h, n.Describe()})
		if len(row) == columns {
			out = append(out, row)
			row = nil
		}
	}
	if row != nil {
		out = append(out, row)
	}
	return out
}
