package draw

import "fmt"

// Paper is a size of page.
type Paper string

// The papers.
const (
	A4     Paper = "a4"     // 210 × 297 mm, ISO 216
	Letter Paper = "letter" // 8.5 × 11 inches
	// Phone is 105 mm wide and as long as any music: one page to scroll on a
	// narrow screen. Who shows it cuts it off below the last system.
	Phone Paper = "phone"
	// Scroll is the same as wide as A4, for wide screens.
	Scroll Paper = "scroll"
)

// Size returns the paper's width and height in millimetres.
func (p Paper) Size() (w, h float64) {
	switch p {
	case Letter:
		return 215.9, 279.4
	case Phone:
		return 105, 20_000
	case Scroll:
		return 210, 20_000
	}
	return 210, 297
}

// Endless reports whether the paper is as long as any music.
func (p Paper) Endless() bool { return p == Phone || p == Scroll }

// The narrowest and widest margins, and the one that is usual, in millimetres.
const (
	minMargin, maxMargin = 8, 50
	usualMargin          = 15
)

// Frame checks a paper and a margin in millimetres; "" is A4 and 0 the usual
// margin of 15.
func Frame(p Paper, margin float64) (Paper, float64, error) {
	switch p {
	case "":
		p = A4
	case A4, Letter, Phone, Scroll:
	default:
		return p, margin, fmt.Errorf("unknown paper %q: it is a4 or letter", string(p))
	}
	if margin == 0 {
		margin = usualMargin
	}
	if !(margin >= minMargin && margin <= maxMargin) {
		return p, margin, fmt.Errorf("margin %g mm is not from %d to %d", margin, minMargin, maxMargin)
	}
	return p, margin, nil
}
