package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/sheet/draw"
)

// Passage is a paragraph of words, a heading, or an item of a list.
type Passage struct {
	Runs   []Run
	Head   int    // the level of a heading, 0 for none
	Indent int    // steps to the right
	Mark   string // before the first line: a bullet, a number
	Close  bool   // it follows the one before without a gap
}

// Run is words in one style; Break ends the line and has no words.
type Run struct {
	Text         string
	Bold, Italic bool
	Break        bool
}

// Handout is what a class is given on paper: the words, then the sheets.
type Handout struct {
	Title   string
	Words   []Passage
	Missing []string // lines on what could not be made
	// Lay is called for each of Sheets pieces in order with the number of its first
	// page and the millimetres of that page that the words take.
	Sheets int
	Lay    func(i, firstPage int, top float64) (*draw.Drawing, error)
}

// Measures of the page of words, in millimetres.
const (
	wordsEm   = 11.5 * draw.PointMM
	wordsLead = 1.45 * wordsEm
	wordsGap  = 0.55 * wordsEm
	wordsStep = 7.0
	namesRoom = 12.0
	titleEm   = 20 * draw.PointMM
	// mostWords is the share of a page that words may take where a sheet follows on
	// the same page: below it the sheet would be squeezed or parted (our own figure).
	mostWords = 0.4
)

// Pages draws a handout. The first page has a line for the student's name and one
// for the date; pages are numbered through.
func (h *Handout) Pages(o Options) (*draw.Drawing, error) {
	o, err := o.Filled()
	if err != nil {
		return nil, err
	}
	w := &wordPager{o: o, out: &draw.Drawing{Title: h.Title, Language: o.Language}}
	w.width, w.height = o.Paper.Size()
	w.page()
	w.names()
	w.title(h.Title)
	for i, p := range h.Words {
		w.passage(p, i == 0)
	}
	for i, m := range h.Missing {
		w.passage(Passage{Runs: []Run{{Text: m, Italic: true}}}, i == 0 && len(h.Words) == 0)
	}
	w.out.Bookmarks = append(w.out.Bookmarks, draw.Bookmark{Title: h.Title})
	w.out.Description = h.Title
	first, err := h.below(w)
	if err != nil {
		return nil, err
	}
	if first == nil {
		w.number()
	}
	for i := range h.Sheets {
		d := first
		if i > 0 || d == nil {
			if d, err = h.Lay(i, len(w.out.Pages)+o.FirstPage, 0); err != nil {
				return nil, err
			}
		} else {
			w.share(d)
		}
		for _, b := range d.Bookmarks {
			b.Page += len(w.out.Pages)
			w.out.Bookmarks = append(w.out.Bookmarks, b)
		}
		for _, p := range d.Pages {
			if p.Description == "" {
				p.Description = d.Description
			}
		}
		w.out.Pages = append(w.out.Pages, d.Pages...)
	}
	return w.out, nil
}

// below lays the first sheet below short words on their page: it must take no more
// pages so than it does alone. Otherwise it gives nil.
func (h *Handout) below(w *wordPager) (*draw.Drawing, error) {
	top := w.y + wordsGap - w.o.Margin
	if h.Sheets == 0 || len(w.out.Pages) > 1 || top > (w.height-2*w.o.Margin)*mostWords {
		return nil, nil
	}
	alone, err := h.Lay(0, w.o.FirstPage+1, 0)
	if err != nil {
		return nil, err
	}
	shared, err := h.Lay(0, w.o.FirstPage, top)
	if err != nil || len(shared.Pages) > len(alone.Pages) {
		return nil, err
	}
	return shared, nil
}

// share puts the words at the head of a sheet's first page, which takes their
// page's place.
func (w *wordPager) share(d *draw.Drawing) {
	page := d.Pages[0]
	page.Items = append(w.lastPage().Items, page.Items...)
	page.Description = strings.TrimSpace(w.said.String() + "\n" + page.Description)
	w.out.Pages = w.out.Pages[:0]
	if len(d.Pages) == 1 && w.o.FirstPage == 1 {
		// A sheet of one page that is the first has no number of its own.
		page.Items = append(page.Items, w.pageNumber(1))
	}
}

// wordPager sets words on pages.
type wordPager struct {
	o             Options
	out           *draw.Drawing
	width, height float64
	y             float64 // the baseline of the line before
	said          strings.Builder
}

func (w *wordPager) lastPage() *draw.Page { return w.out.Pages[len(w.out.Pages)-1] }

func (w *wordPager) put(it draw.Item) { w.lastPage().Items = append(w.lastPage().Items, it) }

func (w *wordPager) page() {
	w.out.Pages = append(w.out.Pages, &draw.Page{W: w.width, H: w.height})
	w.y = w.o.Margin
}

// names draws the lines for name and date.
func (w *wordPager) names() {
	const em = 10 * draw.PointMM
	y := w.o.Margin + em
	middle := w.width - w.o.Margin - 50
	for _, l := range []struct {
		label    string
		from, to float64
	}{{"Name", w.o.Margin, middle - 6}, {"Date", middle, w.width - w.o.Margin}} {
		w.put(draw.Text{S: l.label, Font: draw.Serif, Size: em, X: l.from, Y: y})
		w.put(draw.Rule{X1: l.from + draw.Serif.Width(l.label)*em + 1.5, Y1: y + 0.4, X2: l.to, Y2: y + 0.4, Width: 0.2})
	}
	w.y += namesRoom
}

func (w *wordPager) title(s string) {
	for _, l := range draw.Wrap(s, draw.SerifBold, titleEm, w.width-2*w.o.Margin) {
		w.y += 1.25 * titleEm
		w.put(draw.Text{S: l, Font: draw.SerifBold, Size: titleEm, X: w.o.Margin, Y: w.y})
	}
	w.y += wordsGap
	w.said.WriteString(s + ". ")
}

// word is one word in its style, with what stands before it.
type word struct {
	text  string
	font  draw.Font
	glued bool // no space before it
	ends  bool // the line is over before it
}

// words parts runs at their spaces.
func words(runs []Run, head bool) []word {
	var out []word
	ends, glued := false, false
	for _, r := range runs {
		if r.Break {
			ends = true
			continue
		}
		font := draw.Serif
		switch {
		case r.Bold || head:
			font = draw.SerifBold
		case r.Italic:
			font = draw.SerifItalic
		}
		glued = glued && !strings.HasPrefix(r.Text, " ")
		for _, s := range strings.Fields(r.Text) {
			out = append(out, word{s, font, glued, ends})
			ends, glued = false, false
		}
		glued = r.Text != "" && !strings.HasSuffix(r.Text, " ")
	}
	return out
}

func (w *wordPager) passage(p Passage, first bool) {
	em := wordsEm
	if p.Head > 0 {
		em *= max(1.4-0.1*float64(p.Head), 1)
	}
	if !p.Close && !first {
		w.y += wordsGap
	}
	left := w.o.Margin + wordsStep*float64(p.Indent)
	right := w.width - w.o.Margin
	w.line(em)
	if p.Mark != "" {
		w.put(draw.Text{S: p.Mark, Font: draw.Serif, Size: em, X: left - 2, Y: w.y, Anchor: draw.End})
	}
	x := left
	space := draw.Serif.Width(" ") * em
	for _, a := range words(p.Runs, p.Head > 0) {
		gap := space
		if a.glued || x == left {
			gap = 0
		}
		width := a.font.Width(a.text) * em
		if a.ends || x > left && x+gap+width > right {
			w.line(em)
			x, gap = left, 0
		}
		// A word longer than the line is broken where it must be.
		for _, part := range draw.Wrap(a.text, a.font, em, right-left) {
			if x+gap > left && x+gap+a.font.Width(part)*em > right+0.01 {
				w.line(em)
				x, gap = left, 0
			}
			w.put(draw.Text{S: part, Font: a.font, Size: em, X: x + gap, Y: w.y})
			x += gap + a.font.Width(part)*em
			gap = 0
		}
		w.said.WriteString(a.text + " ")
	}
}

// line goes on to the next line, on a new page when this one is full.
func (w *wordPager) line(em float64) {
	lead := wordsLead / wordsEm * em
	if w.y+lead > w.height-w.o.Margin-footer {
		w.number()
		w.page()
	}
	w.y += lead
}

func (w *wordPager) pageNumber(n int) draw.Text {
	return draw.Text{S: strconv.Itoa(n), Font: draw.Serif, Size: 9 * draw.PointMM, X: w.width / 2, Y: w.height - w.o.Margin, Anchor: draw.Middle}
}

// number ends a page.
func (w *wordPager) number() {
	p := w.lastPage()
	p.Description = strings.TrimSpace(w.said.String())
	w.said.Reset()
	w.put(w.pageNumber(w.o.FirstPage + len(w.out.Pages) - 1))
	if p.Description == "" {
		p.Description = fmt.Sprintf("page %d", len(w.out.Pages))
	}
}
