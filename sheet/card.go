package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/sheet/draw"
)

// cardWidth and cardHeight are ISO A6 lying, the size of a postcard.
const cardWidth, cardHeight = 148.0, 105.0

// Necks sets neck pictures under a title, each as wide as the page, or as many
// beside each other as have room when they show few frets.
func Necks(title string, necks []Neck, o Options) (*draw.Drawing, error) {
	o, err := o.filled()
	if err != nil {
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
	for _, l := range wrap(title, draw.SerifBold, em, width) {
		y += em
		page.Items = append(page.Items, draw.Text{S: l, Font: draw.SerifBold, Size: em, X: w / 2, Y: y, Anchor: draw.Middle})
		y += em * 0.25
	}
	y += 5
	var words []string
	for _, row := range neckRows(necks, width) {
		tall := 0.0
		for _, c := range row {
			tall = max(tall, c.height)
		}
		if y+tall > h-o.Margin && y > o.Margin {
			turn()
		}
		for _, c := range row {
			page.Items = append(page.Items, placed(c.group, 1, o.Margin+c.x, y))
			words = append(words, c.words)
		}
		y += tall + 6
	}
	d.Description = title + ". " + strings.Join(words, ". ")
	d.Bookmarks = []draw.Bookmark{{Title: title, Y: o.Margin}}
	return d, nil
}

// cell is a neck picture at its place in a row.
type cell struct {
	group     *draw.Group
	x, height float64
	words     string
}

// neckRows sets small pictures side by side and large ones in rows of their
// own.
func neckRows(necks []Neck, width float64) [][]cell {
	var out [][]cell
	var row []cell
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
			out = append(out, []cell{{g, 0, h, n.Describe()}})
			continue
		}
		g, h := n.Picture(small)
		row = append(row, cell{g, float64(len(row)) * (small + gutter), h, n.Describe()})
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
	for _, l := range wrap(title, draw.SerifBold, em, cardWidth-2*cardMargin) {
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
	for _, l := range wrap(s, f, cardEm, cardWidth-2*cardMargin) {
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
	c.page.Items = append(c.page.Items, draw.Line{X1: cardMargin, Y1: c.y, X2: cardWidth - cardMargin, Y2: c.y, Width: 0.2})
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
	say := []string{title + ", " + sub}
	for i := range r.Strings {
		s := &r.Strings[i]
		hz := s.Open.Hz(a4)
		kind := "plain"
		if s.Wire.Wound {
			kind = "wound, " + string(s.Wire.Material)
		}
		rows = append(rows, []string{strconv.Itoa(i + 1), s.Open.Pretty(), hertz(hz), gauge(s), kind})
		say = append(say, fmt.Sprintf("string %d %s %s hertz %s", i+1, s.Open.Pretty(), hertz(hz), gauge(s)))
	}
	c.table([]column{{0, "string", draw.Start}, {18, "note", draw.Start}, {48, "Hz", draw.End}, {56, "gauge", draw.Start}, {90, "kind", draw.Start}}, rows)
	for i := range r.Benders {
		b := &r.Benders[i]
		var mv []string
		for _, m := range b.Moves {
			mv = append(mv, fmt.Sprintf("string %d %s", m.String, signed(m.Semitones)))
		}
		t := b.Mark + ": " + b.Name + ", " + strings.Join(mv, ", ")
		c.words(t, draw.Serif)
		say = append(say, t)
	}
	c.words("A4 = "+strconv.FormatFloat(float64(a4), 'f', -1, 64)+" Hz. Never above the maker's limit; if a string or the neck gives cause for doubt, ask a qualified repairer.", draw.SerifItalic)
	c.d.Description = strings.Join(say, "; ") + "."
	return c.d
}

// signed writes semitones with a plus or a true minus.
func signed(n int) string {
	if n < 0 {
		return "−" + strconv.Itoa(-n)
	}
	return "+" + strconv.Itoa(n)
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
	var say []string
	for i := range p.Moves {
		m := &p.Moves[i]
		turn, way := "", "stays"
		if n := order[m.String]; n > 0 {
			turn = strconv.Itoa(n)
		}
		if m.Semitones != 0 {
			way = signed(m.Semitones)
		}
		note := ""
		if m.Instead != nil {
			note = "change the string: ." + fmt.Sprintf("%03.0f in", math.Round(float64(m.Instead.Diameter)/25.4*1000))
		}
		rows = append(rows, []string{strconv.Itoa(m.String), m.From.Pretty(), m.To.Pretty(), way, hertz(m.To.Hz(a4)), turn, note})
		say = append(say, fmt.Sprintf("string %d from %s to %s %s", m.String, m.From.Pretty(), m.To.Pretty(), way))
	}
	c.table([]column{{0, "string", draw.Start}, {16, "from", draw.Start}, {29, "to", draw.Start}, {42, "semitones", draw.Start}, {74, "Hz", draw.End}, {81, "turn", draw.Start}, {92, "", draw.Start}}, rows)
	if p.Passes > 1 {
		c.words(fmt.Sprintf("Go round %d times: the body gives, and strings tuned first drift.", p.Passes), draw.Serif)
	}
	if string(p.Finding) != "" {
		c.words("Load: "+string(p.Finding)+".", draw.Serif)
	}
	c.words("Eyes away from the strings while you turn. Never above the maker's limit; in doubt ask a qualified repairer.", draw.SerifItalic)
	c.d.Description = c.d.Title + ": " + strings.Join(say, "; ") + "."
	return c.d
}

// gripPieces are the neck pictures of the grips layout: every grip of two
// strings or more once, with the chord that is sounding, and under a melody of
// single notes the places that it uses.
func (p *pager) gripPieces() []piece {
	s := p.s
	if !s.st.grips {
		return nil
	}
	var necks []Neck
	for _, st := range s.grips() {
		var strs []int
		for _, pl := range st.plays {
			strs = append(strs, pl.pluck.String)
		}
		ch := s.chordAt(st)
		n := GripNeck(s.tab.Rig, st.stroke.Placement, st.stroke.Benders, strs, ch)
		if ch != nil {
			n.Caption = ch.Pretty()
		}
		if w := s.stopBenders(st); w != "" {
			n.Caption = strings.TrimSpace(n.Caption + " with " + w)
		}
		necks = append(necks, n)
	}
	necks = append(necks, s.placesUsed())
	var out []piece
	for _, row := range neckRows(necks, p.width) {
		var pc piece
		g := &draw.Group{Class: "necks"}
		for _, c := range row {
			g.Items = append(g.Items, placed(c.group, 1, c.x, 0))
			pc.height = max(pc.height, c.height)
		}
		pc.items = []draw.Item{g}
		pc.after = 4
		out = append(out, pc)
	}
	return out
}

// stopBenders names the benders that a stroke works.
func (s *score) stopBenders(st *stop) string {
	out := ""
	for i := range s.tab.Rig.Benders {
		if st.stroke.Benders.Has(i) {
			out += s.tab.Rig.Benders[i].Mark
		}
	}
	return out
}

// chordAt gives the chord that is sounding at a stroke, or nil.
func (s *score) chordAt(st *stop) *pitch.Chord {
	for i := st.stroke.Bar; i >= 0; i-- {
		var c *pitch.Chord
		for j := range s.t.Bars[i].Chords {
			if k := &s.t.Bars[i].Chords[j]; i < st.stroke.Bar || k.At <= st.stroke.At {
				c = k.Chord
			}
		}
		if c != nil {
			return c
		}
	}
	return nil
}

// placesUsed is a map of every place that the tab plays, by note name.
func (s *score) placesUsed() Neck {
	n := Neck{Rig: s.tab.Rig, Caption: "Where it lies"}
	type place struct {
		str  int
		fret float64
	}
	seen := map[place]bool{}
	hi := 0.0
	for i := range s.tab.Strokes {
		st := &s.tab.Strokes[i]
		for j := range st.Plucks {
			p := &st.Plucks[j]
			k := s.geo.Key(st.Placement, p.String, st.Benders)
			f := p.Fret
			if int(p.Node) > 0 && f == 0 {
				continue // a harmonic is no place of the bar
			}
			d := Dot{String: p.String, Fret: math.Round(f*10) / 10, Label: pitch.SpellKey(int(math.Round(k)), s.t.Bars[st.Bar].Key.Fifths()).Class.Pretty()}
			if st.Benders != 0 {
				d.Label = pitch.SpellKey(s.tab.Rig.OpenKey(p.String, 0)+int(math.Round(f)), s.t.Bars[st.Bar].Key.Fifths()).Class.Pretty()
			}
			if at := (place{d.String, d.Fret}); !seen[at] {
				seen[at] = true
				n.Dots = append(n.Dots, d)
				hi = max(hi, d.Fret)
			}
		}
	}
	n.To = min(max(int(math.Ceil(hi))+1, 12), max(lastFret(s.tab.Rig), int(math.Ceil(hi))))
	return n
}
