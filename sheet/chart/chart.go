// Package chart draws the chords of a tune on one page, bar by bar, to play from at a
// glance. Melody, words and tab are for other sheets.
//
// Entry point: Lay.
package chart

import (
	"fmt"
	"strings"

	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

// Options says how a chart is drawn.
type Options struct {
	Paper   draw.Paper // "" is A4
	Numbers bool       // the numbers of the key stand under the names
	Feel    string     // its name, in the heading; "" for none
}

// The measures of a chart in millimetres; letters are of their height on paper.
const (
	margin  = 15.0
	tallest = 17.0 // a line of bars at most
	rowGap  = 3.0
	nameEm  = 17 * draw.PointMM
	smallEm = 9 * draw.PointMM
	titleEm = 20 * draw.PointMM
)

// page is one chart being drawn.
type page struct {
	p      *draw.Page
	o      Options
	t      *tune.Tune
	width  float64 // of a bar
	height float64 // of a line
	told   []string
}

// Lay draws a chart: four bars a line, eight where there are more than 48 bars, lines as
// low as it takes to fit the page.
func Lay(t *tune.Tune, o Options) *draw.Drawing {
	if o.Paper == "" {
		o.Paper = draw.A4
	}
	w, h := o.Paper.Size()
	p := &page{p: &draw.Page{W: w, H: h}, o: o, t: t}
	y := p.head()
	first := 0
	if t.Within(0) > 0 && len(t.Bars) > 1 {
		first = 1 // a pickup has no chord of its own
	}
	across := 4
	if len(t.Bars)-first > 48 {
		across = 8
	}
	rows := p.rows(first, across)
	p.width = (w - 2*margin) / float64(across)
	p.height = min(tallest, (h-margin-y)/float64(max(len(rows), 1))-rowGap)
	for _, row := range rows {
		for i, bar := range row {
			p.bar(bar, margin+float64(i)*p.width, y, i == 0)
		}
		y += p.height + rowGap
	}
	return &draw.Drawing{Title: t.Title, Pages: []*draw.Page{p.p}, Bookmarks: []draw.Bookmark{{Title: t.Title}}, Description: strings.Join(p.told, "; ") + "."}
}

// rows parts the bars into lines; a new part and a first ending's group begin one.
func (p *page) rows(first, across int) [][]int {
	var out [][]int
	for i := first; i < len(p.t.Bars); i++ {
		n := len(out)
		if n == 0 || len(out[n-1]) == across || p.t.Bars[i].Part != "" {
			out = append(out, nil)
			n++
		}
		out[n-1] = append(out[n-1], i)
	}
	return out
}

func (p *page) text(s string, f draw.Font, em, x, y float64, a draw.Anchor) {
	p.p.Items = append(p.p.Items, draw.Text{S: s, Font: f, Size: em, X: x, Y: y, Anchor: a})
}

func (p *page) line(x1, y1, x2, y2, width float64) {
	p.p.Items = append(p.p.Items, draw.Rule{X1: x1, Y1: y1, X2: x2, Y2: y2, Width: width})
}

// head draws the title and what holds for all, and returns where the bars begin.
func (p *page) head() float64 {
	y := margin + titleEm
	title := p.t.Title
	if title == "" {
		title = "Untitled"
	}
	for _, l := range draw.Wrap(title, draw.SerifBold, titleEm, p.p.W-2*margin) {
		p.text(l, draw.SerifBold, titleEm, p.p.W/2, y, draw.Middle)
		y += titleEm * 1.1
	}
	b := &p.t.Bars[0]
	facts := []string{"key " + b.Key.Pretty()}
	if b.Meter.Len() > 0 {
		facts = append(facts, fmt.Sprintf("%d/%d", b.Meter.Beats, b.Meter.Unit))
	}
	for _, tempo := range b.Tempos {
		if tempo.PerMinute > 0 {
			facts = append(facts, fmt.Sprintf("%d beats a minute", (tempo.PerMinute+500)/1000))
			break
		}
	}
	if p.o.Feel != "" {
		facts = append(facts, p.o.Feel)
	}
	p.text(strings.Join(facts, " · "), draw.Serif, smallEm*1.2, p.p.W/2, y, draw.Middle)
	p.told = append(p.told, title, strings.Join(facts, ", "))
	return y + 8
}

// bar draws one bar.
func (p *page) bar(i int, x, y float64, first bool) {
	b := &p.t.Bars[i]
	mid := y + p.height/2
	if first {
		p.line(x, y, x, y+p.height, 0.3)
	}
	right := 0.3
	if b.Right.Style != tune.SingleBarline || b.Right.Repeat > 0 {
		right = 0.9
	}
	p.line(x+p.width, y, x+p.width, y+p.height, right)
	if b.Left.Repeat > 0 {
		p.line(x, y, x, y+p.height, 0.9)
		p.dots(x+1.8, mid)
	}
	if b.Right.Repeat > 0 {
		p.dots(x+p.width-1.8, mid)
	}
	if b.Part != "" {
		p.text(b.Part, draw.SansBold, smallEm, x+0.8, y-0.6, draw.Start)
	}
	if len(b.Endings) > 0 {
		p.line(x, y, x+p.width*0.9, y, 0.3)
		p.text(fmt.Sprintf("%d.", b.Endings[0]), draw.Sans, smallEm*0.9, x+1, y+smallEm, draw.Start)
	}
	said := []string{}
	for k, c := range p.chords(b) {
		share := float64(c.At) / float64(max(b.Len, 1))
		room := (p.width - 6) * (1 - share)
		if next := p.chords(b); k+1 < len(next) {
			room = (p.width - 6) * float64(next[k+1].At-c.At) / float64(b.Len)
		}
		p.chord(b, c, x+3+(p.width-6)*share, mid, room)
		said = append(said, c.Text)
	}
	if len(said) == 0 {
		p.text("%", draw.Sans, nameEm*0.8, x+p.width/2, mid+nameEm*0.3, draw.Middle)
		said = append(said, "the same")
	}
	p.told = append(p.told, fmt.Sprintf("bar %d %s", b.Number, strings.Join(said, " ")))
}

// chords returns the chords of a bar: of those at one place the last.
func (p *page) chords(b *tune.Bar) []tune.ChordAt {
	var out []tune.ChordAt
	for _, c := range b.Chords {
		if n := len(out); n > 0 && out[n-1].At == c.At {
			out[n-1] = c
			continue
		}
		out = append(out, c)
	}
	return out
}

// chord draws one chord in the room that it has.
func (p *page) chord(b *tune.Bar, c tune.ChordAt, x, mid, room float64) {
	name, number := c.Text, ""
	if c.Chord != nil {
		name = c.Chord.Pretty()
		number = numberOf(*c.Chord, b.Key)
	}
	em := min(nameEm, p.height*0.42)
	if w := draw.SansBold.Width(name) * em; w > room-1 && w > 0 {
		em *= max(0.2, (room-1)/w)
	}
	y := mid + em*0.35
	if p.o.Numbers && number != "" {
		y -= smallEm * 0.5
		p.text(number, draw.Sans, min(smallEm, em*0.6), x, mid+p.height*0.36, draw.Start)
	}
	p.text(name, draw.SansBold, em, x, y, draw.Start)
}

func numberOf(c pitch.Chord, k pitch.Key) string {
	return strings.NewReplacer("b", "♭", "#", "♯").Replace(c.Degree(k.Tonic))
}

// dots draws the dots of a repeat.
func (p *page) dots(x, mid float64) {
	for _, dy := range []float64{-1.5, 1.5} {
		p.p.Items = append(p.p.Items, draw.Glyph{Symbol: draw.RepeatDot, X: x - 0.4, Y: mid + dy, Space: 2})
	}
}
