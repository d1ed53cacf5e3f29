package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/sheet/legend"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/sheet/system"
	"lapwright/tab"
	"lapwright/tune"
)

// Lay sets a tab as a drawing.
func Lay(t *tab.Tab, o Options) (*draw.Drawing, error) {
	d, _, err := LayWithBreaks(t, o)
	return d, err
}

// LayWithBreaks is Lay, and says how the lines were broken.
func LayWithBreaks(t *tab.Tab, o Options) (*draw.Drawing, Breaks, error) {
	if t == nil || t.Tune == nil || t.Rig == nil {
		return nil, Breaks{}, fmt.Errorf("a sheet needs a tab with its tune and rig")
	}
	return lay([]Part{{Tab: t}}, o)
}

// LayTune sets a tune alone: a staff with chord symbols and words.
func LayTune(t *tune.Tune, o Options) (*draw.Drawing, error) {
	d, _, err := LayTuneWithBreaks(t, o)
	return d, err
}

// LayTuneWithBreaks is LayTune, and says how the lines were broken.
func LayTuneWithBreaks(t *tune.Tune, o Options) (*draw.Drawing, Breaks, error) {
	if t == nil {
		return nil, Breaks{}, fmt.Errorf("a sheet needs a tune")
	}
	return lay([]Part{{Tune: t}}, o)
}

// fits are the sizes, of the one asked for, that are tried when a second page would
// be mostly empty; below the last music is hard to read on a stand (our own figure).
var fits = []float64{0.96, 0.92, 0.88}

// scoreFits are the sizes that are tried for a score of several parts whose first page
// isn't full, since a system of it is too tall, or whose last is mostly empty: where that saves
// a page, or fills the first: scores are set smaller than parts
// (common practice, no source); the staves are then no lower than 5 mm.
var scoreFits = []float64{0.96, 0.92, 0.88, 0.84, 0.8, 0.76, 0.72}

// fullEnough is the share of a first page from which it looks full.
const fullEnough = 0.7

// lonely is the share of the last page below which a lone system on it looks lost.
const lonely = 0.25

// mostlyEmpty is the share of a second page below which it is not worth a page turn.
const mostlyEmpty = 0.5

func lay(parts []Part, o Options) (*draw.Drawing, Breaks, error) {
	p, d, breaks, err := layAt(parts, o, 1)
	if err != nil || o.Layout == LargePrint || len(d.Pages) < 2 {
		return d, breaks, err
	}
	if last := len(d.Pages) - 1; len(parts) > 1 && (p.fill[0] < fullEnough || p.fill[last] < mostlyEmpty) {
		pages, full := len(d.Pages), p.fill[0] >= fullEnough
		var fitted *draw.Drawing
		var fittedBreaks Breaks
		for _, k := range scoreFits {
			q, other, b, err := layAt(parts, o, k)
			if err != nil {
				continue
			}
			// Fewer pages are worth most, then a first one that is full.
			if n, f := len(other.Pages), q.fill[0] >= fullEnough; n < pages || n == pages && f && !full {
				pages, full, fitted, fittedBreaks = n, f, other, b
			}
		}
		if fitted != nil {
			return fitted, fittedBreaks, nil
		}
	}
	if len(d.Pages) != 2 || p.fill[1] >= mostlyEmpty {
		return d, breaks, nil
	}
	for _, k := range fits {
		if _, one, b, err := layAt(parts, o, k); err == nil && len(one.Pages) == 1 {
			return one, b, nil
		}
	}
	return d, breaks, nil
}

// layAt lays a sheet at a share of the size asked for.
func layAt(parts []Part, o Options, size float64) (*pager, *draw.Drawing, Breaks, error) {
	o, err := o.Filled()
	if err != nil {
		return nil, nil, Breaks{}, err
	}
	if t := parts[0].tune(); len(t.Bars) == 0 {
		return nil, nil, Breaks{}, fmt.Errorf("the tune %q has no bars", t.Title)
	}
	o.Scale *= size
	o.EveryBar = len(parts) > 1
	p := &pager{parts: parts}
	for i, part := range staves(parts) {
		s := score.New(part.tune(), part.Tab, o)
		if i == 0 {
			p.s = s
		} else {
			p.more = append(p.more, s)
		}
	}
	p.w, p.h = o.Paper.Size()
	p.left, p.width = o.Margin, p.w-2*o.Margin
	width := p.width / p.s.Style.Space
	systems, breaks := spacing.SetTogether(append([]*score.Score{p.s}, p.more...), width)
	for _, line := range systems {
		var drawn []*system.Drawn
		for _, sy := range line {
			drawn = append(drawn, system.Draw(sy))
		}
		p.systems = append(p.systems, &placed{Drawn: p.joined(drawn)})
	}
	d := p.pages()
	if l := d.Lacking(); len(l) > 0 {
		return nil, nil, breaks, fmt.Errorf("the music font has no symbol at U+%04X", rune(l[0]))
	}
	return p, d, breaks, nil
}

// pager sets systems and words on pages. Lengths are millimetres.
type pager struct {
	s       *score.Score   // of the first part
	more    []*score.Score // of those that stand under it
	parts   []Part
	w, h    float64
	left    float64
	width   float64
	systems []*placed
	fill    []float64 // the share of each page that is used
}

// placed is a system on its page.
type placed struct {
	*system.Drawn
	page  int
	pageY float64 // millimetres from the page's top
}

// piece is something that stands on a page from edge to edge: a system, a box
// of words, a paragraph.
type piece struct {
	items  []draw.Item // from 0, 0 at the left margin and the piece's top
	height float64
	after  float64 // the least space after it
	stay   bool    // no page may begin after it
	system *placed
	rest   bool // a page turn after it leaves a hand free
}

// textPiece sets words in lines no wider than the page.
func (p *pager) textPiece(text string, f draw.Font, em, indent float64) piece {
	lines := draw.Wrap(text, f, em, p.width-2*indent)
	lead := em * 1.32
	var pc piece
	for i, l := range lines {
		pc.items = append(pc.items, draw.Text{S: l, Font: f, Size: em, X: indent, Y: em*0.95 + float64(i)*lead})
	}
	pc.height = lead * float64(len(lines))
	return pc
}

// boxed sets a teacher's words in a box.
func (p *pager) boxed(text string) piece {
	em := p.s.Style.TextMM
	pc := p.textPiece(text, draw.Serif, em, 3)
	for i, it := range pc.items {
		pc.items[i] = draw.Placed(it, 1, 0, 1.6)
	}
	pc.height += 3.4
	box := draw.Box{X: 0.15, Y: 0, W: p.width - 0.3, H: pc.height, Radius: 1.2, Width: 0.25, Ink: draw.Grey}
	pc.items = []draw.Item{&draw.Group{Class: "remark", Items: append([]draw.Item{box}, pc.items...)}}
	pc.after = 2.5
	pc.stay = true
	return pc
}

// title sets the head of the first page.
func (p *pager) title() piece {
	s, t := p.s, p.s.Tune
	var pc piece
	// Every product is rounded before it is added (Go specification, floating-point operators): a processor
	// that does both in one step would print another last figure.
	at := 0.0
	mid := p.width / 2
	em := s.Style.TextMM
	if s.Options.Header != "" {
		pc.items = append(pc.items, draw.Text{S: s.Options.Header, Font: draw.Serif, Size: em, X: 0, Y: em, Ink: draw.Grey})
		at = em * 1.3
	}
	if s.Options.NameLine {
		label := "Name"
		w := draw.Serif.Width(label) * em
		from := p.width - 62
		pc.items = append(pc.items, draw.Text{S: label, Font: draw.Serif, Size: em, X: from, Y: em},
			draw.Rule{X1: from + w + 1.5, Y1: em + 0.4, X2: p.width, Y2: em + 0.4, Width: 0.2})
		at = em * 1.6
	}
	title := t.Title
	if title == "" {
		title = "Untitled"
	}
	size := s.Style.TitleMM
	for _, l := range draw.Wrap(title, draw.SerifBold, size, p.width) {
		at += float64(size * 1.15)
		pc.items = append(pc.items, draw.Text{S: l, Font: draw.SerifBold, Size: size, X: mid, Y: at, Anchor: draw.Middle})
	}
	for _, sub := range t.Subtitles {
		for _, l := range draw.Wrap(sub, draw.SerifItalic, em*1.2, p.width) {
			at += float64(em * 1.75)
			pc.items = append(pc.items, draw.Text{S: l, Font: draw.SerifItalic, Size: em * 1.2, X: mid, Y: at, Anchor: draw.Middle})
		}
	}
	at += float64(em * 0.4)
	// Who and what: the kind of tune to the left, its maker to the right.
	left := t.Rhythm
	right := t.Composer
	if t.Origin != "" {
		if right != "" {
			right += " (" + t.Origin + ")"
		} else {
			right = t.Origin
		}
	}
	if left != "" || right != "" {
		at += float64(em * 1.35)
		ls, rs := draw.Wrap(left, draw.SerifItalic, em, p.width*0.4), draw.Wrap(right, draw.Serif, em, p.width*0.58)
		for i, l := range ls {
			pc.items = append(pc.items, draw.Text{S: l, Font: draw.SerifItalic, Size: em, X: 0, Y: at + float64(i)*em*1.3})
		}
		for i, l := range rs {
			pc.items = append(pc.items, draw.Text{S: l, Font: draw.Serif, Size: em, X: p.width, Y: at + float64(i)*em*1.3, Anchor: draw.End})
		}
		at += float64(max(len(ls), len(rs))-1) * em * 1.3
	}
	all := append([]*score.Score{s}, p.more...)
	for i, s := range all {
		if s.Tab == nil {
			continue
		}
		// What is the same for several parts is said once, and the instrument named.
		lines := rigLines(s, p.width)
		same := func(o *score.Score) bool { return o.Tab != nil && slices.Equal(rigLines(o, p.width), lines) }
		if slices.ContainsFunc(all[:i], same) {
			continue
		}
		if name := p.parts[i].Name; name != "" && !slices.ContainsFunc(all[i+1:], same) {
			lines[0] = strings.Replace(lines[0], rigName(s.Tab.Rig), name, 1)
		}
		for _, l := range lines {
			for _, w := range draw.Wrap(l, draw.Serif, em, p.width) {
				at += float64(em * 1.35)
				pc.items = append(pc.items, draw.Text{S: w, Font: draw.Serif, Size: em, X: 0, Y: at})
			}
		}
		table, height := benderTable(s, p.width, at)
		pc.items = append(pc.items, table...)
		at += height
	}
	pc.height = at + em*0.5
	pc.after = 3
	pc.stay = true
	pc.items = []draw.Item{&draw.Group{Class: "title", Items: pc.items}}
	return pc
}

// rigLines says in words what the tab is for.
func rigLines(s *score.Score, width float64) []string {
	r := s.Tab.Rig
	var out []string
	name := rigName(r)
	tuning := "tuning, low to high: " + r.PrettyTuning()
	if r.Tuning != "" {
		tuning = r.Tuning + ", low to high: " + r.PrettyTuning()
	}
	if whole := name + " · " + tuning; draw.Serif.Width(whole)*s.Style.TextMM <= width {
		out = append(out, whole)
	} else {
		out = append(out, name, tuning)
	}
	var more []string
	if r.Capo.At > 0 {
		more = append(more, "frets count from the capo")
	}
	if s.Options.StringOneLow {
		more = append(more, "string 1 is the lowest line")
	}
	if n := s.Tab.Transposed; n != 0 {
		more = append(more, "sounds "+say.Moved(n)+" the tune as it came")
	}
	if used := usedBenders(s); len(used) < manyBenders {
		for _, b := range used {
			more = append(more, b.Mark+": "+b.Name+" (string "+benderMoves(b)+")")
		}
	}
	for i, m := range more {
		if i > 0 {
			if both := out[len(out)-1] + " · " + m; draw.Serif.Width(both)*s.Style.TextMM <= width {
				out[len(out)-1] = both
				continue
			}
		}
		out = append(out, m)
	}
	return out
}

// rigName is what an instrument is called.
func rigName(r *rig.Rig) string {
	if r.Title == "" {
		return r.Name
	}
	return r.Title
}

// usedBenders lists the benders that a tab works.
func usedBenders(s *score.Score) []*rig.Bender {
	var set rig.BenderSet
	for i := range s.Tab.Strokes {
		set |= s.Tab.Strokes[i].Benders
	}
	var out []*rig.Bender
	for i := range s.Tab.Rig.Benders {
		if set.Has(i) {
			out = append(out, &s.Tab.Rig.Benders[i])
		}
	}
	return out
}

// benderMoves says which strings a bender moves and by how many semitones.
func benderMoves(b *rig.Bender) string {
	var out []string
	for _, m := range b.Moves {
		out = append(out, fmt.Sprintf("%d %s", m.String, say.Signed(m.Semitones)))
	}
	return strings.Join(out, ", ")
}

// manyBenders is from how many benders on a tab has a table of them instead of words.
const manyBenders = 4

// benderTable sets the benders of a tab that works many as a table of two columns
// from a height down, and gives its own height.
func benderTable(s *score.Score, width, at float64) (items []draw.Item, height float64) {
	used := usedBenders(s)
	if len(used) < manyBenders {
		return nil, 0
	}
	em := s.Style.TextMM
	lead := em * 1.3
	columns := 2
	if width < 40*em { // a narrow page
		columns = 1
	}
	mark, name := 0.0, 0.0
	for _, b := range used {
		mark = max(mark, draw.SansBold.Width(b.Mark)*em)
		name = max(name, draw.Serif.Width(b.Name)*em)
	}
	rows := (len(used) + columns - 1) / columns
	text := func(t string, f draw.Font, x, y float64) {
		items = append(items, draw.Text{S: t, Font: f, Size: em, X: x, Y: y})
	}
	for i, b := range used {
		x := float64(i/rows) * width / float64(columns)
		y := at + float64(i%rows+1)*lead
		text(b.Mark, draw.SansBold, x, y)
		text(b.Name, draw.Serif, x+mark+em*0.6, y)
		text("string "+benderMoves(b), draw.Serif, x+mark+name+em*1.8, y)
	}
	return []draw.Item{&draw.Group{Class: "benders", Items: items}}, float64(rows)*lead + em*0.2
}

// pieces lists everything of the document in order.
func (p *pager) pieces() []piece {
	s := p.s
	out := append([]piece{p.title()}, p.gripPieces()...)
	said := map[int]bool{}
	for _, sy := range p.systems {
		for _, r := range s.Options.Remarks {
			for _, sp := range sy.Spans {
				if sp.Measure.Index == r.BarIndex && sp.First && !said[r.BarIndex] {
					for _, q := range s.Options.Remarks {
						if q.BarIndex == r.BarIndex {
							out = append(out, p.boxed(q.Text))
						}
					}
					said[r.BarIndex] = true
				}
			}
		}
		k := s.Style.Space
		lane, high := p.lane(sy)
		sys := &draw.Group{Class: "system", Items: []draw.Item{draw.Placed(sy.Root, k, 0, high-sy.Top*k).(*draw.Group)}}
		last := sy.Spans[len(sy.Spans)-1].Measure
		pc := piece{items: append(lane, sys), height: high + (sy.Bottom-sy.Top)*k, after: 1.7 * k, system: sy, rest: endsInRest(last)}
		out = append(out, pc)
	}
	for _, r := range s.Options.Remarks {
		if !said[r.BarIndex] {
			out = append(out, p.boxed(r.Text)) // for a bar that is not there: words are not lost
			out[len(out)-1].stay = false
		}
	}
	em := s.Style.TextMM
	for i := range p.parts {
		out = append(out, p.account(&p.parts[i])...)
	}
	for _, w := range laterVerses(s) {
		pc := p.textPiece(w, draw.Serif, em*1.1, 10)
		pc.after = em * 0.8
		out = append(out, pc)
	}
	for _, w := range s.Tune.Words {
		pc := p.textPiece(w, draw.Serif, em*1.1, 10)
		pc.after = em * 0.8
		out = append(out, pc)
	}
	if from := p.provenance(); from != nil {
		out = append(out, *from)
	}
	for _, n := range s.Tune.Notes {
		if tune.Provenance(n) {
			continue
		}
		pc := p.textPiece(n, draw.SerifItalic, em, 0)
		pc.after = em * 0.5
		out = append(out, pc)
	}
	return out
}

// account says where a part is not exactly as the tune, what it adds and leaves out.
func (p *pager) account(part *Part) []piece {
	t := part.Tab
	if t == nil {
		return nil
	}
	em := p.s.Style.TextMM
	name := ""
	if part.Name != "" {
		name = part.Name + ": "
	}
	var out []piece
	if len(t.Compromises) > 0 {
		head := p.textPiece("* "+name+"Not exactly as the tune says:", draw.SerifBold, em, 0)
		head.stay = true
		out = append(out, head)
		for _, c := range t.Compromises {
			t := fmt.Sprintf("bar %d, %s: wanted %s, got %s: %s", c.BarNumber, say.Place(t.Tune, c), c.Wanted, c.Got, c.Why)
			out = append(out, p.textPiece(t, draw.Serif, em, 3))
		}
		out[len(out)-1].after = 3
	}
	for _, l := range say.Added(t) {
		pc := p.textPiece(name+l, draw.Serif, em, 0)
		pc.after = em * 0.5
		out = append(out, pc)
	}
	return out
}

// provenance sets where a tune comes from (who wrote it down, its group, its
// history) small on one line, cut short where it is longer; nil when there is
// nothing to say.
func (p *pager) provenance() *piece {
	if p.s.Options.NoProvenance {
		return nil
	}
	var all []string
	for _, n := range p.s.Tune.Notes {
		if tune.Provenance(n) {
			all = append(all, n)
		}
	}
	if len(all) == 0 {
		return nil
	}
	em := p.s.Style.TextMM
	if p.s.Options.Layout != LargePrint {
		em *= 0.75
	}
	text := strings.Join(all, " · ")
	if lines := draw.Wrap(text, draw.Serif, em, p.width-2*em); len(lines) > 1 {
		text = lines[0] + " …"
	}
	group := &draw.Group{Class: "provenance", Items: []draw.Item{draw.Text{S: text, Font: draw.Serif, Size: em, Y: em, Ink: draw.Grey}}}
	return &piece{items: []draw.Item{group}, height: em * 1.32, after: em * 0.5}
}

// laterVerses returns as plain text the verses for which there is no row under
// the notes.
func laterVerses(s *score.Score) []string {
	var out []string
	for _, vs := range s.Verses[min(len(s.Verses), score.MaxVerses):] {
		var b strings.Builder
		for _, m := range s.Bars {
			for _, n := range m.Notes {
				if n.Voice != vs.Voice || n.Grace >= 0 {
					continue
				}
				for _, l := range n.Event.Lyrics {
					if l.Verse == vs.Number {
						b.WriteString(l.Text)
						if !l.Hyphen {
							b.WriteByte(' ')
						}
					}
				}
			}
		}
		out = append(out, fmt.Sprintf("%d. %s", vs.Number, strings.TrimSpace(b.String())))
	}
	return out
}

// laneGap is the space between a lane and what stands under it, in staff spaces.
const laneGap = 0.8

// lane draws the caller's lane over a line of music, and says how much height it
// takes.
func (p *pager) lane(sy *placed) ([]draw.Item, float64) {
	if p.s.Options.Lane == nil {
		return nil, 0
	}
	k := p.s.Style.Space
	l := score.Line{Left: sy.ContentLeft() * k, Right: sy.ContentRight() * k, Space: k}
	for _, sp := range sy.Spans {
		for i := range max(sp.Measure.Rests, 1) {
			l.Bars = append(l.Bars, sp.Measure.Index+i)
		}
	}
	l.X = func(bar int, at tune.Ticks) (float64, bool) {
		x, ok := sy.Along(bar, at)
		return x * k, ok
	}
	drawn := p.s.Options.Lane(l)
	if drawn.Height == 0 {
		return nil, 0
	}
	return []draw.Item{&draw.Group{Class: "lane", Items: drawn.Items}}, drawn.Height + laneGap*k
}

func endsInRest(m *score.Measure) bool {
	for i := len(m.Notes) - 1; i >= 0; i-- {
		if m.Notes[i].Grace < 0 {
			return m.Notes[i].Rest
		}
	}
	return true
}

// legend explains the marks of the tablature.
func (p *pager) legend() piece {
	g, height := legend.Draw(p.s, p.width, p.more...)
	if g == nil {
		return piece{}
	}
	return piece{items: []draw.Item{g}, height: height}
}

// Space in millimetres that the page number takes at the foot.
const footer = 6.0

// legendGap is the least space in millimetres between the last row and the middle of
// the legend's rule: 2 mm and half its thickness.
const legendGap = 2.08

// pages breaks the pieces into pages, by least total cost like the lines: full
// pages are good, a page with one system at the end is not, and a turn after a
// rest is better than one in the middle of things.
func (p *pager) pages() *draw.Drawing {
	s := p.s
	all := p.pieces()
	room := p.h - 2*s.Options.Margin - footer
	n := len(all)
	heights := make([]float64, n+1)
	for i, pc := range all {
		heights[i+1] = heights[i] + pc.height + pc.after
	}
	systems := make([]int, n+1) // how many systems come before each piece
	for i, pc := range all {
		systems[i+1] = systems[i]
		if pc.system != nil {
			systems[i+1]++
		}
	}
	legend := p.legend()
	if legend.height > room*0.5 || s.Options.Paper.Endless() {
		// In large print a long legend takes the last page, not half the first; a
		// page without a foot has it after the music.
		all = append(all, legend)
		legend = piece{}
		n++
		heights = append(heights, heights[n-1]+all[n-1].height)
		systems = append(systems, systems[n-1])
	}
	roomOf := func(first int) float64 {
		if first == 0 {
			if legend.height > 0 {
				return room - legend.height - legendGap - s.Options.Top
			}
			return room - s.Options.Top
		}
		return room
	}
	cost := func(a, b int) float64 {
		room := roomOf(a)
		used := heights[b] - heights[a] - all[b-1].after
		if used > room {
			return math.Inf(1)
		}
		empty := (room - used) / room
		c := 1000*empty*empty*empty + 200 // fewer pages are better
		if b == n {
			c = 200
			if k := systems[b] - systems[a]; a > 0 && k <= 1 && systems[n] > 1 && used < lonely*room {
				c += 500 // a lone last system, or none
			}
			return c
		}
		if all[b-1].stay {
			c += 5000
		}
		if !all[b-1].rest {
			c += 3
		}
		return c
	}
	starts, _ := spacing.BreakLines(n, cost)
	d := &draw.Drawing{Title: s.Tune.Title, Language: s.Options.Language}
	if d.Title == "" {
		d.Title = "Untitled"
	}
	for i, a := range starts {
		b := n
		if i+1 < len(starts) {
			b = starts[i+1]
		}
		pg := p.page(all[a:b], i, len(starts), roomOf(a))
		if i == 0 {
			for _, it := range legend.items {
				pg.Items = append(pg.Items, draw.Placed(it, 1, p.left, p.h-s.Options.Margin-footer-legend.height))
			}
		}
		d.Pages = append(d.Pages, pg)
	}
	p.describe(d)
	d.Bookmarks = append(d.Bookmarks, draw.Bookmark{Title: d.Title, Page: 0, Y: s.Options.Margin + s.Options.Top})
	p.bookmarks(d)
	return d
}

// page sets one page's pieces and spreads the room that is left between the
// systems, as far as looks well.
func (p *pager) page(pcs []piece, index, count int, room float64) *draw.Page {
	s := p.s
	pg := &draw.Page{W: p.w, H: p.h}
	used := 0.0
	gaps := 0
	for i, pc := range pcs {
		used += pc.height
		if i+1 < len(pcs) {
			used += pc.after
			if pc.system != nil {
				gaps++
			}
		}
	}
	extra := 0.0
	if gaps > 0 {
		extra = min((room-used)/float64(gaps), 4.5*s.Style.Space)
		if index == count-1 {
			extra = min(extra, 2*s.Style.Space)
		}
		extra = max(extra, 0)
	}
	y := s.Options.Margin
	if index == 0 {
		y += s.Options.Top
	}
	for _, pc := range pcs {
		for _, it := range pc.items {
			pg.Items = append(pg.Items, draw.Placed(it, 1, p.left, y))
		}
		if pc.system != nil {
			pc.system.pageY, pc.system.page = y, index
		}
		y += pc.height + pc.after
		if pc.system != nil {
			y += extra
		}
	}
	p.fill = append(p.fill, used/room)
	number := strconv.Itoa(s.Options.FirstPage + index)
	em := s.Style.TextMM
	foot := &draw.Group{Class: "footer"}
	base := p.h - s.Options.Margin
	if count > 1 || s.Options.FirstPage > 1 {
		foot.Items = append(foot.Items, draw.Text{S: number, Font: draw.Serif, Size: em, X: p.w / 2, Y: base, Anchor: draw.Middle})
		if index > 0 {
			t := s.Tune.Title
			w := draw.SerifItalic.Width(t) * em
			if room := p.width/2 - 10; w > room {
				t = ""
			}
			if t != "" {
				foot.Items = append(foot.Items, draw.Text{S: t, Font: draw.SerifItalic, Size: em, X: p.left, Y: base})
			}
		}
	}
	if len(foot.Items) > 0 {
		pg.Items = append(pg.Items, foot)
	}
	return pg
}

// describe tells in words what each page shows, for readers who can't see it.
func (p *pager) describe(d *draw.Drawing) {
	var tellers []*say.Teller
	var heads []string
	for i := range p.parts {
		tl := say.NewTeller(p.parts[i].tune(), p.parts[i].Tab)
		tellers, heads = append(tellers, tl), append(heads, tl.Head()...)
	}
	head := strings.Join(heads, " ")
	d.Description = head
	texts := make([]strings.Builder, len(d.Pages))
	for i := range texts {
		if i == 0 {
			texts[i].WriteString(head)
		}
	}
	for _, sy := range p.systems {
		for _, sp := range sy.Spans {
			if sp.First {
				for i := sp.Measure.Index; i < sp.Measure.Index+max(sp.Measure.Rests, 1); i++ {
					for k, tl := range tellers {
						texts[sy.page].WriteString("\n")
						if name := p.parts[k].Name; name != "" {
							texts[sy.page].WriteString(name + ": ")
						}
						texts[sy.page].WriteString(tl.Bar(i))
					}
				}
			}
		}
	}
	for i := range texts {
		d.Pages[i].Description = strings.TrimSpace(texts[i].String())
	}
}

// bookmarks lists the parts of the piece in the document's outline.
func (p *pager) bookmarks(d *draw.Drawing) {
	for _, sy := range p.systems {
		for _, sp := range sy.Spans {
			if sp.First && sp.Measure.Bar.Part != "" {
				d.Bookmarks = append(d.Bookmarks, draw.Bookmark{Title: "Part " + sp.Measure.Bar.Part, Level: 1, Page: sy.page, Y: sy.pageY})
			}
		}
	}
}
