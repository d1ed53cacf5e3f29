package neck

import (
	"math"

	"lapwright/sheet/draw"
	"lapwright/steel"
	"lapwright/wire"
)

// numberRoom is the share of a part that the number of its last fret needs behind
// the fret.
const numberRoom = 0.02

// part is a length of the neck, in millimetres from the nut.
type part struct{ from, long wire.MM }

// Part returns the view of so many millimetres of the neck with its stopped strings
// in the middle, or from the nut when they are near it or none is stopped. Pictures
// of parts of one length and in one width are of one scale wherever they lie.
func (n View) Part(long wire.MM) View {
	g := steel.New(n.Rig)
	low, high := math.Inf(1), 0.0
	for _, d := range n.Dots {
		if d.Fret > 0 {
			low, high = min(low, d.Fret), max(high, d.Fret)
		}
	}
	from := wire.MM(0)
	if high > 0 {
		from = (g.X(low) + g.X(high) - long) / 2
	}
	// A part that begins before the first fret begins at the nut.
	if from < g.X(1) {
		from = 0
	}
	from = min(from, n.Rig.Scale-long)
	n.part = part{max(from, 0), long}
	n.From, n.To = 0, 0
	for f := 1; f <= n.Rig.Frets; f++ {
		x := g.X(float64(f))
		if from > 0 && x < from {
			n.From = f + 1
		}
		if x <= from+long-numberRoom*long {
			n.To = f
		}
	}
	return n
}

// ends returns where on the neck the picture begins and ends, in millimetres from
// the nut.
func (n View) ends(g *steel.Geometry) (start, end float64) {
	if n.part.long > 0 {
		return float64(n.part.from), float64(n.part.from + n.part.long)
	}
	// The nearest neighbours of the outer frets are shown by half.
	end = float64(g.X(float64(n.To) + 0.45))
	if n.From > 0 {
		start = float64(g.X(float64(n.From) - 0.55))
	}
	return start, end
}

// shade draws the ground of a marked fret, half a fret to both sides, or of the
// open strings beside the nut.
func (n View) shade(fret int, x func(float64) float64, g *steel.Geometry, board draw.Rect) draw.Item {
	from, to := board.X0, x(0)
	if n.Facing.Left {
		from = board.X1
	}
	if fret > 0 {
		from, to = x(float64(g.X(float64(fret)-0.5))), x(float64(g.X(float64(fret)+0.5)))
	}
	return draw.Box{X: min(from, to), Y: board.Y0, W: max(from, to) - min(from, to), H: board.Y1 - board.Y0, Radius: 0.8, Ink: draw.Faint}
}
