package steel

import "math"

// swing is the room that an open string needs beside the end of the steel, in
// millimetres: it swings about 1 mm either way, and no hand is more exact than
// that (our own figure).
const swing = 2

// Clears reports whether a slanted or split steel can lie so that its ends leave
// open strings beside it free: far is the nearest of them beyond the first
// string that the steel stops, near the nearest beyond the last, 0 for none.
//
// A straight rod pressed on two strings a good way apart lies flat, so that it
// stops every string below it; it can only be pushed along its own axis until
// the end clears the string. Pushed away from the player its middle must stay
// over the strings that it stops, or it tips; drawn towards the player it lies
// in the hand. With p(s) the place along the axis at which it crosses string s,
// B the steel's length and a the place of its far end, all in millimetres, that is
//
//	p(last) − B ≤ a ≤ p(first);  a ≥ p(far) + swing;
//	a ≤ p(near) − swing − B and a ≥ p(first) − B/2.
//
// In a split the nose lies between its two strings and fixes a: half a diameter
// beyond the middle of the nose.
//
// A steel that is not slanted is for Across: its heel can be held up.
func (g *Geometry) Clears(p Placement, far, near int) bool {
	if !p.Slanted() {
		return true
	}
	length := float64(g.r.Steel.Length)
	first := g.along(p, int(p.First))
	least, most := g.along(p, int(p.Last))-length, first
	if p.Kind == Split {
		least = -float64(g.r.Steel.Diameter) / 2
		most = least
	}
	if far > 0 {
		least = math.Max(least, g.along(p, far)+swing)
	}
	if near > 0 {
		least = math.Max(least, first-length/2)
		most = math.Min(most, g.along(p, near)-swing-length)
	}
	return least <= most
}

// along returns where the steel's axis crosses string s, in millimetres along it
// from the point that fixes its string 1 side; see Contact for the formula.
func (g *Geometry) along(p Placement, s int) float64 {
	x0, y0, x1, y1 := g.line(p)
	dx, dy := x1-x0, y1-y0
	a, b := g.at[s-1], g.fan[s-1]
	return (a + b*x0 - y0) / (dy - b*dx) * math.Hypot(dx, dy)
}
