package system

import (
	"lapwright/sheet/draw"
	"lapwright/sheet/ink"
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
	"lapwright/sheet/staff"
	"lapwright/sheet/tabstaff"
)

// Drawn is a system as it is drawn.
type Drawn struct {
	*spacing.System
	Root        *draw.Group
	Top, Bottom float64 // extent of the ink, and of the lines
	// High and Low are the highest and lowest line of staff or tablature.
	High, Low float64
}

// painter draws a system: what stands over, between and under its staves, and
// their frame.
type painter struct {
	*spacing.System
	c   *ink.Canvas
	tab *tabstaff.Painter // nil without a tablature
}

// Draw puts a whole system on a canvas of its own.
func Draw(sys *spacing.System) *Drawn {
	sy := &painter{System: sys, c: ink.New()}
	s := sy.Score
	below := 4.0
	if s.Style.Staff {
		staff.Draw(sys, sy.c)
	} else {
		sys.SetStems()
		below = 0
	}
	below = sy.drawLyrics(below)
	if s.Style.Staff {
		sy.drawTextsBelow()
	}
	if s.Style.Tab {
		sy.tab = tabstaff.New(sys, sy.c)
		sy.setTabTop(below)
		sy.tab.Draw()
	}
	sy.drawAbove()
	sy.drawFrame()
	b := sy.c.Bounds()
	high := 0.0
	if !s.Style.Staff {
		high = sy.tab.Top
	}
	return &Drawn{System: sys, Root: &sy.c.Root, Top: min(b.Y0, 0), Bottom: max(b.Y1, sy.lowestLine()), High: high, Low: sy.lowestLine()}
}

// lowestLine is the lowest line of staff or tablature.
func (sy *painter) lowestLine() float64 {
	if sy.Score.Style.Tab {
		return sy.tab.Bottom()
	}
	return 4
}

// setTabTop puts the tablature under everything that hangs from the staff, or under the
// words where there is no staff.
func (sy *painter) setTabTop(below float64) {
	s := sy.Score
	// Room for what stands on the upper line: half a number, and vibrato,
	// hammers and marks where there are any.
	room := s.Style.Number*0.5 + 0.9
	if sy.tab.MarksOver() {
		room += 1.7
	}
	if !s.Style.Staff {
		if below != 0 {
			sy.tab.Top = below + room
		}
		return
	}
	lowest := below
	for _, b := range sy.c.Boxes {
		lowest = max(lowest, b.Y1)
	}
	sy.tab.Top = max(7.4, lowest+room) // at least 3.4 under the staff
}

// drawFrame draws staff lines, strings and barlines behind everything else.
func (sy *painter) drawFrame() {
	s := sy.Score
	e := draw.Engraving
	frame := &draw.Group{Class: "frame"}
	right := sy.Inked
	if s.Style.Staff {
		for i := range 5 {
			frame.Items = append(frame.Items, draw.Rule{X1: 0, Y1: float64(i), X2: right, Y2: float64(i), Width: e.StaffLine})
		}
	}
	if s.Style.Tab {
		frame.Items = append(frame.Items, sy.tab.StringLines(right)...)
	}
	if s.Style.Staff && s.Style.Tab {
		frame.Items = append(frame.Items, draw.Rule{X1: score.SystemLine, Y1: -e.StaffLine / 2, X2: score.SystemLine, Y2: sy.tab.Bottom() + e.StaffLine/2, Width: e.ThinBarline})
	}
	if s.Style.Staff {
		frame.Items = append(frame.Items, sy.barlines(0, 4, 0.5)...)
	}
	if s.Style.Tab {
		gap := s.Style.TabGap
		if len(s.Tab.Rig.Strings)%2 == 1 {
			gap /= 2 // the middle is a string: dots in the spaces beside it
		}
		frame.Items = append(frame.Items, sy.barlines(sy.tab.Top, sy.tab.Bottom(), gap)...)
	}
	sy.c.Root.Items = append([]draw.Item{frame}, sy.c.Root.Items...)
}

// barlines draws the line's barlines over one staff, with repeat dots the
// given distance above and below its middle.
func (sy *painter) barlines(top, bottom, gap float64) []draw.Item {
	var out []draw.Item
	over := draw.Engraving.StaffLine / 2
	for _, b := range sy.Blocks {
		for _, l := range b.Lines {
			x := b.X + l.X + l.Width/2
			ln := draw.Rule{X1: x, Y1: top - over, X2: x, Y2: bottom + over, Width: l.Width}
			if l.Dashed {
				ln.Dash = 0.5
			}
			out = append(out, ln)
		}
		for _, d := range b.Dots {
			for _, dy := range [2]float64{-gap, gap} {
				out = append(out, draw.Glyph{Symbol: draw.RepeatDot, X: b.X + d, Y: (top+bottom)/2 + dy, Space: 1})
			}
		}
	}
	return out
}
