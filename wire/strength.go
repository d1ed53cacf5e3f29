package wire

import (
	"math"
	"sort"
)

// tensile is one step of a strength table: wire of a diameter (inches) breaks
// at no less than ksi thousand pounds to the square inch.
type tensile struct{ in, ksi float64 }

// musicWire is the minimum tensile strength of music wire to ASTM A228, as a
// wire supplier publishes it (interwiregroup.com, "tinned coated music wire",
// read 2026). Between rows the strength is interpolated in the logarithm of
// the diameter, along which the handbooks' fit S = A/d^m is straight.
var musicWire = []tensile{
	{0.004, 439}, {0.005, 426}, {0.006, 415}, {0.007, 407}, {0.008, 399}, {0.009, 393},
	{0.010, 387}, {0.011, 382}, {0.012, 377}, {0.013, 373}, {0.014, 369}, {0.015, 365},
	{0.016, 362}, {0.018, 356}, {0.020, 350}, {0.022, 345}, {0.024, 341}, {0.026, 337},
	{0.028, 333}, {0.030, 330}, {0.032, 327}, {0.034, 324}, {0.036, 321}, {0.038, 318},
	{0.040, 315}, {0.042, 313}, {0.045, 309}, {0.048, 306}, {0.051, 303}, {0.055, 300},
	{0.059, 296}, {0.063, 293}, {0.067, 290}, {0.072, 287}, {0.076, 284}, {0.080, 282},
	{0.085, 279}, {0.090, 276}, {0.095, 274}, {0.100, 271}, {0.125, 261},
}

// stainless is the minimum tensile strength of types 302 and 304 to ASTM A313,
// from the same supplier ("300 spring series", read 2026). Its rows are bands,
// each named here by its upper end, the weaker. The supplier's page prints 324
// at .013 in, between 316 and 312: a slip for 314, which stands here.
var stainless = []tensile{
	{0.009, 325}, {0.010, 320}, {0.011, 318}, {0.012, 316}, {0.013, 314}, {0.014, 312},
	{0.015, 310}, {0.016, 308}, {0.017, 306}, {0.018, 304}, {0.020, 300}, {0.022, 296},
	{0.024, 292}, {0.026, 291}, {0.028, 289}, {0.031, 285}, {0.034, 282}, {0.037, 280},
}

// ksi is a thousand pounds-force to the square inch in megapascals.
const ksi = float64(PoundForce) * 1000 / float64(Inch*Inch)

// TensileStrength returns the least tensile strength, in MPa, of wire of the
// given diameter: ASTM A313 for stainless steel, ASTM A228 for music wire and
// every other material (nickel plating is put on music wire; cores are music
// wire). Diameters beyond the table take its nearest row.
func TensileStrength(m Material, d MM) float64 {
	table := musicWire
	if m == Stainless {
		table = stainless
	}
	in := float64(d / Inch)
	// A gauge that went through millimetres must not slip into the next band.
	const slack = 1e-9
	i := sort.Search(len(table), func(i int) bool { return table[i].in >= in-slack })
	switch {
	case i == 0:
		return table[0].ksi * ksi
	case i == len(table):
		return table[i-1].ksi * ksi
	case m == Stainless:
		return table[i].ksi * ksi
	}
	a, b := table[i-1], table[i]
	t := math.Log(in/a.in) / math.Log(b.in/a.in)
	return (a.ksi + t*(b.ksi-a.ksi)) * ksi
}

// BreakingLoad returns the least pull at which the string breaks: the minimum
// tensile strength of what carries the pull times its own area. Wire is made
// up to 15 % stronger than its standard's minimum; knots, kinks and rust take
// strength away. The string must pass Check.
func (s String) BreakingLoad() Newtons {
	m := s.Material
	if s.Wound {
		m = MusicWire
	}
	return Newtons(TensileStrength(m, s.roundCore()) * s.CoreArea())
}

// coreSpread is the relative uncertainty of a wound string's core diameter:
// makers publish it seldom, and draw hexagonal wire to a thousandth of an inch
// or so (from memory). The core's area, and so the breaking load, has twice it.
const coreSpread = 0.05

// BreakSpread returns the relative uncertainty of a string's pull as a share of
// its breaking load: that of its mass with that of its core's area, which are
// independent.
func (s String) BreakSpread() float64 {
	area := 0.0
	if s.Wound {
		area = 2 * coreSpread
	}
	return math.Hypot(s.MassSpread(), area)
}

// The shares of breaking load from which a string is at risk: at the first it
// is to be watched, from the second breakage is to be expected.
const (
	CautionShare = 0.60
	BreakShare   = 0.80
)
