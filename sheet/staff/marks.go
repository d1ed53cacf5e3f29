package staff

import (
	"math"

	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/sign"
	"lapwright/tune"
)

// drawMarks sets articulations by the heads and ornaments above the staff.
func (sy *painter) drawMarks() {
	for _, n := range sy.NotesHere() {
		if n.Grace >= 0 || n.Hidden {
			continue
		}
		for _, k := range n.Event.Marks {
			if k == tune.Arpeggio {
				continue
			}
			sy.c.Begin("mark")
			sy.drawMark(n, k)
			sy.c.End()
		}
	}
}

// nearMarks stand by the head, on the side away from the stem.
var nearMarks = map[tune.Mark][2]draw.Symbol{
	tune.Staccato:     {draw.ArticStaccatoAbove, draw.ArticStaccatoBelow},
	tune.Tenuto:       {draw.ArticTenutoAbove, draw.ArticTenutoBelow},
	tune.Accent:       {draw.ArticAccentAbove, draw.ArticAccentBelow},
	tune.StrongAccent: {draw.ArticMarcatoAbove, draw.ArticMarcatoAbove},
}

var overMarks = map[tune.Mark]draw.Symbol{
	tune.Fermata:         draw.FermataAbove,
	tune.Trill:           draw.OrnamentTrill,
	tune.Turn:            draw.OrnamentTurn,
	tune.Mordent:         draw.OrnamentMordent,
	tune.InvertedMordent: draw.OrnamentShortTrill,
	tune.UpBow:           draw.StringsUpBow,
	tune.DownBow:         draw.StringsDownBow,
	tune.Roll:            draw.OrnamentTurn,
	tune.Breath:          draw.BreathMarkComma,
	tune.Swell:           draw.CrescendoHairpin,
}

// Over returns the sign of a mark as it stands over the music, and whether it has one.
func Over(k tune.Mark) (draw.Symbol, bool) {
	if pair, ok := nearMarks[k]; ok {
		return pair[0], true
	}
	sym, ok := overMarks[k]
	return sym, ok
}

func (sy *painter) drawMark(n *score.Note, k tune.Mark) {
	c := sy.c
	mid := n.Node.X + n.DX + score.HeadWidth/2
	if n.Rest {
		mid = n.Node.X + n.DX + sign.Rest(n.Value).Advance()/2
		if sp := sy.SpanOf(n.Measure); n.Value.BarRest && len(sp) > 0 {
			mid = (sp[0].X0 + sp[len(sp)-1].X1) / 2
		}
	}
	if pair, ok := nearMarks[k]; ok && !n.Rest && k != tune.StrongAccent {
		above := !n.Up
		if !n.Stemmed() {
			above = n.Top().Place >= 0
		}
		if n.Many {
			above = n.Up
		}
		sym := pair[1]
		if above {
			sym = pair[0]
		}
		w := sym.Box().X1
		x := mid - w/2
		height := sym.Box().Y1 - sym.Box().Y0
		if above {
			at := c.TopOver(mid-0.6, mid+0.6, score.Y(n.Top().Place)) - 0.3
			if k != tune.Accent && !n.Many {
				at = spaceFor(at, height, -1)
			} else {
				at = min(at, -0.3)
			}
			c.Glyph(sym, x, at, 1)
			return
		}
		at := c.BottomUnder(mid-0.6, mid+0.6, score.Y(n.Bottom().Place), math.Inf(1)) + 0.3
		if k != tune.Accent && !n.Many {
			at = spaceFor(at, height, 1)
		} else {
			at = max(at, 4.3)
		}
		c.Glyph(sym, x, at, 1)
		return
	}
	sym, ok := Over(k)
	if !ok {
		return
	}
	b := sym.Box()
	x := mid - (b.X0+b.X1)/2
	if k == tune.Breath {
		x = n.Node.X + n.DX + score.HeadWidth + 0.6
		for i, nd := range sy.Nodes {
			if nd == n.Node && i+1 < len(sy.Nodes) && sy.Nodes[i+1].Measure == nd.Measure {
				x = sy.Nodes[i+1].X - 1
			}
		}
	}
	if k == tune.Fermata && n.Many && !n.Up {
		c.Glyph(draw.FermataBelow, x, c.BottomUnder(x, x+b.X1, 4.1, math.Inf(1))+0.35-draw.FermataBelow.Box().Y0, 1)
		return
	}
	at := c.TopOver(x+b.X0, x+b.X1, -0.1) - 0.35 - b.Y1
	c.Glyph(sym, x, at, 1)
}

// spaceFor moves a small mark that would lie on a staff line into the middle of
// the next space outwards. at is the mark's edge nearest the head.
func spaceFor(at, height, sign float64) float64 {
	mid := at + sign*height/2
	if mid < -0.4 || mid > 4.4 {
		return at
	}
	// Spaces have their middles at 0.5, 1.5, …
	c := math.Floor(mid) + 0.5
	if sign < 0 {
		if c > mid {
			c--
		}
	} else if c < mid {
		c++
	}
	return c - sign*height/2
}
