package wire

import (
	"fmt"
	"math"
	"slices"
)

// Bounds of what is taken for a string of an instrument. They keep slips of
// the pen (0.16 in for 0.016 in) from being computed with.
const (
	MinGauge      MM = 0.127 // 0.005 in, below any string sold for these instruments
	MaxGauge      MM = 2.794 // 0.110 in, beyond bass strings of this scale
	MaxPlainGauge MM = 0.9   // 0.035 in; plain wire thicker than this is not sold as a string

	// MinCoreRatio and MaxCoreRatio bound the core ratio.
	MinCoreRatio = 0.15
	MaxCoreRatio = 0.85
)

// Field names the part of a String that is wrong.
type Field string

// The parts of a String.
const (
	DiameterField  Field = "gauge"
	MaterialField  Field = "material"
	CoreRatioField Field = "core ratio"
	CoreField      Field = "core"
	MeasuredField  Field = "mass per length"
)

// Bad is one thing wrong with a String.
type Bad struct {
	Field Field
	Msg   string // lower case, no full stop, the bad value quoted
}

func (b *Bad) Error() string { return b.Msg }

func bad(f Field, format string, args ...any) []*Bad {
	return []*Bad{{f, fmt.Sprintf(format, args...)}}
}

// Check returns everything that is wrong with the string, nil when it is one
// that can be computed with.
func (s String) Check() []*Bad {
	var out []*Bad
	if d := float64(s.Diameter); math.IsNaN(d) || math.IsInf(d, 0) || d <= 0 {
		out = append(out, bad(DiameterField, "a gauge is above zero, and \"%g mm\" is not", d)...)
	} else if s.Diameter < MinGauge || s.Diameter > MaxGauge {
		out = append(out, bad(DiameterField, "a gauge of \"%.4g mm\" (%.4g in) is outside what strings are made in: %.4g to %.4g mm", d, float64(s.Diameter/Inch), float64(MinGauge), float64(MaxGauge))...)
	} else if !s.Wound && s.Diameter > MaxPlainGauge {
		out = append(out, bad(DiameterField, "a plain string of \"%.4g mm\" (%.4g in) is thicker than any that is made, %.4g mm; is it wound?", d, float64(s.Diameter/Inch), float64(MaxPlainGauge))...)
	}
	if _, ok := s.Material.Density(); !ok {
		out = append(out, bad(MaterialField, "unknown material %q", string(s.Material))...)
	} else if !s.Wound && !s.Material.plain() {
		out = append(out, bad(MaterialField, "a plain string is of steel, not of %q", string(s.Material))...)
	} else if s.Wound && !slices.Contains(Wraps(), s.Material) {
		out = append(out, bad(MaterialField, "a string is not wrapped with %q", string(s.Material))...)
	}
	if m := s.Measured; math.IsNaN(m) || math.IsInf(m, 0) || m < 0 || m > 0.1 || (m > 0 && m < 1e-5) {
		out = append(out, bad(MeasuredField, "a mass per length of \"%g kg/m\" is outside what strings weigh: 0.00001 to 0.1 kg/m", m)...)
	}
	if !s.Wound {
		if s.CoreRatio != 0 {
			out = append(out, bad(CoreRatioField, "a plain string has no core")...)
		}
		if s.Core != "" {
			out = append(out, bad(CoreField, "a plain string has no core")...)
		}
		return out
	}
	switch r := s.CoreRatio; {
	case math.IsNaN(r) || math.IsInf(r, 0) || r <= 0:
		out = append(out, bad(CoreRatioField, "a core ratio is above zero and under one, and \"%g\" is not", r)...)
	case r >= 1:
		out = append(out, bad(CoreRatioField, "a wound string is thicker than its core, and the core here is \"%.4g\" times as thick", r)...)
	case r < MinCoreRatio || r > MaxCoreRatio:
		out = append(out, bad(CoreRatioField, "a core ratio of \"%.4g\" is outside what strings are made with: %g to %g", r, MinCoreRatio, MaxCoreRatio)...)
	}
	if s.Core != RoundCore && s.Core != HexCore {
		out = append(out, bad(CoreField, "unknown core %q: it is \"round\" or \"hex\"", string(s.Core))...)
	}
	return out
}
