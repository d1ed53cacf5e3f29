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

// Wraps lists the materials that strings are wrapped with.
func Wraps() []Material {
	return []Material{NickelPlated, Stainless, PhosphorBronze, Bronze8020, Nickel}
}

// Density returns the density of a material in kg/m³, or false when the
// material is unknown.
func (m Material) Density() (float64, bool) {
	d, ok := densities[m]
	return d, ok
}

// plain reports whether plain strings are made of the material.
func (m Material) plain() bool {
	return m == MusicWire || m == NickelPlated || m == Stainless
}

// roundOf is the diameter of the round wire with the same area as a regular
// hexagon that is one wide over its flats: √(2√3/π).
const roundOf = 1.0500751358

// CoreDiameter returns the diameter of what carries the pull: the string itself
// when plain, the core when wound (over the flats of a hexagonal one).
func (s String) CoreDiameter() MM {
	if !s.Wound {
		return s.Diameter
	}
	return MM(s.CoreRatio) * s.Diameter
}

// roundCore returns the core as a round wire of the same area.
func (s String) roundCore() MM {
	d := s.CoreDiameter()
	if s.Wound && s.Core == HexCore {
		d *= roundOf
	}
	return d
}

// CoreArea returns the cross-section, in mm², of what carries the pull: π·d²/4
// for a round one, (√3/2)·d² for a regular hexagon of d over its flats.
func (s String) CoreArea() float64 {
	d := float64(s.roundCore())
	return math.Pi / 4 * d * d
}

// WrapDiameter returns the diameter of the wrap wire, 0 for a plain string.
func (s String) WrapDiameter() MM {
	if !s.Wound {
		return 0
	}
	return (s.Diameter - s.roundCore()) / 2
}

// MassPerLength returns the string's mass per length: what was measured, when it
// was; else ρ·A for a plain string; else the core with a close helix of wrap
// wire about it,
//
//	μ = ρc·π·dc²/4 + ρw·(π·dw²/4)·√(1 + (π·(dc+dw)/dw)²),  dw = (D − dc)/2
//
// where D, dc and dw are the diameters of string, core and wrap and ρ the
// densities: each turn advances by dw and is as long as the hypotenuse of dw
// and the mean circumference π·(dc+dw). A hexagonal core stands as the round
// one of the same area: the wrap bridges its flats, but is drawn in between the
// corners. The string must pass Check.
func (s String) MassPerLength() KgPerM {
	if s.Measured > 0 {
		return KgPerM(s.Measured)
	}
	const square = 1e-6 // mm² in m²
	rho, _ := s.Material.Density()
	if !s.Wound {
		return KgPerM(rho * s.CoreArea() * square)
	}
	dc, dw := float64(s.roundCore()), float64(s.WrapDiameter())
	turn := math.Hypot(1, math.Pi*(dc+dw)/dw)
	core := densities[MusicWire] * s.CoreArea()
	wrap := rho * math.Pi / 4 * dw * dw * turn
	return KgPerM((core + wrap) * square)
}

// The relative half-widths of what MassPerLength gives. Plain: drawn wire is
// held to about half a percent in diameter, so one percent in area (from
// memory). Wound: what the make of the core and wrap leaves open; pinned by the
// published strings of the reference test (strings of the same gauge from
// different makers differ by up to five percent, so weigh yours). Measured: a kitchen scale
// and a ruler.
const (
	plainSpread    = 0.01
	woundSpread    = 0.03
	measuredSpread = 0.005
)

// MassSpread returns the relative uncertainty of MassPerLength: 0.03 is ±3 %.
// The tension at a given pitch and length has the same.
func (s String) MassSpread() float64 {
	switch {
	case s.Measured > 0:
		return measuredSpread
	case s.Wound:
		return woundSpread
	}
	return plainSpread
}
