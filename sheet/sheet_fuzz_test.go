package sheet_test

import (
	"testing"

	"lapwright/notation/abc"
	"lapwright/say"
	"lapwright/sheet"
	"lapwright/sheet/draw"
)

// FuzzLay reads whatever ABC makes of the input and lays it out: no panic, no
// symbol that the font lacks, every system inside its page, and words for it.
func FuzzLay(f *testing.F) {
	for _, s := range []string{
		"X:1\nT:Tide\nM:3/4\nL:1/4\nK:C\n\"C\"c2 e|\"F\"f2 e|d2 B|c3|]\n",
		"X:1\nM:6/8\nL:1/8\nQ:\"Gently\" 3/8=60\nK:Bb\nP:A\n|:B2d fdB|(3abc' {g}f>e d<c [1 e3- edc:|[2 [Ace]2[AB]2 z2!fermata!|]\nw: one two~three four-five _ *\n",
		"X:1\nM:4/4\nL:1/16\nK:Am\nV:1\nABcd efga b2c'2 d'4|z16|z16|z16|\nV:2\nA8 z8|C16|[CE]4 [_A^B]4 x8|z16|\n",
		"X:1\nM:none\nL:1/8\nK:none\nabc^d_e=f'' (5ABcde (7abcdefg !segno!c !D.C.!d\n",
		"X:1\nM:2+2+3/8\nK:C#\nA//B//c/2 d12|y Z4|\n",
		"X:1\nM:2/4\nL:1/8\nK:C\n(3zzz z2|(3zzz z2|z4|\n", // tuplets in bars that a long rest swallows
		"X:1\nL:1/64\nM:4/4\nK:C\n" + "abcdefgab" + "cdefgabcdefgabcdefgabcdefgabcdefgabcdefgabcdefgabcdef|\n",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		if len(src) > 4000 {
			return
		}
		tunes, _, err := abc.Read(src, "fuzz.abc")
		if err != nil {
			return
		}
		for _, tn := range tunes[:min(len(tunes), 2)] {
			d, err := sheet.LayTune(tn, sheet.Options{})
			if err != nil {
				if len(tn.Bars) > 0 {
					t.Fatalf("a tune that reads does not lay out: %v", err)
				}
				continue
			}
			if len(d.Lacking()) > 0 || len(d.Pages) == 0 {
				t.Fatal("symbols are lacking, or there are no pages")
			}
			for i, p := range d.Pages {
				p.Walk(func(_ []*draw.Group, it draw.Item) {
					b := it.Bounds()
					if !(b.X0 > -1 && b.X1 < p.W+1) { // NaN is caught too
						t.Fatalf("page %d: %T reaches from %g to %g mm", i+1, it, b.X0, b.X1)
					}
				})
				draw.SVG(d, i)
			}
			if say.TellTune(tn) == "" {
				t.Fatal("nothing told")
			}
		}
	})
}
