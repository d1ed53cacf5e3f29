package arrows

import (
	"cmp"
	"fmt"
	"go/token"
	"math"
	"slices"
	"strings"

	"lapwright/sheet/draw"
)

// PicturePath is where the picture stands, from the root of the repository.
const PicturePath = "docs/rooms.svg"

// command is how the picture calls the room that Files names "".
const command = "cmd/lapwright"

// Sizes of the picture in millimetres.
const (
	roomWidth   = 33.0
	roomGap     = 7.0
	floorGap    = 13.0
	titleHeight = 7.0
	innerHeight = 4.2
	pageMargin  = 8.0
)

// node is a room of the first rank with the rooms inside it.
type node struct {
	name    string
	inner   []string
	imports map[string]bool
	floor   int     // 0 imports nothing
	x, y, h float64 // its upper left corner and height
}

// Picture draws the rooms below top: one box a room with its inner rooms, on
// floors, each as high as what it imports allows. An arrow goes from a room to
// one that it imports; arrows that follow from two others are left out.
func Picture(top string) ([]byte, error) {
	list, err := Files(top, token.NewFileSet())
	if err != nil {
		return nil, err
	}
	nodes := gather(list)
	for _, n := range nodes {
		n.floor = floorOf(nodes, n)
	}
	for i := range nodes {
		sink(nodes, nodes[len(nodes)-1-i])
	}
	all := lines(nodes)
	page := layOut(nodes, all)
	for _, l := range all {
		page.Items = append(page.Items, l.arrow()...)
	}
	for _, n := range nodes {
		page.Items = append(page.Items, box(n)...)
	}
	d := &draw.Drawing{Title: "The rooms of Lapwright", Description: describe(nodes), Pages: []*draw.Page{page}}
	return draw.SVG(d, 0), nil
}

// gather returns the rooms in their order, the command last. Rooms that only
// tests and builds use are left out.
func gather(list []File) []*node {
	var nodes []*node
	find := func(name string) *node {
		for _, n := range nodes {
			if n.name == name {
				return n
			}
		}
		nodes = append(nodes, &node{name: name, imports: map[string]bool{}})
		return nodes[len(nodes)-1]
	}
	for _, f := range list {
		room := f.Room
		outer, inner, _ := strings.Cut(room, "/")
		if witness(room) || testOnly(room) || f.AST.Name.Name == "main" && room != "" {
			continue
		}
		if room == "" {
			outer = command
		}
		n := find(outer)
		if inner != "" && !slices.Contains(n.inner, inner) {
			n.inner = append(n.inner, inner)
		}
		for _, to := range f.Imports() {
			if to, _, _ = strings.Cut(to, "/"); to != outer {
				n.imports[to] = true
			}
		}
	}
	slices.SortFunc(nodes, func(a, b *node) int { return place(a.name) - place(b.name) })
	for _, n := range nodes {
		slices.Sort(n.inner)
	}
	return nodes
}

// place is a room's place in the order, the command after all others.
func place(name string) int {
	if name == command {
		return len(order)
	}
	return rank(name)
}

// floorOf returns the length of the longest chain of imports that begins at n.
func floorOf(nodes []*node, n *node) int {
	floor := 0
	for _, m := range nodes {
		if n.imports[m.name] && m != n {
			floor = max(floor, floorOf(nodes, m)+1)
		}
	}
	return floor
}

// sink moves a room that imports nothing and isn't of the core down to its users.
func sink(nodes []*node, n *node) {
	if len(n.imports) > 0 || isCore(n.name) {
		return
	}
	floor := -1
	for _, m := range nodes {
		if m.imports[n.name] && (floor < 0 || m.floor-1 < floor) {
			floor = m.floor - 1
		}
	}
	n.floor = max(n.floor, floor)
}

// implied reports whether from reaches to through another of its imports.
func implied(nodes []*node, from *node, to string) bool {
	for _, m := range nodes {
		if from.imports[m.name] && m.name != to && (m.imports[to] || implied(nodes, m, to)) {
			return true
		}
	}
	return false
}

// connector is an import to draw, from a room up to another, with the bends between
// them: one on every floor that it passes.
type connector struct {
	from, to *node
	bends    []*node
}

// lines returns the imports that don't follow from others.
func lines(nodes []*node) []connector {
	var out []connector
	for _, from := range nodes {
		for _, to := range nodes {
			if !from.imports[to.name] || implied(nodes, from, to.name) {
				continue
			}
			l := connector{from: from, to: to}
			for f := to.floor + 1; f < from.floor; f++ {
				l.bends = append(l.bends, &node{floor: f})
			}
			out = append(out, l)
		}
	}
	return out
}

// width is a room's width, or the room that a passing line wants.
func (n *node) width() float64 {
	if n.name == "" {
		return 2
	}
	return roomWidth
}

func (n *node) middle() float64 { return n.x + n.width()/2 }

// layOut returns every room and bend its place and returns the empty page for
// them. Rooms on a floor are put in order and moved towards the mean of what
// they are tied to, over and over: the barycentre method for layered drawings
// (Sugiyama, Tagawa and Toda, "Methods for Visual Understanding of Hierarchical
// System Structures", 1981; from memory).
func layOut(nodes []*node, all []connector) *draw.Page {
	var floors [][]*node
	tied := map[*node][]*node{}
	add := func(n *node) {
		for len(floors) <= n.floor {
			floors = append(floors, nil)
		}
		floors[n.floor] = append(floors[n.floor], n)
	}
	for _, n := range nodes {
		add(n)
	}
	for _, l := range all {
		chain := append(append([]*node{l.to}, l.bends...), l.from)
		for i, n := range chain {
			if i > 0 {
				tied[n] = append(tied[n], chain[i-1])
				tied[chain[i-1]] = append(tied[chain[i-1]], n)
			}
			if n.name == "" {
				add(n)
			}
		}
	}
	for _, f := range floors {
		spread(f)
	}
	for range 40 {
		for _, f := range floors {
			for _, n := range f {
				if len(tied[n]) > 0 {
					sum := 0.0
					for _, m := range tied[n] {
						sum += m.middle()
					}
					n.x = sum/float64(len(tied[n])) - n.width()/2
				}
			}
			slices.SortStableFunc(f, func(a, b *node) int { return cmp.Compare(a.middle(), b.middle()) })
			spread(f)
		}
	}
	return onePage(floors)
}

// spread moves the rooms of a floor apart as little as their widths ask, about
// the mean of where they wanted to be.
func spread(floor []*node) {
	wanted, got := 0.0, 0.0
	for i, n := range floor {
		wanted += n.x
		if i > 0 {
			before := floor[i-1]
			n.x = max(n.x, before.x+before.width()+roomGap)
		}
		got += n.x
	}
	for _, n := range floor {
		n.x -= (got - wanted) / float64(len(floor))
	}
}

// onePage sets the floors one under another and moves everything onto a page.
func onePage(floors [][]*node) *draw.Page {
	left, right := math.Inf(1), math.Inf(-1)
	y := pageMargin
	for _, f := range floors {
		high := 0.0
		for _, n := range f {
			n.y, n.h = y, titleHeight+float64(len(n.inner))*innerHeight
			if len(n.inner) > 0 {
				n.h++
			}
			high = max(high, n.h)
			left, right = min(left, n.x), max(right, n.x+n.width())
		}
		for _, n := range f {
			if n.name == "" {
				n.h = high
			}
		}
		y += high + floorGap
	}
	for _, f := range floors {
		for _, n := range f {
			n.x += pageMargin - left
		}
	}
	w, h := right-left+2*pageMargin, y-floorGap+pageMargin
	return &draw.Page{W: w, H: h, Items: []draw.Item{draw.Box{W: w, H: h, Ink: draw.White}}}
}

// box draws one room: its name, and the rooms inside it.
func box(n *node) []draw.Item {
	ground := draw.Faint
	if !isCore(n.name) {
		ground = draw.White
	}
	items := []draw.Item{
		draw.Box{X: n.x, Y: n.y, W: roomWidth, H: n.h, Radius: 1.5, Ink: ground},
		draw.Box{X: n.x, Y: n.y, W: roomWidth, H: n.h, Radius: 1.5, Width: 0.35, Ink: draw.Black},
		draw.Text{S: n.name, Font: draw.SansBold, Size: 3.6, X: n.x + roomWidth/2, Y: n.y + 4.8, Anchor: draw.Middle},
	}
	for i, name := range n.inner {
		items = append(items, draw.Text{S: name, Font: draw.Sans, Size: 2.9, X: n.x + roomWidth/2, Y: n.y + titleHeight + float64(i)*innerHeight + 2.4, Anchor: draw.Middle, Ink: draw.Grey})
	}
	return items
}

// arrow draws an import: a curve from the room's upper edge past its bends to
// the lower edge of the other room, with a head there.
func (l connector) arrow() []draw.Item {
	steps := []draw.Step{}
	// Lines leave and reach an edge apart from one another: the farther to a side
	// the other end lies, the nearer to that corner.
	edge := func(n, towards *node) float64 {
		return n.middle() + max(-1, min(1, (towards.middle()-n.middle())/(2*roomWidth)))*roomWidth*0.4
	}
	chain := append(append([]*node{l.to}, l.bends...), l.from)
	last := len(chain) - 1
	x, y := edge(l.from, chain[last-1]), l.from.y
	steps = append(steps, draw.Step{Op: draw.MoveTo, P: [3]draw.Point{{X: x, Y: y}}})
	for i := last - 1; i >= 0; i-- {
		n := chain[i]
		nx, ny := n.middle(), n.y+n.h
		if i == 0 {
			nx, ny = edge(n, chain[1]), n.y+n.h+2
		}
		half := (y - ny) / 2
		steps = append(steps, draw.Step{Op: draw.CurveTo, P: [3]draw.Point{{X: x, Y: y - half}, {X: nx, Y: ny + half}, {X: nx, Y: ny}}})
		x, y = nx, ny
		if i > 0 { // straight past the rooms of this floor
			y = n.y
			steps = append(steps, draw.Step{Op: draw.LineTo, P: [3]draw.Point{{X: x, Y: y}}})
		}
	}
	head := draw.Path{Ink: draw.Grey, Steps: []draw.Step{
		{Op: draw.MoveTo, P: [3]draw.Point{{X: x, Y: y - 2}}},
		{Op: draw.LineTo, P: [3]draw.Point{{X: x - 0.9, Y: y + 0.2}}},
		{Op: draw.LineTo, P: [3]draw.Point{{X: x + 0.9, Y: y + 0.2}}},
		{Op: draw.Close},
	}}
	return []draw.Item{draw.Path{Width: 0.3, Ink: draw.Grey, Steps: steps}, head}
}

// describe says the picture in words, for who can't see it.
func describe(nodes []*node) string {
	var out []string
	for _, n := range nodes {
		var to []string
		for _, m := range nodes {
			if n.imports[m.name] {
				to = append(to, m.name)
			}
		}
		if len(to) > 0 {
			out = append(out, fmt.Sprintf("%s imports %s", n.name, strings.Join(to, ", ")))
		} else {
			out = append(out, n.name+" imports no other room")
		}
	}
	return strings.Join(out, "; ") + "."
}
