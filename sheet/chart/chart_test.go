package chart

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/notation/abc"
	"lapwright/pitch"
	"lapwright/sheet/draw"
	"lapwright/tune"
)

func rests(n int, chord string) *tune.Tune {
	var b strings.Builder
	b.WriteString("X:1\nT:Long one\nM:4/4\nL:1/4\nK:Bb\n")
	for range n {
		fmt.Fprintf(&b, "\"%s\"z2\"F7\"z2|", chord)
	}
	ts, _, err := abc.Read([]byte(b.String()+"\n"), "t.abc")
	if err != nil {
		panic(err)
	}
	return ts[0]
}

// Whatever the length, it is one page, nothing leaves the paper, no two names overlap,
// and the numbers stand beside the names when they are asked for.
func TestOnePage(t *testing.T) {
	for _, n := range []int{1, 4, 33, 48, 49, 160} {
		for _, chord := range []string{"Bb", "Gm7b5/Db"} {
			d := Lay(rests(n, chord), Options{Numbers: true, Feel: "swing"})
			if len(d.Pages) != 1 {
				t.Fatalf("%d bars take %d pages", n, len(d.Pages))
			}
			var names []draw.Rect
			numbers := 0
			d.Pages[0].Walk(func(_ []*draw.Group, it draw.Item) {
				r := it.Bounds()
				if r.X0 < margin-1 || r.X1 > d.Pages[0].W-margin+1 || r.Y1 > d.Pages[0].H-margin+rowGap || r.Y0 < 0 {
					t.Errorf("%d bars of %s: %v leaves the page at %v", n, chord, it, r)
				}
				x, ok := it.(draw.Text)
				if !ok || x.Font != draw.SansBold {
					if ok && x.S == "57" {
						numbers++
					}
					return
				}
				for _, o := range names {
					if r.Overlaps(o) {
						t.Fatalf("%d bars of %s: two names overlap at %v and %v", n, chord, r, o)
					}
				}
				names = append(names, r)
			})
			if len(names) != 2*n || numbers != n {
				t.Errorf("%d bars have %d names and %d numbers of F7", n, len(names), numbers)
			}
		}
	}
}

func TestNumberOf(t *testing.T) {
	c, _ := pitch.ParseChord("Db/F")
	k, _ := pitch.ParseKey("Bb")
	if got := numberOf(c, k); got != "♭3/5" {
		t.Errorf("Db/F in B flat is %s", got)
	}
}
