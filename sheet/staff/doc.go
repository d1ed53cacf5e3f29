// Package staff draws the staff of a system: clefs, keys and times, heads, stems,
// beams, rests, ties, slurs, tuplets and marks. Lines and barlines belong to the
// system.
//
// Entry points: Draw; DrawMeter and TupletMark for who has no staff.
package staff
