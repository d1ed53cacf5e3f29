package picture

import (
	"fmt"
	"math"

	"lapwright/sheet/draw"
)

// kind is the shape of a mark.
type kind uint8

// The shapes.
const (
	round   kind = iota // in tune
	up                  // sharp
	down                // flat
	square              // another note
	diamond             // a note too many
)

// shape draws a mark of radius r round x, y; a hollow one is only outlined.
func shape(k kind, x, y, r float64, ink draw.Ink, hollow bool) draw.Item {
	width := 0.0
	if hollow {
		width = 0.32 * r
		r -= width / 2
	}
	if k == round {
		return draw.Box{X: x - r, Y: y - r, W: 2 * r, H: 2 * r, Radius: r, Width: width, Ink: ink}
	}
	corners, turn := 3, -math.Pi/2
	switch k {
	case down:
		turn = math.Pi / 2
	case square:
		corners, turn = 4, math.Pi/4
	case diamond:
		corners = 4
	}
	// Corners of equal area to the eye: a triangle reaches farther out.
	reach := r * 1.2
	if corners == 3 {
		reach = r * 1.4
	}
	var steps []draw.Step
	for i := range corners {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(corners))
		op := draw.LineTo
		if i == 0 {
			op = draw.MoveTo
		}
		steps = append(steps, draw.Step{Op: op, P: [3]draw.Point{{X: x + reach*cos, Y: y + reach*sin}}})
	}
	return draw.Path{Steps: append(steps, draw.Step{Op: draw.Close}), Width: width, Ink: ink}
}

// cross draws the mark of a note that was not heard.
func cross(x, y, r float64, ink draw.Ink) []draw.Item {
	return []draw.Item{
		draw.Rule{X1: x - r, Y1: y - r, X2: x + r, Y2: y + r, Width: 0.4 * r, Round: true, Ink: ink},
		draw.Rule{X1: x - r, Y1: y + r, X2: x + r, Y2: y - r, Width: 0.4 * r, Round: true, Ink: ink},
	}
}

// Sign is one mark with what it means, to stand under a sheet.
type Sign struct {
	Mark  string // a letter of the same shape
	Class string // of the colour: "tune", "sharp", "flat", "wrong" or ""
	Means string
}

// Signs lists the marks that can stand in a lane, in the order to explain them.
func Signs() []Sign {
	return []Sign{
		{"●", "tune", fmt.Sprintf("in tune: within %g cents of the wanted pitch or of the just chord, which is dashed, or between them", BandCents)},
		{"▲", "sharp", "sharp: the steel is too far towards the bridge, or the string too tight"},
		{"▼", "flat", "flat: the steel is too far towards the nut, or the string too slack"},
		{"○", "", "hollow: not sure"},
		{"×", "", "not heard"},
		{"■", "wrong", "another note sounded"},
		{"◆", "wrong", "a note too many"},
	}
}
