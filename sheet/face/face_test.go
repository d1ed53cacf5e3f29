package face_test

import (
	"fmt"
	"math"
	"testing"

	"lapwright/sheet/draw"
	"lapwright/sheet/face"
)

// The letter's width in the font file is the width that sheets are laid out with.
func ExampleFile_Letter() {
	l := face.Of(draw.Serif).Letter('n')
	fmt.Printf("%.3f %.3f\n", l.Advance, draw.Serif.Width("n"))
	// Output: 0.552 0.552
}

// TestTablesAgreeWithTheFiles compares what sheets are laid out with, letter by
// letter and symbol by symbol, with the font files read by the outside library.
func TestTablesAgreeWithTheFiles(t *testing.T) {
	letters := 0
	for f := range draw.Fonts {
		for r := rune(' '); r <= math.MaxUint16; r++ {
			s := face.Of(f).Letter(r)
			if s == nil || string(r) != draw.Clean(string(r)) {
				continue
			}
			if _, ok := f.Prints(string(r)); !ok {
				continue // a script that these sheets don't set
			}
			letters++
			if got := f.Width(string(r)); math.Abs(got-s.Advance) > 1e-12 {
				t.Fatalf("font %d, %q: width %g, the file has %g", f, r, got, s.Advance)
			}
			up, down := f.Ink(string(r))
			if math.Abs(up+s.Box.Y0) > 1e-7 || math.Abs(down-s.Box.Y1) > 1e-7 {
				t.Fatalf("font %d, %q: ink %g above and %g below, the file has %g and %g", f, r, up, down, -s.Box.Y0, s.Box.Y1)
			}
		}
	}
	if letters < 10_000 {
		t.Errorf("only %d letters were compared", letters)
	}
	for _, symbol := range draw.Symbols() {
		s := face.Music().Symbol(symbol)
		if s == nil {
			t.Fatalf("%s is not in the music font", symbol)
		}
		if len(s.Steps) != len(symbol.Outline()) || s.Box != symbol.Box() || s.Advance != symbol.Advance() {
			t.Errorf("%s: %d steps in %v, the file has %d in %v", symbol, len(symbol.Outline()), symbol.Box(), len(s.Steps), s.Box)
			continue
		}
		for i, step := range symbol.Outline() {
			if step != s.Steps[i] {
				t.Errorf("%s: step %d is %v, the file has %v", symbol, i, step, s.Steps[i])
				break
			}
		}
	}
}
