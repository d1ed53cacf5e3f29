package pdf_test

import (
	"bytes"
	"fmt"

	"lapwright/sheet/draw"
	"lapwright/sheet/pdf"
)

// A drawing becomes one document with a page of the drawing's own size.
func ExampleWrite() {
	d := &draw.Drawing{Title: "A line", Pages: []*draw.Page{{W: 40, H: 10, Items: []draw.Item{
		draw.Rule{X1: 5, Y1: 5, X2: 35, Y2: 5, Width: 0.3},
	}}}}
	b, err := pdf.Write(d)
	fmt.Println(bytes.HasPrefix(b, []byte("%PDF-1.")), bytes.Count(b, []byte("/Type /Page\n")), err)
	// Output: true 1 <nil>
}
