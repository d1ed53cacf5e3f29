package neck

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/sheet/draw"
)

// Options are what a user may choose for a page of necks. The zero value is A4
// with the usual margin.
type Options struct {
	Paper    draw.Paper
	Margin   float64 // millimetres on all four sides, 8 to 50; 0 is 15
	Language string  // BCP 47 tag of the words; "" is "en"
	Facing   Facing  // of every neck on it
}

// Page sets neck pictures under a title, each as wide as the page, or as many
// beside each other as have room when they show few frets.
func Page(title string, necks []View, o Options) (*draw.Drawing, error) {
	if len(necks) == 0 {
		return nil, fmt.Errorf("there is no neck to draw")
	}
	f, err := newFlow(title, o)
	if err != nil {
		return nil, err
	}
	f.heading(title, 18*draw.PointMM, draw.Middle)
	f.y += 5
	f.necks(necks)
	return f.end(), nil
}

// flow sets pictures and words down pages, one under the other.
type flow struct {
	o    Options
	d    *draw.Drawing
	w, h float64
	y    float64 // how far down the last page is used
	told []string
}

func newFlow(title string, o Options) (*flow, error) {
	var err error
	if o.Paper, o.Margin, err = draw.Frame(o.Paper, o.Margin); err != nil {
		return nil, err
	}
	f := &flow{o: o, d: &draw.Drawing{Title: title, Language: o.Language, Bookmarks: []draw.Bookmark{{Title: title, Y: o.Margin}}}}
	f.w, f.h = o.Paper.Size()
	f.turn()
	return f, nil
}

func (f *flow) turn() {
	f.d.Pages = append(f.d.Pages, &draw.Page{W: f.w, H: f.h})
	f.y = f.o.Margin
}

func (f *flow) put(it draw.Item) {
	p := f.d.Pages[len(f.d.Pages)-1]
	p.Items = append(p.Items, it)
}

func (f *flow) heading(text string, em float64, a draw.Anchor) {
	x := f.o.Margin
	if a == draw.Middle {
		x = f.w / 2
	}
	for _, l := range draw.Wrap(text, draw.SerifBold, em, f.w-2*f.o.Margin) {
		f.y += em
		f.put(draw.Text{S: l, Font: draw.SerifBold, Size: em, X: x, Y: f.y, Anchor: a})
		f.y += em * 0.25
	}
}

// room turns the page when there are fewer millimetres left than asked for.
func (f *flow) room(height float64) {
	if f.y+height > f.h-f.o.Margin && f.y > f.o.Margin {
		f.turn()
	}
}

// necks sets rows of pictures, their lower edges in one line.
func (f *flow) necks(necks []View) {
	necks = slices.Clone(necks)
	for i := range necks {
		necks[i].Facing = f.o.Facing
	}
	for _, row := range Rows(necks, f.w-2*f.o.Margin, minPicture) {
		tall := 0.0
		for _, c := range row {
			tall = max(tall, c.Height)
		}
		f.room(tall)
		for _, c := range row {
			f.put(c.At(f.o.Margin, f.y+tall-c.Height))
			f.told = append(f.told, c.words)
		}
		f.y += tall + 6
	}
}

func (f *flow) end() *draw.Drawing {
	f.d.Description = f.d.Title + ". " + strings.Join(f.told, ". ")
	return f.d
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

// minPicture is the least width of a small picture on a page of necks, in millimetres.
const minPicture = 58.0

// Rows sets small pictures side by side, each with the given room at the least, all at
// one scale and so of one height on one instrument, and large ones in rows of their
// own. Lengths are millimetres.
func Rows(necks []View, width, least float64) [][]Cell {
	const gutter = 7.0
	columns := max(int((width+gutter)/(least+gutter)), 1)
	room := (width - gutter*float64(columns-1)) / float64(columns)
	large := func(n View) bool { return n.To-n.From > 9 }
	scale := math.Inf(1)
	for _, n := range necks {
		if !large(n) {
			scale = min(scale, n.scale(room))
		}
	}
	// Captions stand in one line too, whether or not a steel's nose stands below them.
	nose := 0.0
	for _, n := range necks {
		if !large(n) {
			nose = max(nose, n.nose(scale))
		}
	}
	var out [][]Cell
	var row []Cell
	for _, n := range necks {
		if large(n) {
			if row != nil {
				out = append(out, row)
				row = nil
			}
			g, h := n.Picture(width)
			out = append(out, []Cell{{g, 0, h, n.Describe()}})
			continue
		}
		g, h := n.at(scale, nose)
		row = append(row, Cell{g, float64(len(row)) * (room + gutter), h, n.Describe()})
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
