package score

import (
	"fmt"

	"lapwright/sheet/draw"
	"lapwright/tune"
)

// Layout is which parts a sheet has and how large.
type Layout string

// The layouts.
const (
	Full       Layout = "full"        // staff over tablature
	LeadSheet  Layout = "lead-sheet"  // staff, chord symbols and words
	TabOnly    Layout = "tab-only"    // tablature with its rhythm under it
	LargePrint Layout = "large-print" // staff over tablature, nothing under 18 points
	Grips      Layout = "grips"       // staff over tablature, with a neck picture of each grip
)

// Layouts lists the layouts.
func Layouts() []Layout { return []Layout{Full, LeadSheet, TabOnly, LargePrint, Grips} }

// Options are what a user may choose. The zero value is a full layout on A4.
type Options struct {
	Paper  draw.Paper
	Layout Layout
	Margin float64 // millimetres on all four sides, 8 to 50; 0 is 15
	Top    float64 // millimetres of the first page below its margin that are left to something else, 0 to half the page
	Scale  float64 // size of the music, 0.5 to 2.5; 0 is 1
	// NoFingers leaves the picking fingers out, NoLean the angle beside a
	// slanted grip.
	NoFingers, NoLean bool
	NameLine          bool   // a line for the student's name
	Rhythm            bool   // stems and beams under the tablature (always in tab-only)
	Header            string // printed small above the title, such as the class's name
	FirstPage         int    // number of the first page; 0 is 1
	Remarks           []Remark
	// NoProvenance leaves out who wrote a tune down, its group and its history.
	NoProvenance bool
	// StringOneLow draws string 1 as the lowest line of the tablature, and at the
	// bottom of necks.
	StringOneLow bool
	// LeftHanded draws the pictures of necks with the nut to the right.
	LeftHanded bool
	// EveryBar draws each silent bar, where others are taken together as one rest of
	// many bars.
	EveryBar bool
	Language string // BCP 47 tag of the words; "" is "en"
	// Lane draws something of the caller's own over each line of music, such as what
	// a player did; nil draws nothing.
	Lane func(Line) LaneDrawn
}

// Line is one line of music as a lane is to lie over it. Lengths are millimetres.
type Line struct {
	Left, Right float64 // where its bars begin and end, from its left end
	Bars        []int   // the bars in it, indexes into Tune.Bars
	// X returns where a time of a bar stands, from the line's left end, and whether
	// that time stands in this line.
	X     func(barIndex int, at tune.Ticks) (float64, bool)
	Space float64 // to a staff space
}

// LaneDrawn is a lane: its items, from 0, 0 at the line's left end and the lane's top.
type LaneDrawn struct {
	Items  []draw.Item
	Height float64
}

// Remark is a teacher's words, in a box before the system with the given bar, or
// after the music when there is no such bar.
type Remark struct {
	BarIndex int // index into Tune.Bars
	Text     string
}

// Filled returns options with what was left out, or what is wrong with them.
func (o Options) Filled() (Options, error) {
	var err error
	if o.Paper, o.Margin, err = draw.Frame(o.Paper, o.Margin); err != nil {
		return o, err
	}
	if o.Layout == "" {
		o.Layout = Full
	}
	if _, h := o.Paper.Size(); !(o.Top >= 0 && o.Top <= h/2) {
		return o, fmt.Errorf("%g mm can't be left free above the sheet", o.Top)
	}
	known := false
	for _, l := range Layouts() {
		known = known || l == o.Layout
	}
	if !known {
		return o, fmt.Errorf("unknown layout %q", o.Layout)
	}
	if o.Scale == 0 {
		o.Scale = 1
	}
	if !(o.Scale >= 0.5 && o.Scale <= 2.5) {
		return o, fmt.Errorf("scale %g is not from 0.5 to 2.5", o.Scale)
	}
	if o.FirstPage == 0 {
		o.FirstPage = 1
	}
	return o, nil
}

// Style holds the measures that differ between layouts. Lengths are in staff
// spaces unless the name says otherwise.
type Style struct {
	Space  float64 // millimetres to a staff space
	Staff  bool    // the staff is drawn
	Tab    bool    // the tablature is drawn
	Rhythm bool    // stems under the tablature
	Grips  bool    // neck pictures of the grips

	TabGap  float64 // between two lines of the tablature
	Number  float64 // em of the tab numbers
	Letter  float64 // em of picking fingers, bender letters and leans
	Chord   float64 // em of chord symbols
	Words   float64 // em of directions
	Lyric   float64
	Small   float64 // em of bar numbers and footers
	TitleMM float64 // em of the title in millimetres
	TextMM  float64 // em of plain words in millimetres
	loose   float64 // how much wider than usual notes stand
}

func styleOf(o Options, strings int) Style {
	s := Style{
		Space: 1.65, Staff: true, Tab: strings > 0,
		TabGap: 1.5, Number: 1.75, Letter: 1.3, Chord: 2.35, Words: 2.0, Lyric: 2.0, Small: 1.55,
		TitleMM: 20 * draw.PointMM, TextMM: 10 * draw.PointMM, loose: 1.25,
	}
	if strings > 8 {
		s.TabGap = 1.4
	}
	switch o.Layout {
	case LeadSheet:
		s.Tab = false
		s.Space = 1.8
		s.loose = 1.5
	case TabOnly:
		s.Staff = strings == 0
		s.Rhythm = strings > 0
	case Grips:
		s.Grips = strings > 0
	case LargePrint:
		// 18 points at the least, whatever the size of the staff.
		const least = 18 * draw.PointMM
		s.Space = 2.75
		k := least / s.Space
		s.TabGap, s.Number, s.Letter = 2.05, k, k
		s.Chord, s.Words, s.Lyric, s.Small = k*1.15, k, k, k
		s.TitleMM, s.TextMM = 30*draw.PointMM, least
	}
	s.Rhythm = s.Rhythm || (o.Rhythm && s.Tab)
	if o.Layout != LargePrint || o.Scale > 1 {
		s.Space *= o.Scale
	}
	return s
}
