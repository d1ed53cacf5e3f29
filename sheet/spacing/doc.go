// Package spacing sets a score out in lines: it breaks it into systems over the whole
// piece at once, and spreads each by springs and rods, so that everything has its
// place across. It draws nothing.
//
// Lengths are staff spaces from the line's left edge.
//
// Entry points: Set for a score; BreakLines for anything that is broken at least cost.
package spacing
