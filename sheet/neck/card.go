package neck

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/draw"
)

// cardWidth and cardHeight are ISO A6 lying, the size of a postcard.
const cardWidth, cardHeight = 148.0, 105.0

// card lays lines of a table on a postcard.
type card struct {
	page *draw.Page
	y    float64
	d    *draw.Drawing
}

const cardMargin = 9.0

func newCard(title, sub string) *card {
	c := &card{page: &draw.Page{W: cardWidth, H: cardHeight}, y: cardMargin}
	c.d = &draw.Drawing{Title: title, Pages: []*draw.Page{c.page}, Bookmarks: []draw.Bookmark{{Title: title}}}
	const em = 13 * draw.PointMM
	for _, l := range draw.Wrap(title, draw.SerifBold, em, cardWidth-2*cardMargin) {
		c.y += em * 0.9
		c.put(l, draw.SerifBold, em, cardMargin, draw.Start)
		c.y += em * 0.25
	}
	if sub != "" {
		c.words(sub, draw.Serif)
	}
	c.y += 2
	return c
}

func (c *card) put(s string, f draw.Font, em, x float64, a draw.Anchor) {
	c.page.Items = append(c.page.Items, draw.Text{S: s, Font: f, Size: em, X: x, Y: c.y, Anchor: a})
}

const cardEm = 8.5 * draw.PointMM

func (c *card) words(s string, f draw.Font) {
	for _, l := range draw.Wrap(s, f, cardEm, cardWidth-2*cardMargin) {
		c.y += cardEm * 1.3
		c.put(l, f, cardEm, cardMargin, draw.Start)
	}
}

// column is one column of a card's table.
type column struct {
	x    float64
	head string
	a    draw.Anchor
}

func (c *card) table(cols []column, rows [][]string) {
	c.y += cardEm
	for _, k := range cols {
		c.put(k.head, draw.SerifItalic, cardEm, cardMargin+k.x, k.a)
	}
	c.y += 1.2
	c.page.Items = append(c.page.Items, draw.Rule{X1: cardMargin, Y1: c.y, X2: cardWidth - cardMargin, Y2: c.y, Width: 0.2})
	lead := min(cardEm*1.55, (cardHeight-cardMargin-14-c.y)/float64(max(len(rows), 1)))
	size := min(cardEm*1.05, lead*0.85)
	for _, r := range rows {
		c.y += lead
		for i, k := range cols {
			c.put(r[i], draw.Sans, size, cardMargin+k.x, k.a)
		}
	}
	c.y += 2
}

// hertz writes a frequency to a hundredth.
func hertz(f pitch.Hz) string { return strconv.FormatFloat(float64(f), 'f', 2, 64) }

// gauge writes a string as sold, in thousandths of an inch and millimetres.
func gauge(s *rig.String) string {
	d := float64(s.Wire.Diameter)
	kind := ""
	if s.Wire.Wound {
		kind = "w"
	}
	return fmt.Sprintf(".%03.0f%s in · %.2f mm", math.Round(d/25.4*1000), kind, d)
}

// TuningCard is a postcard with a rig's tuning: pitch, hertz and gauge of every
// string, and what its benders do.
func TuningCard(r *rig.Rig) *draw.Drawing {
	title := r.Title
	if title == "" {
		title = r.Name
	}
	sub := "low to high: " + r.PrettyTuning()
	if r.Tuning != "" {
		sub = r.Tuning + ", " + sub
	}
	a4 := r.Reference
	if a4 == 0 {
		a4 = pitch.StandardA
	}
	c := newCard(title, sub)
	r = r.WithoutCapo() // the strings are tuned without it
	var rows [][]string
	told := []string{title + ", " + sub}
	for i := range r.Strings {
		s := &r.Strings[i]
		hz := s.Open.Hz(a4)
		kind := "plain"
		if s.Wire.Wound {
			kind = "wound, " + string(s.Wire.Material)
		}
		rows = append(rows, []string{strconv.Itoa(i + 1), s.Open.Pretty(), hertz(hz), gauge(s), kind})
		told = append(told, fmt.Sprintf("string %d %s %s hertz %s", i+1, s.Open.Pretty(), hertz(hz), gauge(s)))
	}
	c.table([]column{{0, "string", draw.Start}, {18, "note", draw.Start}, {48, "Hz", draw.End}, {56, "gauge", draw.Start}, {90, "kind", draw.Start}}, rows)
	for i := range r.Benders {
		b := &r.Benders[i]
		var mv []string
		for _, m := range b.Moves {
			mv = append(mv, fmt.Sprintf("string %d %s", m.String, say.Signed(m.Semitones)))
		}
		t := b.Mark + ": " + b.Name + ", " + strings.Join(mv, ", ")
		c.words(t, draw.Serif)
		told = append(told, t)
	}
	c.words("A4 = "+strconv.FormatFloat(float64(a4), 'f', -1, 64)+" Hz. Never above the maker's limit; if a string or the neck gives cause for doubt, ask a qualified repairer.", draw.SerifItalic)
	c.d.Description = strings.Join(told, "; ") + "."
	return c.d
}

// RetuningCard is a postcard with the way from one tuning to another: which
// string goes where, in which order.
func RetuningCard(p *retune.Plan) *draw.Drawing {
	from, to := p.From.Title, p.To.Tuning
	if from == "" {
		from = p.From.Name
	}
	if to == "" {
		to = p.To.PrettyTuning()
	}
	c := newCard("Retuning to "+to, from+": from "+p.From.PrettyTuning()+" to "+p.To.PrettyTuning())
	order := map[int]int{}
	for i, s := range p.Steps {
		order[s.String] = i + 1
	}
	a4 := p.To.Reference
	if a4 == 0 {
		a4 = pitch.StandardA
	}
	var rows [][]string
	var told []string
	for i := range p.Moves {
		m := &p.Moves[i]
		turn, way := "", "stays"
		if n := order[m.String]; n > 0 {
			turn = strconv.Itoa(n)
		}
		if m.Semitones != 0 {
			way = say.Signed(m.Semitones)
		}
		note := ""
		if m.Instead != nil {
			note = "change the string: ." + fmt.Sprintf("%03.0f in", math.Round(float64(m.Instead.Diameter)/25.4*1000))
		}
		rows = append(rows, []string{strconv.Itoa(m.String), m.From.Pretty(), m.To.Pretty(), way, hertz(m.To.Hz(a4)), turn, note})
		told = append(told, fmt.Sprintf("string %d from %s to %s %s", m.String, m.From.Pretty(), m.To.Pretty(), way))
	}
	c.table([]column{{0, "string", draw.Start}, {16, "from", draw.Start}, {29, "to", draw.Start}, {42, "semitones", draw.Start}, {74, "Hz", draw.End}, {81, "turn", draw.Start}, {92, "", draw.Start}}, rows)
	if p.Passes > 1 {
		c.words(fmt.Sprintf("Go round %d times: the body gives, and strings tuned first drift.", p.Passes), draw.Serif)
	}
	if string(p.Finding) != "" {
		c.words("Load: "+string(p.Finding)+".", draw.Serif)
	}
	c.words("Eyes away from the strings while you turn. Never above the maker's limit; in doubt ask a qualified repairer.", draw.SerifItalic)
	c.d.Description = c.d.Title + ": " + strings.Join(told, "; ") + "."
	return c.d
}
