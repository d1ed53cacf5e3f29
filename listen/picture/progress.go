package picture

import (
	"fmt"
	"math"

	"lapwright/sheet/draw"
)

// Figures are how far off the notes of one take were, by string and by region of the neck:
// medians of cents without sign, NaN where nothing was told.
type Figures struct {
	Label   string // such as a date
	Strings []float64
	Regions []float64 // as listen.Regions lists them
}

// The measures of a picture of progress, in millimetres.
const (
	progressWide  = 180.0
	progressLeft  = 38.0
	progressRow   = 13.0
	progressText  = 3.2
	progressCents = 20.0 // the height of a row
)

// How many takes have room for their dates under a picture of progress, and for their figures in
// a row: of more, every second, third or so on has its date, and the last its figure.
const (
	progressDates   = 6
	progressFigures = 18
)

// Progress draws how takes of one tune compare, in the order given: a row for each string and
// each region of the neck, in which what lies lower is nearer to the pitch. regions names them.
func Progress(takes []Figures, regions []string) *draw.Drawing {
	if len(takes) == 0 {
		return nil
	}
	page := &draw.Page{W: progressWide}
	y := 2.0
	row := func(name string, value func(Figures) float64) {
		drawRow(page, y, name, takes, value)
		y += progressRow + 3
	}
	for s := range takes[0].Strings {
		row(fmt.Sprintf("string %d", s+1), func(f Figures) float64 { return at(f.Strings, s) })
	}
	for i, name := range regions {
		row(name, func(f Figures) float64 { return at(f.Regions, i) })
	}
	for i, f := range takes {
		if i%((len(takes)+progressDates-1)/progressDates) == 0 {
			page.Items = append(page.Items, draw.Text{S: f.Label, Font: draw.Sans, Size: 0.85 * progressText, X: progressX(i, len(takes)), Y: y + progressText, Anchor: draw.Middle, Ink: draw.Grey})
		}
	}
	page.H = y + 2*progressText
	d := &draw.Drawing{Title: "Progress by string and region", Pages: []*draw.Page{page}}
	d.Description = "Cents off, from take to take; the band is what is heard as in tune."
	return d
}

// at returns an element, NaN beyond the end.
func at(v []float64, i int) float64 {
	if i < len(v) {
		return v[i]
	}
	return math.NaN()
}

// progressX returns where a take stands across.
func progressX(i, of int) float64 {
	const left, right = progressLeft + 8, progressWide - 12
	if of == 1 {
		return (left + right) / 2
	}
	return left + (right-left)*float64(i)/float64(of-1)
}

func drawRow(page *draw.Page, y float64, name string, takes []Figures, value func(Figures) float64) {
	put := func(it draw.Item) { page.Items = append(page.Items, it) }
	height := func(cents float64) float64 {
		return y + progressRow*(1-min(cents, progressCents)/progressCents)
	}
	put(draw.Text{S: name, Font: draw.Sans, Size: progressText, X: 0, Y: y + progressRow/2 + 1, Ink: draw.Black})
	put(draw.Box{X: progressLeft, Y: height(BandCents), W: progressWide - progressLeft, H: y + progressRow - height(BandCents), Ink: draw.Faint})
	put(draw.Rule{X1: progressLeft, Y1: y + progressRow, X2: progressWide, Y2: y + progressRow, Width: 0.2, Ink: draw.Grey})
	// Where the mark before stands, and where the words beside it end.
	var before draw.Point
	from := math.NaN()
	for i, f := range takes {
		v := value(f)
		if math.IsNaN(v) {
			continue
		}
		x, h := progressX(i, len(takes)), height(v)
		if !math.IsNaN(from) {
			// The join begins clear of the figure, on the way from mark to mark.
			start := before.Y + (h-before.Y)*(from-before.X)/(x-before.X)
			put(draw.Rule{X1: from, Y1: start, X2: x, Y2: h, Width: 0.35, Ink: draw.Grey})
		}
		before, from = draw.Point{X: x, Y: h}, x
		ink, k := inTune, round
		if v > BandCents {
			ink, k = sharp, diamond
		}
		put(shape(k, x, h, 1.1, ink, false))
		if len(takes) <= progressFigures || i == len(takes)-1 {
			t := draw.Text{S: fmt.Sprintf("%.0f", v), Font: draw.Sans, Size: 0.85 * progressText, X: x + 2, Y: h + 1, Ink: draw.Black}
			from = t.Bounds().X1 + 0.6
			put(t)
		}
	}
}
