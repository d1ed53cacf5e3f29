package picture

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"lapwright/listen"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/tab"
	"lapwright/tune"
)

// BandCents is how far to each side of the wanted pitch a note is in tune: about
// what is heard as a difference.
const BandCents = 5.0

// rangeCents is how far to each side a lane reaches; what lies farther off stands at
// its edge with its figure.
const rangeCents = 30.0

// lateWords is from how many seconds on lateness is written under a lane.
const lateWords = 0.045

// The inks of marks, from the palette of Okabe and Ito (Color Universal Design,
// 2008), the darker ones, which keep 3:1 on white; shapes say the same.
const (
	inTune = draw.Ink(0x007A59)
	sharp  = draw.Ink(0xC04F00)
	flat   = draw.Ink(0x0072B2)
	wrong  = draw.Ink(0x9B3F78)
	curve  = draw.Ink(0x3A3A3A)
)

// Word is what a teacher wrote beside a note.
type Word struct {
	At     tune.Ticks // from the tune's start, repeats unfolded
	String int
	Text   string
}

// Picture draws the lanes of one review.
type Picture struct {
	v     *listen.Reviewed
	t     *tab.Tab
	perf  *tune.Performance
	words []Word
	// times lists for each written bar the passes that the take went through.
	times map[int][]int
	pace  float64 // seconds of the take a second of the score
}

// New makes the picture of a review of a tab. The numbers beside notes count words.
func New(v *listen.Reviewed, t *tab.Tab, words []Word) *Picture {
	p := &Picture{v: v, t: t, perf: t.Performance(), words: words, times: map[int][]int{}, pace: 1}
	for i := range v.Notes {
		p.wentThrough(v.Notes[i].PassIndex, p.until(&v.Notes[i]))
	}
	var paces []float64
	for i := 1; i < len(v.Path); i++ {
		if a, b := v.Path[i-1], v.Path[i]; b.Joined {
			p.wentThrough(a.PassIndex, b.PassIndex) // bars of rests, too
			paces = append(paces, (b.Seconds-a.Seconds)/(p.perf.Clock.Seconds(b.At)-p.perf.Clock.Seconds(a.At)))
		}
	}
	if len(paces) > 0 {
		slices.Sort(paces)
		p.pace = paces[len(paces)/2]
	}
	for bar := range p.times {
		slices.Sort(p.times[bar])
	}
	return p
}

// wentThrough notes that the take went through passes.
func (p *Picture) wentThrough(from, to int) {
	for pass := from; pass <= to; pass++ {
		bar := p.perf.Passes[pass].BarIndex
		if !slices.Contains(p.times[bar], pass) {
			p.times[bar] = append(p.times[bar], pass)
		}
	}
}

// until returns the last pass that a note goes on in, as the tab has it: one that goes on after a
// jump, as into a repeat, is drawn no farther than its bars go on.
func (p *Picture) until(n *listen.Note) int {
	last, passes := n.PassIndex, p.perf.Passes
	for last+1 < len(passes) && passes[last+1].Start < n.At+n.Len && passes[last+1].BarIndex == passes[last].BarIndex+1 {
		last++
	}
	return last
}

// Lane draws the lane over one line of the sheet; it goes into sheet.Options.
func (p *Picture) Lane(l sheet.Line) sheet.LaneDrawn {
	count := 0
	for _, b := range l.Bars {
		count = max(count, len(p.times[b]))
	}
	var out sheet.LaneDrawn
	for k := range count {
		d := p.lane(l, k, count > 1)
		for _, it := range d.Items {
			out.Items = append(out.Items, draw.Placed(it, 1, 0, out.Height))
		}
		out.Height += d.Height
	}
	return out
}

// drawer draws one lane: one time through the bars of a line.
type drawer struct {
	*Picture
	l      sheet.Line
	passes map[int]bool
	em     float64
	mid    float64     // of the lane, from its top
	half   float64     // height of rangeCents
	late   float64     // baseline of the lateness
	told   []draw.Rect // what is written under the lane, with the room around it
	items  []draw.Item
}

// lane draws the kth time through a line's bars.
func (p *Picture) lane(l sheet.Line, k int, named bool) sheet.LaneDrawn {
	d := &drawer{Picture: p, l: l, passes: map[int]bool{}, em: 1.45 * l.Space, half: 5.4 * l.Space}
	for _, b := range l.Bars {
		if k < len(p.times[b]) {
			d.passes[p.times[b][k]] = true
		}
	}
	d.mid = d.half + 1.3*d.em
	d.late = d.mid + d.half + d.em
	d.frame(k, named)
	for i := range p.v.Notes {
		d.target(&p.v.Notes[i])
	}
	d.paces()
	for i := range p.v.Notes {
		d.note(i, &p.v.Notes[i])
	}
	d.extras()
	d.steps()
	return sheet.LaneDrawn{Items: []draw.Item{&draw.Group{Class: "take", Items: d.items}}, Height: d.late + 0.4*d.em}
}

// y returns where so many cents lie.
func (d *drawer) y(cents float64) float64 {
	return d.mid - d.half*max(-1, min(1, cents/rangeCents))
}

func (d *drawer) put(it draw.Item) { d.items = append(d.items, it) }

// frame draws the band, the middle line, and what the heights mean.
func (d *drawer) frame(k int, named bool) {
	w := d.l.Right - d.l.Left
	d.put(draw.Box{X: d.l.Left, Y: d.y(BandCents), W: w, H: d.y(-BandCents) - d.y(BandCents), Ink: draw.Faint})
	d.put(draw.Box{X: d.l.Left, Y: d.y(rangeCents), W: w, H: 2 * d.half, Width: 0.15, Ink: draw.Pale})
	d.put(draw.Rule{X1: d.l.Left, Y1: d.mid, X2: d.l.Right, Y2: d.mid, Width: 0.18, Ink: draw.Grey})
	for _, c := range []float64{rangeCents, 0, -rangeCents} {
		d.put(draw.Text{S: say.SignedTo(c, 0), Font: draw.Sans, Size: 0.8 * d.em, X: d.l.Left - 0.8, Y: d.y(c) + 0.28*d.em, Anchor: draw.End, Ink: draw.Grey})
	}
	if named {
		// Between the figures, since ticks and words have the room over the lane.
		for i, s := range []string{ordinal(k + 1), "time"} {
			d.put(draw.Text{S: s, Font: draw.SerifItalic, Size: d.em, X: d.l.Left - 0.8, Y: d.y(rangeCents/2) + (float64(i)-0.1)*d.em, Anchor: draw.End, Ink: draw.Grey})
		}
	}
}

// ordinal numbers one time of several through the same bars.
func ordinal(n int) string {
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

// x returns where a time of the take stands in this line.
func (d *drawer) x(seconds float64) (float64, bool) {
	path := d.v.Path
	i, _ := slices.BinarySearchFunc(path, seconds+1e-9, func(s listen.Place, t float64) int { return cmp.Compare(s.Seconds, t) })
	if i == 0 {
		if len(path) == 0 {
			return 0, false
		}
		return d.place(path[0], seconds, 1/d.pace)
	}
	a, rate := path[i-1], 1/d.pace
	if i < len(path) && path[i].Joined {
		rate = (d.perf.Clock.Seconds(path[i].At) - d.perf.Clock.Seconds(a.At)) / (path[i].Seconds - a.Seconds)
	}
	return d.place(a, seconds, rate)
}

// place goes on from a place by the seconds of the take after it, rate seconds of
// the score to each.
func (d *drawer) place(from listen.Place, seconds, rate float64) (float64, bool) {
	at := d.perf.Clock.At(d.perf.Clock.Seconds(from.At) + (seconds-from.Seconds)*rate)
	pass := from.PassIndex
	for pass > 0 && at < d.perf.Passes[pass].Start {
		pass--
	}
	for pass+1 < len(d.perf.Passes) && at >= d.perf.Passes[pass+1].Start {
		pass++
	}
	return d.stands(pass, max(at, d.perf.Passes[pass].Start))
}

// stands returns where a time, repeats unfolded, of a pass stands in this lane, and whether it does.
func (d *drawer) stands(passIndex int, at tune.Ticks) (float64, bool) {
	if !d.passes[passIndex] {
		return 0, false
	}
	pass := d.perf.Passes[passIndex]
	return d.l.X(pass.BarIndex, at-pass.Start)
}

// target draws where a note should lie as long as it lasts, and beside that where
// the just chord has it.
func (d *drawer) target(n *listen.Note) {
	x0, ok := d.stands(n.PassIndex, n.At)
	if !ok {
		return
	}
	x1 := d.end(n, x0)
	d.put(draw.Rule{X1: x0, Y1: d.y(n.Meant), X2: x1, Y2: d.y(n.Meant), Width: 0.5, Ink: draw.Pale})
	if just := n.Cents - n.CentsJust; apart(n) {
		d.put(draw.Rule{X1: x0, Y1: d.y(just), X2: x1, Y2: d.y(just), Width: 0.3, Dash: 0.7, Ink: draw.Grey})
	}
}

// end returns where a note that stands at x0 ends in this line, as the tab has it: what
// rings on after that is not the player's any more.
func (d *drawer) end(n *listen.Note, x0 float64) float64 {
	x1, last := d.l.Right, d.until(n)
	for p := n.PassIndex; p <= last; p++ {
		if x, ok := d.stands(p, n.At+n.Len); ok {
			x1 = x
		}
	}
	return max(x1, x0+0.8*d.em)
}

// Off returns how far a note lies from the nearest of what it may be, in cents, given how far
// it lies from equal temperament and from the just chord (NaN for none): nothing when it lies
// between the two.
func Off(equal, just float64) float64 {
	if math.IsNaN(just) {
		return equal
	}
	return max(min(equal, just), min(max(equal, just), 0))
}

// apart reports whether the just chord has a note elsewhere than its string is meant to
// have it, by more than a cent: never without a chord (NaN).
func apart(n *listen.Note) bool { return math.Abs(n.Cents-n.CentsJust-n.Meant) > 1 }

// off returns how far a note lies from where its string is meant to have it, or from the
// just chord.
func off(n *listen.Note) float64 { return Off(n.Cents-n.Meant, n.CentsJust) }

// markOf returns the mark of a note that was measured, and its colour.
func markOf(n *listen.Note) (kind, draw.Ink) {
	switch o := off(n); {
	case o > BandCents:
		return up, sharp
	case o < -BandCents:
		return down, flat
	}
	return round, inTune
}

// note draws one note: its curve and its mark.
func (d *drawer) note(i int, n *listen.Note) {
	x, ok := d.stands(n.PassIndex, n.At)
	if !ok {
		return
	}
	g := &draw.Group{Class: "played", Keys: []draw.Key{{Name: "note", Value: strconv.Itoa(i)}, {Name: "seconds", Value: strconv.FormatFloat(n.Onset, 'f', 3, 64)}}}
	r := 0.42 * d.em
	switch {
	case n.Status == listen.Missed:
		g.Items = append(g.Items, cross(x, d.mid, r, draw.Black)...)
	case n.Status == listen.Wrong:
		g.Items = append(g.Items, shape(square, x, d.mid, r, wrong, false))
	case math.IsNaN(n.Cents):
		g.Items = append(g.Items, shape(round, x, d.mid, r, draw.Grey, true))
	default:
		g.Items = append(g.Items, d.curve(n, x)...)
		kind, ink := markOf(n)
		g.Items = append(g.Items, shape(kind, x, d.y(n.Cents), r, ink, !n.Sure))
		if math.Abs(n.Cents) > rangeCents {
			// Inside the lane, clear of the curve, which runs along the edge.
			y := d.y(n.Cents) - 0.3*d.em
			if n.Cents > 0 {
				y = d.y(n.Cents) + 0.9*d.em
			}
			g.Items = append(g.Items, draw.Text{S: say.SignedTo(n.Cents, 0), Font: draw.Sans, Size: 0.8 * d.em, X: x + 1.4*r, Y: y, Ink: draw.Black})
		}
		if d.together(i, i-1) || d.together(i, i+1) {
			g.Items = append(g.Items, draw.Text{S: strconv.Itoa(n.String), Font: draw.Sans, Size: 0.75 * d.em, X: x - 1.5*r, Y: d.y(n.Cents) + 0.27*d.em, Anchor: draw.End, Ink: draw.Grey})
		}
	}
	if n.Right {
		g.Items = append(g.Items, draw.Path{Steps: []draw.Step{
			{Op: draw.MoveTo, P: [3]draw.Point{{X: x - r, Y: d.mid - d.half - 0.55*d.em}}},
			{Op: draw.LineTo, P: [3]draw.Point{{X: x - 0.2*r, Y: d.mid - d.half - 0.2*d.em}}},
			{Op: draw.LineTo, P: [3]draw.Point{{X: x + 1.1*r, Y: d.mid - d.half - 1.05*d.em}}},
		}, Width: 0.13 * d.em, Ink: inTune})
	}
	g.Items = append(g.Items, d.word(n, x)...)
	if isLate(n) && !d.said(i) {
		g.Items = append(g.Items, d.lateness(x, n.Late)...)
	}
	d.put(g)
}

// together reports whether there is a note at index k, plucked with the one at i.
func (d *drawer) together(i, k int) bool {
	return k >= 0 && k < len(d.v.Notes) && d.v.Notes[k].At == d.v.Notes[i].At
}

// isLate reports whether it is told that a note is late or early: where the time wavers it
// is not, nor where it is unknown (NaN).
func isLate(n *listen.Note) bool { return math.Abs(n.Late) > lateWords && !n.Adrift }

// said reports whether the lateness of the moment is written beside a note before.
func (d *drawer) said(i int) bool {
	return d.together(i, i-1) && !math.IsNaN(d.v.Notes[i-1].Late)
}

// curve draws how the pitch of a note that stands at x went.
func (d *drawer) curve(n *listen.Note, x float64) []draw.Item {
	var items []draw.Item
	var steps []draw.Step
	last := d.end(n, x)
	end := func() {
		if len(steps) > 1 {
			items = append(items, draw.Path{Steps: steps, Width: 0.28, Ink: curve})
		}
		steps = nil
	}
	if n.Curve == nil {
		return []draw.Item{draw.Rule{X1: x, Y1: d.y(n.Cents), X2: last, Y2: d.y(n.Cents), Width: 0.28, Ink: curve}}
	}
	for i, m := range smooth(n.Curve) {
		px, ok := d.x(m.At)
		// After a jump back, as into a repeat, the take may go on in the same lane.
		ok = ok && px > x-d.em && px <= last
		if !ok || i > 0 && m.At-n.Curve[i-1].At > 0.05 {
			end()
		}
		if !ok {
			continue
		}
		op := draw.LineTo
		if len(steps) == 0 {
			op = draw.MoveTo
		}
		steps = append(steps, draw.Step{Op: op, P: [3]draw.Point{{X: px, Y: d.y(m.Cents)}}})
	}
	end()
	return items
}

// smooth returns a curve as it is drawn: each moment the median of the 50 ms around it, so
// that a moment at which another string's partial was met leaves no spike.
func smooth(curve []listen.Moment) []listen.Moment {
	out := slices.Clone(curve)
	for i := range out {
		var near []float64
		for k := max(0, i-2); k < min(len(curve), i+3); k++ {
			if math.Abs(curve[k].At-curve[i].At) < 0.026 {
				near = append(near, curve[k].Cents)
			}
		}
		slices.Sort(near)
		out[i].Cents = near[len(near)/2]
	}
	return out
}

// word draws the number of a teacher's word over a note.
func (d *drawer) word(n *listen.Note, x float64) []draw.Item {
	for i, w := range d.words {
		if w.At == n.At && w.String == n.String && w.Text != "" {
			y := d.mid - d.half - 0.55*d.em
			if n.Right {
				x += 1.3 * d.em
			}
			return []draw.Item{
				draw.Box{X: x - 0.5*d.em, Y: y - 0.5*d.em, W: d.em, H: d.em, Radius: 0.5 * d.em, Width: 0.15, Ink: draw.Black},
				draw.Text{S: strconv.Itoa(Number(d.words, i)), Font: draw.SansBold, Size: 0.75 * d.em, X: x, Y: y + 0.27*d.em, Anchor: draw.Middle, Ink: draw.Black},
			}
		}
	}
	return nil
}

// Number returns the number that the word at an index has: those without text have
// none.
func Number(words []Word, index int) int {
	n := 0
	for _, w := range words[:index+1] {
		if w.Text != "" {
			n++
		}
	}
	return n
}

// lateness writes how many milliseconds a note is late, with an arrow the way it
// lies off: to the left for early.
func (d *drawer) lateness(x, late float64) []draw.Item {
	w := 0.5 * d.em
	tip := x + w/2
	if late < 0 {
		tip, w = x-w/2, -w
	}
	y := d.late - 0.28*d.em
	t := draw.Text{S: fmt.Sprintf("%.0f ms", 1000*math.Abs(late)), Font: draw.Sans, Size: 0.75 * d.em, X: x + 0.4*d.em, Y: d.late}
	if !d.room(t, x-0.3*d.em) {
		return nil // the words beside the sheet have it
	}
	return []draw.Item{
		draw.Path{Steps: []draw.Step{
			{Op: draw.MoveTo, P: [3]draw.Point{{X: tip, Y: y}}}, {Op: draw.LineTo, P: [3]draw.Point{{X: tip - w, Y: y - 0.3*d.em}}},
			{Op: draw.LineTo, P: [3]draw.Point{{X: tip - w, Y: y + 0.3*d.em}}}, {Op: draw.Close},
		}, Ink: draw.Black},
		t,
	}
}

// room reports whether there is room under the lane for a text, from a place on; when
// there is, it is taken.
func (d *drawer) room(t draw.Text, from float64) bool {
	r := t.Bounds()
	r.X0, r.X1 = from, r.X1+0.3*d.em
	if slices.ContainsFunc(d.told, r.Overlaps) {
		return false
	}
	d.told = append(d.told, r)
	return true
}

// paces says under a bar that it is hurried or drags.
func (d *drawer) paces() {
	for _, p := range d.v.Paces {
		x, ok := d.stands(p.PassIndex, d.perf.Passes[p.PassIndex].Start)
		if !ok {
			continue
		}
		word := "hurried"
		if p.Taken > 1 {
			word = "drags"
		}
		t := draw.Text{S: fmt.Sprintf("%s, %.0f %% of the time", word, 100*p.Taken), Font: draw.SerifItalic, Size: d.em, X: x, Y: d.late, Ink: draw.Black}
		if d.room(t, x) {
			d.put(t)
		}
	}
}

// extras draws what was played beyond the tab.
func (d *drawer) extras() {
	for _, e := range d.v.Extra {
		x, ok := d.x(e.Onset)
		if !ok {
			continue
		}
		y := d.mid - d.half - 0.5*d.em
		d.put(&draw.Group{Class: "extra", Keys: []draw.Key{{Name: "seconds", Value: strconv.FormatFloat(e.Onset, 'f', 3, 64)}}, Items: []draw.Item{
			shape(diamond, x, y, 0.42*d.em, wrong, false),
			draw.Text{S: e.Pitch.Pretty(), Font: draw.Sans, Size: 0.8 * d.em, X: x + 0.6*d.em, Y: y + 0.28*d.em, Ink: draw.Black},
		}})
	}
}

// steps marks every pluck that was heard at the lane's foot, with its time.
func (d *drawer) steps() {
	for _, s := range d.v.Path {
		x, ok := d.stands(s.PassIndex, s.At)
		if !ok {
			continue
		}
		y := d.mid + d.half
		d.put(&draw.Group{Class: "heard", Keys: []draw.Key{{Name: "seconds", Value: strconv.FormatFloat(s.Seconds, 'f', 3, 64)}}, Items: []draw.Item{
			draw.Rule{X1: x, Y1: y, X2: x, Y2: y + 0.2*d.em, Width: 0.2, Ink: draw.Grey},
		}})
	}
}
