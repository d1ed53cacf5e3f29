package tune

import "lapwright/pitch"

// Ticks is a stretch of musical time, exact.
type Ticks int64

// Whole is one whole note in ticks: 2^10·3^3·5^2·7·11·13·17. It holds 1/1024
// notes, three-deep triplets, two-deep quintuplets and tuplets of 7, 11, 13 and
// 17 exactly; int64 then holds some 780 million whole notes.
const Whole Ticks = 1024 * 27 * 25 * 7 * 11 * 13 * 17

// MaxWholes bounds the length of a piece in whole notes; readers refuse more.
const MaxWholes = 1_000_000

// Of returns num/den of a whole note, or false when that is no whole number of
// ticks, when den is not positive or when it is longer than MaxWholes.
func Of(num, den int64) (Ticks, bool) {
	if den <= 0 {
		return 0, false
	}
	f := pitch.NewFraction(num, den)
	if int64(Whole)%f.Den != 0 || pitch.Abs(f.Num)/f.Den >= MaxWholes {
		return 0, false
	}
	return Ticks(f.Num * (int64(Whole) / f.Den)), true
}

// Fraction returns t in lowest terms as a fraction of a whole note.
func (t Ticks) Fraction() (num, den int64) {
	f := pitch.NewFraction(int64(t), int64(Whole))
	return f.Num, f.Den
}

// String returns the fraction of a whole note as text: "3/8", "2", "0".
func (t Ticks) String() string {
	num, den := t.Fraction()
	return pitch.Fraction{Num: num, Den: den}.String()
}
