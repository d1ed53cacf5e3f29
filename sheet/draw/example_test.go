package draw_test

import (
	"fmt"
	"strings"

	"lapwright/sheet/draw"
)

// A drawing is items in millimetres, put out as a picture of that size.
func ExampleSVG() {
	d := &draw.Drawing{Title: "A line", Pages: []*draw.Page{{W: 40, H: 10, Items: []draw.Item{
		draw.Rule{X1: 5, Y1: 5, X2: 35, Y2: 5, Width: 0.3},
	}}}}
	svg := string(draw.SVG(d, 0))
	fmt.Println(strings.Contains(svg, `width="40mm" height="10mm"`))
	// Output: true
}
