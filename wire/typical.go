package wire

import (
	"cmp"
	"sort"

	"lapwright/inorder"
)

// Thou is a thousandth of an inch, in which gauges are sold.
const Thou = Inch / 1000

// typicalCores are the core ratios of hexagonal-cored wound strings by gauge in
// inches: common practice, no source, chosen once; the reference test holds
// the masses that follow from them against a maker's published ones.
var typicalCores = []struct{ in, ratio float64 }{
	{0.020, 0.56}, {0.026, 0.54}, {0.030, 0.51}, {0.036, 0.45}, {0.046, 0.37}, {0.052, 0.35}, {0.056, 0.35}, {0.070, 0.33}, {0.080, 0.31},
}

// TypicalCoreRatio returns the core ratio to take for a wound string of which
// nothing is known but its gauge. Beyond the table its ends hold.
func TypicalCoreRatio(d MM) float64 {
	in := float64(d / Inch)
	i := sort.Search(len(typicalCores), func(i int) bool { return typicalCores[i].in >= in })
	switch i {
	case 0:
		return typicalCores[0].ratio
	case len(typicalCores):
		return typicalCores[i-1].ratio
	}
	a, b := typicalCores[i-1], typicalCores[i]
	return a.ratio + (b.ratio-a.ratio)*(in-a.in)/(b.in-a.in)
}

// Plain returns a plain string of music wire.
func Plain(d MM) String { return String{Diameter: d, Material: MusicWire} }

// Wound returns a wound string of the given wrap over a hexagonal core of the
// typical ratio.
func Wound(d MM, wrap Material) String {
	return String{Diameter: d, Wound: true, Material: wrap, CoreRatio: TypicalCoreRatio(d), Core: HexCore}
}

// soldPlain and soldWound are the gauges commonly sold as single strings, in
// thousandths of an inch (common practice, no source).
var (
	soldPlain = []float64{8, 8.5, 9, 9.5, 10, 10.5, 11, 11.5, 12, 13, 13.5, 14, 15, 16, 17, 18, 19, 20, 22, 24}
	soldWound = []float64{20, 21, 22, 24, 26, 28, 30, 32, 34, 36, 38, 39, 42, 44, 46, 48, 49, 52, 54, 56, 59, 60, 62, 64, 66, 68, 70, 72, 74, 80}
)

// Sold returns the strings commonly sold singly, lightest first: plain ones of
// music wire and wound ones of the given wrap.
func Sold(wrap Material) []String {
	var out []String
	for _, g := range soldPlain {
		out = append(out, Plain(MM(g)*Thou))
	}
	for _, g := range soldWound {
		out = append(out, Wound(MM(g)*Thou, wrap))
	}
	inorder.Stable(out, func(a, b String) int { return cmp.Compare(a.MassPerLength(), b.MassPerLength()) })
	return out
}
