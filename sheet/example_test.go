package sheet_test

import (
	"fmt"

	"lapwright/notation/abc"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// A tune is laid out in millimetres; the same drawing becomes SVG, PDF or PNG.
func ExampleLayTune() {
	tunes, _, err := abc.Read([]byte("X:1\nT:Triad\nM:3/4\nL:1/4\nK:G\nGBd|]\n"), "triad.abc")
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := sheet.LayTune(tunes[0], sheet.Options{Paper: draw.A4})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%q on %d page of %.0f × %.0f mm\n", d.Title, len(d.Pages), d.Pages[0].W, d.Pages[0].H)
	// Output: "Triad" on 1 page of 210 × 297 mm
}
