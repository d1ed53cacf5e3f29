package sheet_test

import (
	"testing"

	"lapwright/sheet"
	"lapwright/sheet/draw"
	"lapwright/sheet/sheettest"
)

// TestNecksFaceTheirPlayer: in the layout with pictures of grips, each neck has its
// nut to the left and string 1 on top, unless a left-handed player's, or string 1 at
// the bottom, is asked for. The tablature's numbers do not move for the left hand.
func TestNecksFaceTheirPlayer(t *testing.T) {
	for _, o := range []sheet.Options{{}, {LeftHanded: true}, {StringOneLow: true}, {LeftHanded: true, StringOneLow: true}} {
		o.Layout = sheet.Grips
		necks := 0
		d := lay(t, sheettest.EveryMark(t), o)
		for _, p := range d.Pages {
			var now *draw.Group
			var names []draw.Text
			board := draw.Rect{}
			seen := func() {
				if now == nil {
					return
				}
				necks++
				if len(names) < 6 {
					t.Fatalf("%+v: %d names of strings", o, len(names))
				}
				if left := names[0].X > (board.X0+board.X1)/2; left != o.LeftHanded {
					t.Errorf("%+v: strings are named at %.1f, their board goes from %.1f to %.1f", o, names[0].X, board.X0, board.X1)
				}
				if low := names[0].Y > names[5].Y; low != o.StringOneLow {
					t.Errorf("%+v: string 1 is named at %.1f, string 6 at %.1f", o, names[0].Y, names[5].Y)
				}
			}
			p.Walk(func(in []*draw.Group, it draw.Item) {
				if len(in) == 0 || in[len(in)-1].Class != "neck" {
					return
				}
				g := in[len(in)-1]
				if g != now {
					seen()
					now, names, board = g, nil, g.Bounds()
				}
				if x, ok := it.(draw.Text); ok && x.Ink == draw.Grey && x.Anchor != draw.Middle {
					names = append(names, x)
				}
			})
			seen()
		}
		if necks < 2 {
			t.Errorf("%+v: %d pictures of necks", o, necks)
		}
	}
	plain, left := lay(t, sheettest.EveryMark(t), sheet.Options{}), lay(t, sheettest.EveryMark(t), sheet.Options{LeftHanded: true})
	if a, b := string(draw.SVG(plain, 0)), string(draw.SVG(left, 0)); a != b {
		t.Error("a sheet without pictures of necks is another for a left-handed player")
	}
}
