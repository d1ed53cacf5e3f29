package ink

import (
	"math"
	"testing"

	"lapwright/sheet/draw"
)

// on returns the points of a path that lie on it, straight or at a curve's end, and
// every curve's middle (a cubic Bézier's at t = 1/2: an eighth of its ends and three
// eighths of its control points).
func on(p draw.Path) (ends, middles []draw.Point) {
	var at draw.Point
	for _, s := range p.Steps {
		switch s.Op {
		case draw.MoveTo, draw.LineTo:
			at = s.P[0]
		case draw.CurveTo:
			mid := func(a, b, c, d float64) float64 { return (a + 3*b + 3*c + d) / 8 }
			middles = append(middles, draw.Point{X: mid(at.X, s.P[0].X, s.P[1].X, s.P[2].X), Y: mid(at.Y, s.P[0].Y, s.P[1].Y, s.P[2].Y)})
			at = s.P[2]
		default:
			continue
		}
		ends = append(ends, at)
	}
	return ends, middles
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

// TestBow: a slur begins and ends where it is asked to, is as high as asked in its
// middle, over or under its ends, and is thickest there.
func TestBow(t *testing.T) {
	for _, c := range []struct{ x0, y0, x1, y1, height float64 }{
		{2, -1, 14, -1, -1.5}, {2, -1, 14, -3, -1.5}, {0, 5, 6, 6, 1.2}, {0, 5, 6, 5, 1.2}, {3, 0, 4, 0, -0.5},
	} {
		const thin, thick = 0.1, 0.22
		ends, middles := on(Bow(c.x0, c.y0, c.x1, c.y1, c.height, thin, thick))
		if len(ends) != 4 || len(middles) != 2 {
			t.Fatalf("%v: %d corners and %d curves", c, len(ends), len(middles))
		}
		for i, want := range [4][2]float64{{c.x0, c.y0}, {c.x1, c.y1}, {c.x1, c.y1}, {c.x0, c.y0}} {
			if !near(ends[i].X, want[0]) || !near(math.Abs(ends[i].Y-want[1]), thin/2) {
				t.Errorf("%v: corner %d lies at %v", c, i, ends[i])
			}
		}
		far, back := middles[0], middles[1]
		if !near(far.X, (c.x0+c.x1)/2) || !near(back.X, far.X) {
			t.Errorf("%v: its middle lies at %v and %v", c, far, back)
		}
		if line := (far.Y + back.Y) / 2; !near(line, (c.y0+c.y1)/2+c.height) {
			t.Errorf("%v: it is %.4f high in the middle", c, line-(c.y0+c.y1)/2)
		}
		if thickness := math.Abs(far.Y - back.Y); !near(thickness, thick) {
			t.Errorf("%v: it is %.4f thick in the middle, want %.2f", c, thickness, thick)
		}
	}
	// It leaves its ends along the way, not across it: the control points lie inside,
	// at most 2.2 spaces in.
	for _, c := range []struct{ x1, y1, lead float64 }{{22, 0, 2.2}, {22, 5, 2.2}, {6, 0, 1.2}, {6, -1, 1.2}} {
		steps := Bow(2, 0, c.x1, c.y1, -2, 0.1, 0.2).Steps
		out, back := steps[1].P, steps[3].P
		if !near(out[0].X, 2+c.lead) || !near(out[1].X, c.x1-c.lead) || !near(back[0].X, out[1].X) || !near(back[1].X, out[0].X) {
			t.Errorf("a bow to %g rises to %.2f and falls from %.2f", c.x1, out[0].X, out[1].X)
		}
		// Its control points stand over the line from end to end, all at one height.
		slope := c.y1 / (c.x1 - 2)
		for _, p := range []draw.Point{{X: out[0].X, Y: (out[0].Y + back[1].Y) / 2}, {X: out[1].X, Y: (out[1].Y + back[0].Y) / 2}} {
			if over := p.Y - slope*(p.X-2); !near(over, -2/0.75) {
				t.Errorf("a bow to %g, %g is led %.3f over its line, want %.3f", c.x1, c.y1, over, -2/0.75)
			}
		}
	}
}

// TestWave: the wavy line of a rolled chord goes up the whole chord, turn by turn
// to either side.
func TestWave(t *testing.T) {
	for _, c := range []struct {
		y0, y1 float64
		turns  int
	}{{0, 2, 4}, {-1, 0.7, 4}, {0, 0.3, 1}, {0, 0.5, 1}} {
		ends, middles := on(Wave(3, c.y0, c.y1))
		if len(middles) != c.turns {
			t.Errorf("from %g to %g: %d turns, want %d", c.y1, c.y0, len(middles), c.turns)
		}
		if !near(ends[0].Y, c.y1) || !near(ends[len(ends)-1].Y, c.y0) {
			t.Errorf("from %g to %g: it goes from %v to %v", c.y1, c.y0, ends[0], ends[len(ends)-1])
		}
		for i, m := range middles {
			if side := m.X - 3; (side > 0) != (i%2 == 0) || math.Abs(side) < 0.1 {
				t.Errorf("turn %d lies %.2f beside the line", i, side)
			}
			if m.Y > ends[i].Y || m.Y < ends[i+1].Y {
				t.Errorf("turn %d has its middle at %.2f, between %.2f and %.2f", i, m.Y, ends[i].Y, ends[i+1].Y)
			}
		}
		for _, e := range ends {
			if e.X != 3 {
				t.Errorf("it comes back to %g and not to its line", e.X)
			}
		}
	}
}

// TestRoomLeft: what stands over and under a stretch counts where it reaches into it,
// not where it only touches.
func TestRoomLeft(t *testing.T) {
	c := New()
	c.Line(0, -2, 4, -2, 0.5)
	c.Line(6, 3, 8, 3, 0.5)
	c.Line(6, 9, 8, 9, 0.5)
	for _, r := range []struct{ x0, x1, top, bottom float64 }{
		{1, 3, -2.25, 1}, {4.3, 5.7, 0, 1}, {5, 7, 0, 3.25}, {3, 7, -2.25, 3.25}, {-1, 0.1, -2.25, 1}, {8.3, 9, 0, 1}, {7.9, 12, 0, 3.25},
	} {
		if got := c.TopOver(r.x0, r.x1, 0); !near(got, r.top) {
			t.Errorf("over %g to %g there is room from %g, want %g", r.x0, r.x1, got, r.top)
		}
		if got := c.BottomUnder(r.x0, r.x1, 1, 8); !near(got, r.bottom) {
			t.Errorf("under %g to %g there is room from %g, want %g", r.x0, r.x1, got, r.bottom)
		}
	}
	box := c.Boxes[0]
	if got := c.TopOver(box.X1, box.X1+1, 0); got != 0 {
		t.Errorf("a line that ends where the stretch begins is in its way: %g", got)
	}
	if got := c.TopOver(box.X0-1, box.X0, 0); got != 0 {
		t.Errorf("a line that begins where the stretch ends is in its way: %g", got)
	}
	if got := c.BottomUnder(c.Boxes[1].X1, 20, 1, 8); got != 1 {
		t.Errorf("a line that ends where the stretch begins is under it: %g", got)
	}
	if got := c.BottomUnder(0, c.Boxes[1].X0, 1, 8); got != 1 {
		t.Errorf("a line that begins where the stretch ends is under it: %g", got)
	}
	if b := c.Bounds(); !near(b.Y0, -2.25) || !near(b.Y1, 9.25) {
		t.Errorf("everything lies in %+v", b)
	}
}

// TestPolygons: a polygon goes through its points and closes; the nose's mark points
// at what it stands before.
func TestPolygons(t *testing.T) {
	p := Polygon(draw.Point{X: 1, Y: 1}, draw.Point{X: 2, Y: 1}, draw.Point{X: 2, Y: 3})
	if n := len(p.Steps); n != 4 || p.Steps[0].Op != draw.MoveTo || p.Steps[1].Op != draw.LineTo || p.Steps[3].Op != draw.Close {
		t.Errorf("a triangle is drawn %+v", p.Steps)
	}
	ends, _ := on(NoseMark(5, 2))
	if len(ends) != 3 || !near(ends[0].X, 4.85) || !near(ends[0].Y, 2) || ends[1].X >= ends[0].X || !near(ends[1].X, ends[2].X) || !near(2-ends[1].Y, ends[2].Y-2) || ends[1].Y >= 2 {
		t.Errorf("the nose's mark is %v", ends)
	}
}

// TestGroups: what is added between Begin and End stands in that group; what is a
// ghost takes no room.
func TestGroups(t *testing.T) {
	c := New()
	c.Begin("a")
	c.Begin("b")
	c.Line(0, 0, 1, 0, 0.1)
	c.End()
	c.Ghost(draw.Rule{X1: 0, Y1: 50, X2: 1, Y2: 50, Width: 1})
	c.End()
	c.Line(0, 2, 1, 2, 0.1)
	if len(c.Root.Items) != 2 || len(c.Boxes) != 2 {
		t.Fatalf("%d items, %d boxes", len(c.Root.Items), len(c.Boxes))
	}
	a := c.Root.Items[0].(*draw.Group)
	if a.Class != "a" || len(a.Items) != 2 || a.Items[0].(*draw.Group).Class != "b" || len(a.Items[0].(*draw.Group).Items) != 1 {
		t.Errorf("the groups are %+v", a)
	}
}

// TestLeaningBow: a bow between ends of two heights is the level one, sheared.
func TestLeaningBow(t *testing.T) {
	level, lean := Bow(2, 0, 14, 0, -1.5, 0.1, 0.2), Bow(2, -1, 14, -4, -1.5, 0.1, 0.2)
	for i, s := range level.Steps {
		for j, p := range s.P {
			if s.Op == draw.Close || s.Op != draw.CurveTo && j > 0 {
				continue
			}
			q := lean.Steps[i].P[j]
			if !near(q.X, p.X) || !near(q.Y, p.Y-1-3*(p.X-2)/12) {
				t.Errorf("step %d: %v, the level one %v", i, q, p)
			}
		}
	}
}

// TestInkUnderALimit: only ink that begins over the limit counts, and only what lies
// between the places, not what touches them.
func TestInkUnderALimit(t *testing.T) {
	c := New()
	c.Add(draw.Box{X: 2, Y: 5, W: 3, H: 1})
	for _, x := range []struct{ x0, x1, limit, want float64 }{{0, 3, 6, 6}, {0, 3, 5, 4}, {0, 3, 5.1, 6}, {0, 2, 9, 4}, {5, 9, 9, 4}, {4.9, 9, 9, 6}} {
		if got := c.BottomUnder(x.x0, x.x1, 4, x.limit); got != x.want {
			t.Errorf("%+v: %g", x, got)
		}
	}
}
