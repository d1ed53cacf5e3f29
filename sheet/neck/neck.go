package neck

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/wire"
)

// View is a picture of a neck, or a part of it, as the player sees it from
// above: nut to the left, string 1 farthest away on top, unless it faces
// otherwise, frets and steel to scale in both directions, so that a slant leans as
// the steel does. A capo lies over the nut, and is named there.
type View struct {
	Rig      *rig.Rig // with its capo applied
	From, To int      // the first and last fret shown; From 0 shows the nut
	Dots     []Dot
	Joins    []Join
	Steel    steel.Placement // drawn when it is not lifted
	Caption  string
	Marked   []int // frets whose places are shaded, 0 for the open strings
	Facing   Facing
	part     part // shown in place of From to To
}

// Facing is how a player looks at the neck; the zero value is as convention has it.
type Facing struct {
	Left         bool // the nut to the right, as a left-handed player has it
	StringOneLow bool // string 1 at the bottom
}

// Dot is one place on the neck.
type Dot struct {
	String int
	Fret   float64 // 0 is the open string
	Label  string  // what stands in it: a chord tone, a note name
	Strong bool    // filled: the root
}

// Join is a line through places that are stopped together: from one string's fret to
// another's.
type Join struct {
	From, To         int // strings, the lower number first
	FromFret, ToFret float64
}

// minJoined is how many neighbouring strings make a straight grip worth showing.
const minJoined = 3

// Tone labels as printed: ♭ and ♯ for the b and # of pitch's labels.
func prettyLabel(s string) string {
	out := ""
	for _, r := range s {
		switch r {
		case 'b':
			out += "♭"
		case '#':
			out += "♯"
		default:
			out += string(r)
		}
	}
	return out
}

// Chord shows every place of a chord's tones from the nut to the rig's
// last useful fret, and joins those that a straight steel stops side by side. A bass
// that is none of the tones is shown by its name.
func Chord(r *rig.Rig, c pitch.Chord) View { return ChordWith(r, c, 0) }

// ChordWith is Chord with benders or pedals engaged, which its caption names.
func ChordWith(r *rig.Rig, c pitch.Chord, benders rig.BenderSet) View {
	n := View{Rig: r, To: LastFret(r), Caption: c.Pretty()}
	var with []string
	for i := range r.Benders {
		if benders.Has(i) {
			with = append(with, r.Benders[i].Mark)
		}
	}
	if with != nil {
		n.Caption += " with " + say.List(with)
	}
	n.fill(benders, func(k pitch.Class) (string, bool, bool) {
		if t, ok := c.Tone(k); ok {
			return prettyLabel(t.Label), t.Label == "R", true
		}
		if k.Semitone() == c.Bass.Semitone() {
			return c.Bass.Pretty(), false, true
		}
		return "", false, false
	})
	n.join()
	return n
}

// join finds the frets at which neighbouring strings have tones side by side.
func (n *View) join() {
	at := map[int]map[int]bool{}
	for _, d := range n.Dots {
		f := int(d.Fret)
		if at[f] == nil {
			at[f] = map[int]bool{}
		}
		at[f][d.String] = true
	}
	for f := n.From; f <= n.To; f++ {
		for s := 1; s <= len(n.Rig.Strings); {
			e := s
			for at[f][e] {
				e++
			}
			if e-s >= minJoined {
				n.Joins = append(n.Joins, Join{s, e - 1, float64(f), float64(f)})
			}
			s = max(e, s+1)
		}
	}
}

// Scale shows every place of a scale, each with its degree above the tonic.
func Scale(r *rig.Rig, tonic pitch.Class, sc pitch.Scale) View {
	n := View{Rig: r, To: LastFret(r), Caption: tonic.Pretty() + " " + sc.Name}
	n.fill(0, func(k pitch.Class) (string, bool, bool) {
		above := ((k.Semitone()-tonic.Semitone())%12 + 12) % 12
		for _, iv := range sc.Steps {
			if iv.Semitones == above {
				return degree(iv), iv.Semitones == 0, true
			}
		}
		return "", false, false
	})
	return n
}

// degree names a step of a scale as chord tones are named: R, ♭3, 5.
func degree(iv pitch.Interval) string {
	if iv.Steps == 0 {
		return "R"
	}
	plain := [7]int{0, 2, 4, 5, 7, 9, 11}[iv.Steps%7]
	out := ""
	for a := iv.Semitones - plain; a < 0; a++ {
		out += "♭"
	}
	for a := iv.Semitones - plain; a > 0; a-- {
		out += "♯"
	}
	return out + strconv.Itoa(iv.Steps+1)
}

// LastFret is the last fret that a picture of the whole neck shows.
func LastFret(r *rig.Rig) int { return min(max(r.Frets, 1), 24) }

func (n *View) fill(benders rig.BenderSet, label func(k pitch.Class) (text string, strong, ok bool)) {
	for s := 1; s <= len(n.Rig.Strings); s++ {
		open := n.Rig.OpenKey(s, benders)
		for f := n.From; f <= n.To; f++ {
			if text, strong, ok := label(pitch.SpellKey(open+f, 0).Class); ok {
				n.Dots = append(n.Dots, Dot{String: s, Fret: float64(f), Label: text, Strong: strong})
			}
		}
	}
}

// Grip shows one grip: the steel to scale over the frets round it, and the
// strings that are plucked, labelled by what they are in the chord, or by name
// when there is none.
func Grip(r *rig.Rig, p steel.Placement, benders rig.BenderSet, strings []int, c *pitch.Chord) View {
	g := steel.New(r)
	n := View{Rig: r, Steel: p}
	lo, hi := math.Inf(1), 0.0
	for _, s := range strings {
		f := g.Contact(p, s)
		if f > 0 {
			lo, hi = min(lo, f), max(hi, f)
		}
		k := pitch.SpellKey(int(math.Round(g.Key(p, s, benders))), 0).Class
		d := Dot{String: s, Fret: f, Label: k.Pretty()}
		if c != nil {
			if t, ok := c.Tone(k); ok {
				d.Label, d.Strong = prettyLabel(t.Label), t.Label == "R"
			}
		}
		n.Dots = append(n.Dots, d)
	}
	if hi == 0 {
		n.To = 4
		return n
	}
	n.From = max(int(math.Floor(lo))-2, 0)
	n.To = max(int(math.Ceil(hi))+1, n.From+4)
	if n.From <= 1 {
		n.From = 0
	}
	return n
}

// noseOver is how far the nose of a steel reaches beyond the string it touches, in
// diameters: a third beyond, and half for its rounding.
const noseOver = 0.85

// small is the em of the labels round the neck, in millimetres.
const small = 2.1

// extent returns the room beside the board for the strings' names and for the dots of
// open strings, in millimetres of the picture, and where the board that is shown
// begins and ends, in millimetres of the neck.
func (n View) extent(g *steel.Geometry) (left, openRoom, start, end float64) {
	for _, s := range n.Rig.TunedNames() {
		left = max(left, draw.Sans.Width(s.Pretty())*small)
	}
	start, end = n.ends(g)
	for _, d := range n.Dots {
		if d.Fret == 0 || n.part.long > 0 {
			openRoom = 4.2
		}
	}
	return left + 1.2, openRoom, start, end
}

// scale returns at which size the neck fills a width: millimetres of the picture to
// one of the neck.
func (n View) scale(width float64) float64 {
	left, openRoom, start, end := n.extent(steel.New(n.Rig))
	return (width - left - openRoom) / (end - start)
}

// Picture draws the neck in the given width, both in millimetres, with its
// upper left corner at the origin, and gives its height. Millimetres along and
// across the neck have the same scale.
func (n View) Picture(width float64) (*draw.Group, float64) {
	k := n.scale(width)
	return n.at(k, n.nose(k))
}

// captionRoom is the height of a caption over the neck, in millimetres.
const captionRoom = 4.6

// lie is where a neck lies in its picture. Lengths are millimetres of the picture,
// but for those of the neck that x and y are asked for.
type lie struct {
	g               *steel.Geometry
	start, end      float64 // of the neck that is shown, in its own millimetres
	left, openRoom  float64
	gap, edge, down float64 // from string to string, beyond the outer ones; -1 with string 1 at the bottom
	bottom          float64 // below the board and what stands over its edge
	board           draw.Rect
	names           draw.Anchor
	turned          func(at float64) float64
	x               func(mm float64) float64
	y               func(s int, mm float64) float64
}

// spread is from the first string to the last at a scale, where they are farthest
// apart: the board is as high everywhere.
func (n View) spread(k float64) float64 {
	g := steel.New(n.Rig)
	wide := g.X(float64(max(n.To, LastFret(n.Rig))) + 0.45)
	return float64(g.Y(len(n.Rig.Strings), wide)-g.Y(1, wide)) * k
}

// gap is from string to string at a scale.
func (n View) gap(k float64) float64 {
	if len(n.Rig.Strings) == 1 {
		return 3
	}
	return n.spread(k) / float64(len(n.Rig.Strings)-1)
}

// beyond is how far the board reaches over its outer strings, in gaps between strings.
const beyond = 0.55

// nose is how far the nose of the steel stands over the board's edge at a scale.
func (n View) nose(k float64) float64 {
	if n.Steel.Kind == steel.Lifted {
		return 0
	}
	return max(0, noseOver*float64(n.Rig.Steel.Diameter)*k-n.gap(k)*beyond)
}

// lies works out where the neck lies at a scale, with room for the nose of a steel
// over its edge.
func (n View) lies(k, nose float64) lie {
	l := lie{g: steel.New(n.Rig), down: 1}
	l.left, l.openRoom, l.start, l.end = n.extent(l.g)
	width := l.left + l.openRoom + (l.end-l.start)*k
	l.turned = func(at float64) float64 { return at }
	l.names, l.board = draw.End, draw.Rect{X0: l.left, X1: width}
	if n.Facing.Left {
		l.turned = func(at float64) float64 { return width - at }
		l.names, l.board = draw.Start, draw.Rect{X1: width - l.left}
	}
	l.x = func(mm float64) float64 { return l.turned(l.left + l.openRoom + (mm-l.start)*k) }
	spread := n.spread(k)
	l.gap = n.gap(k)
	top := 0.0
	if n.Caption != "" {
		top = captionRoom
	}
	l.edge = l.gap * beyond
	if n.Facing.StringOneLow {
		l.down = -1
	} else {
		top += nose
	}
	mid := top + l.edge + spread/2
	l.y = func(s int, mm float64) float64 { return mid + l.down*float64(l.g.Y(s, wire.MM(mm)))*k }
	l.board.Y0, l.board.Y1 = mid-spread/2-l.edge, mid+spread/2+l.edge
	l.bottom = l.board.Y1
	if n.Facing.StringOneLow {
		l.bottom += nose
	}
	return l
}

// at draws the neck at a scale, with room for a nose over its edge.
func (n View) at(k, nose float64) (*draw.Group, float64) {
	out := &draw.Group{Class: "neck"}
	put := func(items ...draw.Item) { out.Items = append(out.Items, items...) }
	l := n.lies(k, nose)
	g, x, y := l.g, l.x, l.y
	strings := len(n.Rig.Strings)
	tuned := n.Rig.TunedNames()
	if n.Caption != "" {
		put(draw.Text{S: n.Caption, Font: draw.SerifBold, Size: 3.9, X: l.board.X0, Y: 3.2})
	}

	// The board and its frets.
	over := l.down * l.edge * 0.8
	under := l.bottom + small*1.05
	height := l.bottom + small*1.3
	if n.From == 0 {
		nut := draw.Rule{X1: x(0), Y1: y(1, 0) - over, X2: x(0), Y2: y(strings, 0) + over, Width: 0.7}
		if n.Rig.Capo.At == 0 {
			put(nut)
		} else {
			put(n.capo(nut, under))
		}
	}
	for f := n.From; f <= n.To; f++ {
		if f == 0 {
			continue
		}
		at := float64(g.X(float64(f)))
		put(draw.Rule{X1: x(at), Y1: y(1, at) - over, X2: x(at), Y2: y(strings, at) + over, Width: 0.22, Ink: draw.Pale})
	}

	for _, f := range n.Marked {
		put(n.shade(f, x, g, l.board))
	}

	// The steel: its body pale, the line where it touches the strings black.
	if n.Steel.Kind != steel.Lifted {
		put(n.steel(g, x, y, k, l.board))
	}
	for s := 1; s <= strings; s++ {
		d := float64(n.Rig.Strings[s-1].Wire.Diameter)
		w := min(max(d*k*0.8, 0.13), 0.5)
		from := l.start
		if n.From == 0 {
			from = 0
		}
		em := min(small, l.gap*0.95)
		put(draw.Rule{X1: x(from), Y1: y(s, from), X2: x(l.end), Y2: y(s, l.end), Width: w, Ink: draw.Grey})
		put(draw.Text{S: tuned[s-1].Pretty(), Font: draw.Sans, Size: em, X: l.turned(l.left - 1), Y: y(s, from) + em*0.36, Anchor: l.names, Ink: draw.Grey})
	}
	for f := max(n.From, 1); f <= n.To; f++ {
		if n.To-n.From > 9 && !marked(f) {
			continue
		}
		at := float64(g.X(float64(f)))
		put(draw.Text{S: strconv.Itoa(f), Font: draw.Sans, Size: small, X: x(at), Y: under, Anchor: draw.Middle, Ink: draw.Grey})
	}
	r := min(l.gap*0.46, 1.75)
	across := func(fret float64) float64 {
		if fret == 0 {
			return l.turned(l.left + l.openRoom - r - 0.7) // beside the nut, or where it would be
		}
		return x(float64(g.X(fret)))
	}
	for _, j := range n.Joins {
		put(n.joined(j, across, func(s int, fret float64) float64 { return y(s, max(float64(g.X(fret)), l.start)) }, r))
	}
	for _, d := range n.Dots {
		at := across(d.Fret)
		put(n.dot(d, at, y(d.String, max(float64(g.X(d.Fret)), l.start)), r))
	}
	// A steel that stands over the board's edge needs room above it.
	if b := out.Bounds(); b.Y0 < 0 {
		out = draw.Placed(out, 1, 0, -b.Y0).(*draw.Group)
		height -= b.Y0
	}
	return out, max(height, out.Bounds().Y1)
}

// capo draws the capo over the nut's place, with its fret under it at y.
func (n View) capo(nut draw.Rule, y float64) draw.Item {
	at := strconv.Itoa(n.Rig.Capo.At)
	nut.Width, nut.Round = 1.4, true
	return &draw.Group{Class: "capo", Keys: []draw.Key{{Name: "fret", Value: at}}, Items: []draw.Item{nut,
		draw.Text{S: "capo " + at, Font: draw.Sans, Size: small, X: nut.X1, Y: y, Anchor: draw.Middle, Ink: draw.Grey}}}
}

// joined draws a join as a pale bar round its dots.
func (n View) joined(j Join, across func(float64) float64, y func(int, float64) float64, r float64) draw.Item {
	line := draw.Rule{X1: across(j.FromFret), Y1: y(j.From, j.FromFret), X2: across(j.ToFret), Y2: y(j.To, j.ToFret), Width: 2*r + 1.2, Round: true, Ink: draw.Pale}
	keys := []draw.Key{{Name: "from", Value: strconv.Itoa(j.From)}, {Name: "to", Value: strconv.Itoa(j.To)}, {Name: "fret", Value: say.Fret(j.FromFret)}}
	return &draw.Group{Class: "join", Keys: keys, Items: []draw.Item{line}}
}

// marked reports whether a fret is one that necks are marked at.
func marked(f int) bool {
	switch f % 12 {
	case 0, 3, 5, 7, 9:
		return true
	}
	return false
}

func (n View) dot(d Dot, cx, cy, r float64) draw.Item {
	grp := &draw.Group{Class: "dot", Keys: []draw.Key{{Name: "string", Value: strconv.Itoa(d.String)}, {Name: "fret", Value: say.Fret(d.Fret)}, {Name: "label", Value: d.Label}}}
	ink, paper := draw.Black, draw.White
	if d.Strong {
		ink, paper = draw.White, draw.Black
	}
	grp.Items = append(grp.Items, draw.Box{X: cx - r, Y: cy - r, W: 2 * r, H: 2 * r, Radius: r, Ink: paper},
		draw.Box{X: cx - r, Y: cy - r, W: 2 * r, H: 2 * r, Radius: r, Width: 0.2})
	if d.Label != "" {
		em := r * 1.45
		if w := draw.SansBold.Width(d.Label) * em; w > 1.75*r {
			em *= 1.75 * r / w
		}
		up, down := draw.SansBold.Ink(d.Label)
		grp.Items = append(grp.Items, draw.Text{S: d.Label, Font: draw.SansBold, Size: em, X: cx, Y: cy + (up-down)/2*em, Anchor: draw.Middle, Ink: ink})
	}
	return grp
}

// steel draws the steel to scale.
func (n View) steel(g *steel.Geometry, x func(float64) float64, y func(int, float64) float64, k float64, board draw.Rect) draw.Item {
	p := n.Steel
	first, last := int(p.First), int(p.Last)
	a := draw.Point{X: x(float64(g.X(p.FirstFret))), Y: y(first, float64(g.X(p.FirstFret)))}
	b := draw.Point{X: x(float64(g.X(p.LastFret))), Y: y(last, float64(g.X(p.LastFret)))}
	if p.Kind == steel.Split {
		// The nose lies between the first two strings.
		q := float64(g.X(p.FirstFret))
		a.Y = (y(first, q) + y(first+1, q)) / 2
	}
	dx, dy := b.X-a.X, b.Y-a.Y
	d := math.Hypot(dx, dy)
	if d == 0 {
		dx, dy, d = 0, 1, 1
	} else {
		dx, dy = dx/d, dy/d
	}
	length := float64(n.Rig.Steel.Length) * k
	diameter := float64(n.Rig.Steel.Diameter) * k
	if length < d || length == 0 {
		length = d
	}
	if diameter == 0 {
		diameter = 1.5
	}
	// The nose stands a little beyond the string it touches; the rest of the
	// steel reaches towards the player, and is cut off at the board's edge.
	over := min(diameter*0.35, max(length-d, 0)/2+0.4)
	a = draw.Point{X: a.X - dx*over, Y: a.Y - dy*over}
	rest := max(length-d-over, over)
	round := diameter / 2
	switch {
	case dy > 1e-9:
		rest = min(rest, max((board.Y1-round-b.Y)/dy, 0.3))
	case dy < -1e-9:
		rest = min(rest, max((board.Y0+round-b.Y)/dy, 0.3))
	}
	switch {
	case dx > 1e-9:
		rest = min(rest, max((board.X1-round-b.X)/dx, 0.3))
	case dx < -1e-9:
		rest = min(rest, max((board.X0+round-b.X)/dx, 0.3))
	}
	b = draw.Point{X: b.X + dx*rest, Y: b.Y + dy*rest}
	body := draw.Path{Width: diameter, Ink: draw.Faint, Steps: []draw.Step{{Op: draw.MoveTo, P: [3]draw.Point{a}}, {Op: draw.LineTo, P: [3]draw.Point{b}}}}
	contact := draw.Rule{X1: a.X, Y1: a.Y, X2: b.X, Y2: b.Y, Width: 0.35}
	return &draw.Group{Class: "steel", Keys: []draw.Key{{Name: "kind", Value: p.Kind.String()}}, Items: []draw.Item{body, contact}}
}

// Describe says in words what a neck shows, for readers who can't see it.
func (n View) Describe() string {
	s := n.Caption
	if n.Rig.Capo.At > 0 {
		s = strings.TrimSpace(s + " counted from the capo at fret " + strconv.Itoa(n.Rig.Capo.At))
	}
	if n.Steel.Kind != steel.Lifted {
		s += fmt.Sprintf(" %s at fret %s", n.Steel.Kind, say.Fret(n.Steel.FirstFret))
		if n.Steel.FirstFret != n.Steel.LastFret {
			s += " and " + say.Fret(n.Steel.LastFret)
		}
	}
	by := map[int]string{}
	for _, d := range n.Dots {
		if by[d.String] != "" {
			by[d.String] += ", "
		}
		f := say.Fret(d.Fret)
		if d.Fret == 0 {
			f = "open"
		}
		by[d.String] += d.Label + " " + f
	}
	for k := 1; k <= len(n.Rig.Strings); k++ {
		if by[k] != "" {
			s += fmt.Sprintf("; string %d: %s", k, by[k])
		}
	}
	for _, j := range n.Joins {
		s += fmt.Sprintf("; strings %d to %d at fret %s", j.From, j.To, say.Fret(j.FromFret))
		if j.FromFret != j.ToFret {
			s += " and " + say.Fret(j.ToFret)
		}
	}
	return s
}
