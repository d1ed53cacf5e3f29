package sheet

import (
	"lapwright/sheet/score"
	"lapwright/sheet/spacing"
)

// Layout is which parts a sheet has and how large.
type Layout = score.Layout

// The layouts.
const (
	Full       = score.Full       // staff over tablature
	LeadSheet  = score.LeadSheet  // staff, chord symbols and words
	TabOnly    = score.TabOnly    // tablature with its rhythm under it
	LargePrint = score.LargePrint // staff over tablature, nothing under 18 points
	Grips      = score.Grips      // staff over tablature, with a neck picture of each grip
)

// Layouts lists the layouts.
func Layouts() []Layout { return score.Layouts() }

// Options are what a user may choose. The zero value is a full layout on A4.
type Options = score.Options

// Remark is a teacher's words at a bar.
type Remark = score.Remark

// Breaks says how the lines of a piece were broken.
type Breaks = spacing.Breaks

// LineFill is one line of the piece.
type LineFill = spacing.LineFill

// Line is one line of music as a lane is to lie over it.
type Line = score.Line

// LaneDrawn is a lane over a line of music.
type LaneDrawn = score.LaneDrawn
