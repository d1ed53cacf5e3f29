package png_test

import (
	"bytes"
	"fmt"
	"image/png"

	"lapwright/sheet/draw"
	drawn "lapwright/sheet/png"
)

// A page of 40 by 10 mm at 254 dots an inch is 400 by 100 dots.
func ExampleWrite() {
	d := &draw.Drawing{Title: "A line", Pages: []*draw.Page{{W: 40, H: 10, Items: []draw.Item{
		draw.Rule{X1: 5, Y1: 5, X2: 35, Y2: 5, Width: 0.3},
	}}}}
	b, err := drawn.Write(d, 0, 254)
	if err != nil {
		fmt.Println(err)
		return
	}
	picture, err := png.DecodeConfig(bytes.NewReader(b))
	fmt.Println(picture.Width, picture.Height, err)
	// Output: 400 100 <nil>
}
