// Package score makes a tune, and the tab that plays it, ready to be engraved: what
// stands at each instant of each bar, with its stems, beams and accidentals, and how
// far it reaches to either side. It knows no lines and no pages.
//
// Lengths are staff spaces, x to the right and y down from the staff's top line; a
// vertical place on the staff counts half spaces upwards from the middle line.
//
// Entry points: New, Options.
package score
