package wire

import "math"

// KgPerM is a mass per length in kilograms per metre.
type KgPerM float64

// PoundPerInch is one pound to the inch in kg/m (exact: 0.45359237/0.0254).
const PoundPerInch KgPerM = 0.45359237 / 0.0254

// Densities in kg/m³. Music wire and the plated steels: 7850, the round figure
// of steel handbooks (plating is a few microns and is left out; from memory).
// Stainless 302/304: 7930, suppliers' data sheets. Phosphor bronze C51000:
// 8860; 80/20 bronze (brass of 80 copper, 20 zinc, C24000): 8660, suppliers'
// data sheets. Nickel: 8890, from memory.
var densities = map[Material]float64{
	MusicWire:      7850,
	NickelPlated:   7850,
	Stainless:      7930,
	PhosphorBronze: 8860,
	Bronze8020:     8660,
	Nickel:         8890,
}

// Materials lists the materials, plain steels first.
func Materials() []Material {
	return []Material{MusicWire, NickelPlated, Stainless, PhosphorBronze, Bronze8020, Nickel}
}

// Density gives the density of a material in kg/m³, or false when the
// material is unknown.
func (m Material) Density() (float64, bool) {
	d, ok := densities[m]
	return d, ok
}

// plain says whether plain strings are made of the material.
func (m Material) plain() bool {
	return m == MusicWire || m == NickelPlated || m == Stainless
}

// acrossCorners is the width of a regular hexagon over its corners when it is
// one wide over its flats.
const acrossCorners = 1.1547005383792515 // 2/√3

// CoreDiameter gives the diameter of what carries the pull: the string itself
// when plain, the core when wound (over the flats of a hexagonal one).
func (s String) CoreDiameter() MM {
	if !s.Wound {
		return s.Diameter
	}
	return MM(s.CoreRatio) * s.Diameter
}

// CoreArea gives the cross-section, in mm², of what carries the pull: π·d²/4
// for a round one, (√3/2)·d² for a regular hexagon of d over its flats.
func (s String) CoreArea() float64 {
	d := float64(s.CoreDiameter())
	if s.Wound && s.Core == HexCore {
		return math.Sqrt(3) / 2 * d * d
	}
	return math.Pi / 4 * d * d
}

// WrapDiameter gives the diameter of the wrap wire, 0 for a plain string. The
// wrap rides on the corners of a hexagonal core.
func (s String) WrapDiameter() MM {
	if !s.Wound {
		return 0
	}
	over := s.CoreDiameter()
	if s.Core == HexCore {
		over *= acrossCorners
	}
	return (s.Diameter - over) / 2
}

// MassPerLength gives the string's mass per length: what was measured, when it
// was; else ρ·A for a plain string; else the core with a close helix of wrap
// wire about it,
//
//	μ = ρc·Ac + ρw·(π·dw²/4)·√(1 + (π·(dc+dw)/dw)²)
//
// where dc and dw are the diameters of core and wrap, Ac the core's area and ρ
// the densities: each turn advances by dw and is as long as the hypotenuse of
// dw and the mean circumference π·(dc+dw). For a hexagonal core the mean turn
// is taken half way between its flats and its corners. The string must pass
// Check.
func (s String) MassPerLength() KgPerM {
	if s.Measured > 0 {
		return KgPerM(s.Measured)
	}
	const square = 1e-6 // mm² in m²
	rho, _ := s.Material.Density()
	if !s.Wound {
		return KgPerM(rho * s.CoreArea() * square)
	}
	dc, dw := float64(s.CoreDiameter()), float64(s.WrapDiameter())
	if s.Core == HexCore {
		dc *= (1 + acrossCorners) / 2
	}
	turn := math.Hypot(1, math.Pi*(dc+dw)/dw)
	core := densities[MusicWire] * s.CoreArea()
	wrap := rho * math.Pi / 4 * dw * dw * turn
	return KgPerM((core + wrap) * square)
}

// The relative half-widths of what MassPerLength gives. Plain: drawn wire is
// held to about half a percent in diameter, so one percent in area (from
// memory). Wound: what a core ratio that is only typical leaves open; pinned
// by the published strings of the reference test. Measured: a kitchen scale
// and a ruler.
const (
	PlainSpread    = 0.01
	WoundSpread    = 0.03
	MeasuredSpread = 0.005
)

// MassSpread gives the relative uncertainty of MassPerLength: 0.03 is ±3 %.
// The tension at a given pitch and length has the same.
func (s String) MassSpread() float64 {
	switch {
	case s.Measured > 0:
		return MeasuredSpread
	case s.Wound:
		return WoundSpread
	}
	return PlainSpread
}
