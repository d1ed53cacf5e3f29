package sheet

import (
	"fmt"

	"lapwright/sheet/draw"
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
	Scale  float64 // size of the music, 0.5 to 2.5; 0 is 1
	// NoFingers leaves the picking fingers out, NoLean the angle beside a
	// slanted grip.
	NoFingers, NoLean bool
	NameLine          bool   // a line for the student's name
	Rhythm            bool   // stems and beams under the tablature (always in tab-only)
	Header            string // printed small above the title, such as the class's name
	FirstPage         int    // number of the first page; 0 is 1
	Remarks           []Remark
	Language          string // BCP 47 tag of the words; "" is "en"
}

// Remark is a teacher's words, in a box before the system with the given bar, or
// after the music when there is no such bar.
type Remark struct {
	Bar  int // index into Tune.Bars
	Text string
}

func (o Options) filled() (Options, error) {
	var err error
	if o.Paper, o.Margin, err = draw.Frame(o.Paper, o.Margin); err != nil {
		return o, err
	}
	if o.Layout == "" {
		o.Layout = Full
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

// style holds the measures that differ between layouts. Lengths are in staff
// spaces unless the name says otherwise.
type style struct {
	space  float64 // millimetres to a staff space
	staff  bool    // the staff is drawn
	tab    bool    // the tablature is drawn
	rhythm bool    // stems under the tablature
	grips  bool    // neck pictures of the grips

	tabGap  float64 // between two lines of the tablature
	number  float64 // em of the tab numbers
	letter  float64 // em of picking fingers, bender letters and leans
	chord   float64 // em of chord symbols
	words   float64 // em of directions
	lyric   float64
	small   float64 // em of bar numbers and footers
	titleMM float64 // em of the title in millimetres
	textMM  float64 // em of plain words in millimetres
	loose   float64 // how much wider than usual notes stand
}

func styleOf(o Options, strings int) style {
	s := style{
		space: 1.65, staff: true, tab: strings > 0,
		tabGap: 1.5, number: 1.75, letter: 1.3, chord: 2.35, words: 2.0, lyric: 2.0, small: 1.55,
		titleMM: 20 * draw.PointMM, textMM: 10 * draw.PointMM, loose: 1.25,
	}
	if strings > 8 {
		s.tabGap = 1.4
	}
	switch o.Layout {
	case LeadSheet:
		s.tab = false
		s.space = 1.8
		s.loose = 1.5
	case TabOnly:
		s.staff = strings == 0
		s.rhythm = strings > 0
	case Grips:
		s.grips = strings > 0
	case LargePrint:
		// 18 points at the least, whatever the size of the staff.
		const least = 18 * draw.PointMM
		s.space = 2.75
		k := least / s.space
		s.tabGap, s.number, s.letter = 2.05, k, k
		s.chord, s.words, s.lyric, s.small = k*1.15, k, k, k
		s.titleMM, s.textMM = 30*draw.PointMM, least
	}
	s.rhythm = s.rhythm || (o.Rhythm && s.tab)
	if o.Layout != LargePrint || o.Scale > 1 {
		s.space *= o.Scale
	}
	return s
}
