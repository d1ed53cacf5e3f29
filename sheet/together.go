package sheet

import (
	"fmt"

	"lapwright/sheet/draw"
	"lapwright/sheet/score"
	"lapwright/sheet/system"
	"lapwright/tab"
	"lapwright/tune"
)

// Part is one instrument of a sheet: a tab, or a tune alone.
type Part struct {
	Tab  *tab.Tab   // nil for Tune alone
	Tune *tune.Tune // counts where Tab is nil
	Name string     // what it is called beside the others
}

func (p *Part) tune() *tune.Tune {
	if p.Tab != nil {
		return p.Tab.Tune
	}
	return p.Tune
}

// LayTogether sets several instruments in one score, one under the other, bar by bar.
// All must have the same bars, as long, in the same keys and meters. Words under the
// notes stay with the first, and so does what stands over the music: tempos, signs,
// endings, words. Of chord symbols those of another part stand over it too where they
// are others.
func LayTogether(parts []Part, o Options) (*draw.Drawing, Breaks, error) {
	if len(parts) == 0 {
		return nil, Breaks{}, fmt.Errorf("a sheet needs a part")
	}
	for i := range parts {
		if parts[i].tune() == nil || parts[i].Tab != nil && parts[i].Tab.Rig == nil {
			return nil, Breaks{}, fmt.Errorf("a sheet needs a tab with its tune and rig, or a tune")
		}
		if err := alike(parts[0].tune(), parts[i].tune()); err != nil {
			return nil, Breaks{}, fmt.Errorf("%s and %s: %w", parts[0].Name, parts[i].Name, err)
		}
	}
	return lay(parts, o)
}

// alike says why two tunes can't stand under one another.
func alike(a, b *tune.Tune) error {
	if len(a.Bars) != len(b.Bars) {
		return fmt.Errorf("one has %d bars and the other %d", len(a.Bars), len(b.Bars))
	}
	for i := range a.Bars {
		x, y := &a.Bars[i], &b.Bars[i]
		switch {
		case x.Len != y.Len:
			return fmt.Errorf("bar %d is %s long in one and %s in the other", x.Number, x.Len, y.Len)
		case !x.Meter.Equal(y.Meter):
			return fmt.Errorf("bar %d has different meters", x.Number)
		case x.Key.Signature != y.Key.Signature:
			return fmt.Errorf("bar %d is in %s in one and in %s in the other", x.Number, x.Key, y.Key)
		}
	}
	return nil
}

// staves returns the parts as they are drawn: those under the first without what
// stands over the first for all.
func staves(parts []Part) []Part {
	out := []Part{parts[0]}
	for _, p := range parts[1:] {
		t := p.tune().Clone()
		for i := range t.Bars {
			b := &t.Bars[i]
			if sameChords(b, &parts[0].tune().Bars[i]) {
				b.Chords = nil
			}
			b.Number, b.Part, b.Texts, b.Tempos, b.Signs, b.Endings, b.EndingEnds = 1, "", nil, nil, nil, nil, false
			for _, line := range b.Lines {
				for k := range line {
					line[k].Lyrics = nil
				}
			}
		}
		if first := out[0].tune(); first.Swing.Even() && !t.Swing.Even() {
			// All play by one clock, and what stands over the first says how it goes.
			whole := *first
			whole.Swing = t.Swing
			out[0] = out[0].with(&whole)
		}
		t.Swing = tune.Swing{}
		out = append(out, p.with(t))
	}
	return out
}

// with returns a part with another tune of the same notes.
func (p Part) with(t *tune.Tune) Part {
	if p.Tab == nil {
		p.Tune = t
		return p
	}
	shown := *p.Tab
	shown.Tune, shown.Performed = t, nil
	p.Tab = &shown
	return p
}

func sameChords(a, b *tune.Bar) bool {
	if len(a.Chords) != len(b.Chords) {
		return false
	}
	for i := range a.Chords {
		if a.Chords[i].At != b.Chords[i].At || a.Chords[i].Text != b.Chords[i].Text {
			return false
		}
	}
	return true
}

// Space between parts in staff spaces.
const (
	partGap  = 1.6 // from the ink of one to what belongs to the next
	nameRoom = 0.5 // from a part's ink to its name over it
	nameLeft = 0.5 // from the line at the left to the name
)

// joined puts the systems of a line under one another, each with its name over it, and joins
// them by a line at their left.
func (p *pager) joined(line []*system.Drawn) *system.Drawn {
	if len(line) == 1 {
		return line[0]
	}
	em := p.s.Style.Small
	root := &draw.Group{Class: "together"}
	out := &system.Drawn{System: line[0].System, Root: root, High: line[0].High}
	at := 0.0 // where the top line of the part stands
	for i, sy := range line {
		up, down := draw.SerifItalic.Ink(p.parts[i].Name)
		if i > 0 {
			at = out.Bottom + partGap + (up+down)*em + nameRoom - sy.Top
		}
		name := draw.Text{S: p.parts[i].Name, Font: draw.SerifItalic, Size: em, X: nameLeft, Y: at + sy.Top - nameRoom - down*em}
		root.Items = append(root.Items, &draw.Group{Class: "part-name", Items: []draw.Item{name}})
		root.Items = append(root.Items, draw.Placed(sy.Root, 1, 0, at))
		if i == 0 {
			out.Top = sy.Top - nameRoom - (up+down)*em
		}
		out.Bottom, out.Low = at+sy.Bottom, at+sy.Low
	}
	w := draw.Engraving.ThinBarline
	edge := draw.Engraving.StaffLine / 2
	root.Items = append(root.Items, &draw.Group{Class: "system-line", Items: []draw.Item{
		draw.Rule{X1: score.SystemLine, Y1: out.High - edge, X2: score.SystemLine, Y2: out.Low + edge, Width: w}}})
	return out
}
