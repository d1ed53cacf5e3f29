package wire

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapwright/pitch"
)

// anyString draws a string that passes Check.
func anyString(t *rapid.T) String {
	d := MM(rapid.Float64Range(0.2, 0.88).Draw(t, "gauge"))
	if !rapid.Bool().Draw(t, "wound") {
		m := rapid.SampledFrom([]Material{MusicWire, NickelPlated, Stainless}).Draw(t, "steel")
		return String{Diameter: d, Material: m}
	}
	return String{
		Diameter: 2.5 * d, Wound: true,
		Material:  rapid.SampledFrom([]Material{NickelPlated, Stainless, PhosphorBronze, Bronze8020, Nickel}).Draw(t, "wrap"),
		CoreRatio: rapid.Float64Range(MinCoreRatio, MaxCoreRatio).Draw(t, "core ratio"),
		Core:      rapid.SampledFrom([]Core{RoundCore, HexCore}).Draw(t, "core"),
	}
}

// Whatever string passes Check, every figure is a number above zero, and the
// load rises with pitch, length and mass.
func TestFiguresAreSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyString(t)
		if bad := s.Check(); len(bad) > 0 {
			t.Fatalf("%+v: %v", s, bad[0])
		}
		l := MM(rapid.Float64Range(300, 900).Draw(t, "length"))
		f := pitch.Hz(rapid.Float64Range(30, 1000).Draw(t, "frequency"))
		up := pitch.Hz(math.Exp2(rapid.Float64Range(0.001, 1).Draw(t, "octaves up")))
		for name, v := range map[string]float64{
			"mass per length": float64(s.MassPerLength()), "mass spread": s.MassSpread(), "break spread": s.BreakSpread(),
			"wrap and core": float64(s.WrapDiameter() + s.CoreDiameter()), "core area": s.CoreArea(),
			"breaking load": float64(s.BreakingLoad()), "tension": float64(s.Tension(l, f)),
			"inharmonicity": s.Inharmonicity(l, f), "stretch": float64(s.Stretch(l, s.Tension(l, f))),
		} {
			if !(v > 0) || math.IsInf(v, 0) {
				t.Fatalf("%+v: %s is %g", s, name, v)
			}
		}
		if s.Tension(l, f*up) <= s.Tension(l, f) || s.Travel(l, f, f*up) <= 0 {
			t.Fatalf("%+v: raising the pitch by %g does not raise the load", s, up)
		}
		if got := Sounds(s.MassPerLength(), l, s.Tension(l, f)); math.Abs(float64(pitch.Between(f, got))) > 1e-6 {
			t.Fatalf("%+v: the tension for %g Hz sounds %g Hz", s, f, got)
		}
	})
}

// Strength per area falls as wire grows thicker, and breaking load still rises.
func TestThickerWireCarriesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom([]Material{MusicWire, Stainless}).Draw(t, "steel")
		d := MM(rapid.Float64Range(0.15, 0.8).Draw(t, "gauge"))
		e := d * MM(rapid.Float64Range(1.0, 1.1).Draw(t, "times"))
		if TensileStrength(m, e) > TensileStrength(m, d)+1e-9 {
			t.Fatalf("%s of %g mm is stronger for its area than of %g mm", m, e, d)
		}
		// Bands make stainless steps down by up to 1.6 %; beyond that more is more.
		a, b := String{Diameter: d, Material: m}, String{Diameter: e, Material: m}
		if e > 1.01*d && b.BreakingLoad() <= a.BreakingLoad() {
			t.Fatalf("%s of %g mm carries %g N, of %g mm only %g N", m, d, a.BreakingLoad(), e, b.BreakingLoad())
		}
	})
}
