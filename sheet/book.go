package sheet

import (
	"fmt"
	"strconv"

	"lapwright/sheet/draw"
)

// Book binds n pieces into one drawing with a list of contents in front. lay is
// called for each piece in order with the number of its first page, and gives
// its sheet. The outline has every piece, and its parts under it.
func Book(title string, n int, lay func(i, firstPage int) (*draw.Drawing, error), o Options) (*draw.Drawing, error) {
	o, err := o.Filled()
	if err != nil {
		return nil, err
	}
	if n == 0 {
		return nil, fmt.Errorf("a book needs a piece at least")
	}
	w, h := o.Paper.Size()
	const em, lead, head = 11 * draw.PointMM, 6.2, 22.0
	each := max(int((h-2*o.Margin-head-footer)/lead), 1)
	fronts := (n + each - 1) / each

	out := &draw.Drawing{Title: title, Language: o.Language, Bookmarks: []draw.Bookmark{{Title: "Contents"}}}
	for range fronts {
		out.Pages = append(out.Pages, &draw.Page{W: w, H: h})
	}
	say := title + ", contents:"
	width := w - 2*o.Margin
	for i := range n {
		at := len(out.Pages) + o.FirstPage
		d, err := lay(i, at)
		if err != nil {
			return nil, err
		}
		for _, b := range d.Bookmarks {
			b.Page += len(out.Pages)
			out.Bookmarks = append(out.Bookmarks, b)
		}
		// A page keeps its own description; one that has none takes its piece's.
		for _, p := range d.Pages {
			if p.Description == "" {
				p.Description = d.Description
			}
		}
		front := out.Pages[i/each]
		out.Pages = append(out.Pages, d.Pages...)

		y := o.Margin + head + lead*float64(i%each)
		number := strconv.Itoa(at)
		name := d.Title
		if lines := draw.Wrap(name, draw.Serif, em, width-14); len(lines) > 1 {
			name = lines[0] + " …"
		}
		left := o.Margin + draw.Serif.Width(name)*em + 2
		right := w - o.Margin - draw.Serif.Width(number)*em - 2
		front.Items = append(front.Items,
			draw.Text{S: name, Font: draw.Serif, Size: em, X: o.Margin, Y: y},
			draw.Text{S: number, Font: draw.Serif, Size: em, X: w - o.Margin, Y: y, Anchor: draw.End})
		if left < right {
			front.Items = append(front.Items, draw.Rule{X1: left, Y1: y, X2: right, Y2: y, Width: 0.15, Dash: 0.8, Ink: draw.Pale})
		}
		say += fmt.Sprintf(" %s, page %s;", d.Title, number)
	}
	const big = 18 * draw.PointMM
	y := o.Margin + big
	for i, l := range draw.Wrap(title, draw.SerifBold, big, width) {
		if i > 0 {
			break // a longer title is cut short; the document's own has it all
		}
		out.Pages[0].Items = append(out.Pages[0].Items, draw.Text{S: l, Font: draw.SerifBold, Size: big, X: w / 2, Y: y, Anchor: draw.Middle})
	}
	out.Description = say
	for _, p := range out.Pages[:fronts] {
		p.Description = say
	}
	return out, nil
}
