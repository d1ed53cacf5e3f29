package wire

import (
	"math"
	"strings"
	"testing"

	"lapwright/internal/near"
	"lapwright/pitch"
)

// The parts of a hexagonal core by elementary geometry: a regular hexagon of 1
// mm over its flats has the area √3/2 mm².
func TestHexagonalCore(t *testing.T) {
	s := String{Diameter: 2, Wound: true, Material: Nickel, CoreRatio: 0.5, Core: HexCore}
	near.To(t, "core over its flats", float64(s.CoreDiameter()), 1, 1e-12)
	near.To(t, "core area", s.CoreArea(), math.Sqrt(3)/2, 1e-9)
	round := s
	round.Core = RoundCore
	near.To(t, "round core area", round.CoreArea(), math.Pi/4, 1e-12)
	near.To(t, "wrap on the round core", float64(round.WrapDiameter()), 0.5, 1e-12)
}

// A wound string whose wrap is very thin weighs no more than a plain one of
// the same gauge, and a measured mass overrides the model.
func TestMassPerLength(t *testing.T) {
	near.To(t, "plain .010", float64(Plain(10*Thou).MassPerLength()), 3.9777e-4, 1e-8) // plain_string_examples.csv
	w := Wound(46*Thou, NickelPlated)
	if solid := (String{Diameter: w.Diameter, Material: MusicWire}).MassPerLength(); w.MassPerLength() >= solid {
		t.Errorf("a wound .046 (%g kg/m) weighs no less than a solid one (%g kg/m)", w.MassPerLength(), solid)
	}
	near.To(t, "spread of a wound string", w.MassSpread(), 0.03, 0)
	w.Measured = 0.00714
	near.To(t, "a measured mass", float64(w.MassPerLength()), 0.00714, 0)
	near.To(t, "spread of a measured string", w.MassSpread(), 0.005, 0)
}

// Table rows of ASTM A313 are bands; A228 is interpolated and meets its rows.
func TestTensileStrength(t *testing.T) {
	const mpa = 6.894757 // MPa in a ksi
	for _, c := range []struct {
		m        Material
		in, want float64
	}{
		{MusicWire, 0.016, 362 * mpa},
		{NickelPlated, 0.016, 362 * mpa},
		{MusicWire, 0.001, 439 * mpa},
		{MusicWire, 0.500, 261 * mpa},
		{MusicWire, 0.017, 358.9 * mpa},
		{Stainless, 0.016, 308 * mpa},
		{Stainless, 0.0155, 308 * mpa},
		{Stainless, 0.005, 325 * mpa},
		{Stainless, 0.1, 280 * mpa},
	} {
		near.To(t, string(c.m), TensileStrength(c.m, MM(c.in)*Inch), c.want, 0.5)
	}
}

// The stretch of a steel wire worked by hand: 1 m of 1 mm², 200 GPa, 100 N
// grows 0.5 mm.
func TestStretch(t *testing.T) {
	s := Plain(MM(math.Sqrt(4 / math.Pi)))
	near.To(t, "stretch", float64(s.Stretch(1000, 100)), 0.5, 1e-9)
	near.To(t, "stress", 100/s.CoreArea(), 100, 1e-9)
	low, high := pitch.Hz(220), pitch.Hz(220*math.Exp2(1.0/6))
	travel := s.Travel(600, low, high)
	near.To(t, "travel", float64(travel), float64(s.Stretch(600, s.Tension(600, high))-s.Stretch(600, s.Tension(600, low))), 1e-9)
	if back := s.Travel(600, high, low); back != -travel {
		t.Errorf("letting out travels %g, drawing in %g", back, travel)
	}
}

// A bar that does not press does nothing; one that presses raises the pitch,
// and nearly with the square of the depth.
func TestPressed(t *testing.T) {
	s := Plain(16 * Thou)
	near.To(t, "no pressure", float64(s.Pressed(635, 293.66, 200, 0)), 0, 1e-9)
	one, two := s.Pressed(635, 293.66, 317.5, 1), s.Pressed(635, 293.66, 317.5, 2)
	if one <= 0 {
		t.Errorf("pressing 1 mm at the octave gives %g cents, want a rise", one)
	}
	near.To(t, "twice the depth", float64(two/one), 4, 0.05)
	// By hand for 1 mm at the middle of 635 mm: ΔL = 2·(√(317.5²+1) − 317.5) =
	// 0.0031496 mm; E·A = 200000·0.129717 = 25943 N; ΔT = 25943·0.0031496/635 =
	// 0.12868 N on T = 141.6 N: 0.7863 cents, less 1200·log2 of the longer
	// sounding part, 0.0086.
	near.To(t, "by hand", float64(one), 0.778, 0.002)
}

func TestSharpening(t *testing.T) {
	near.To(t, "partial 10", float64(Sharpening(1.3256e-05, 10)), 1.147, 0.001) // plain_string_examples.csv
}

func TestSounds(t *testing.T) {
	mu, l := KgPerM(0.001), MM(600)
	near.To(t, "there and back", float64(Sounds(mu, l, Pull(mu, l, 200))), 200, 1e-9)
}

func TestCheck(t *testing.T) {
	wound := Wound(46*Thou, PhosphorBronze)
	with := func(change func(*String)) String { s := wound; change(&s); return s }
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		s     String
		field Field
		say   string
	}{
		{"negative gauge", String{Diameter: -0.4, Material: MusicWire}, DiameterField, `"-0.4 mm"`},
		{"zero gauge", String{Material: MusicWire}, DiameterField, `"0 mm"`},
		{"NaN gauge", String{Diameter: MM(nan), Material: MusicWire}, DiameterField, `"NaN mm"`},
		{"gauge too thick", String{Diameter: 4, Material: MusicWire}, DiameterField, `"4 mm"`},
		{"plain too thick", String{Diameter: 1.2, Material: MusicWire}, DiameterField, "is it wound"},
		{"unknown material", String{Diameter: 0.4, Material: "cheese"}, MaterialField, `"cheese"`},
		{"plain bronze", String{Diameter: 0.4, Material: PhosphorBronze}, MaterialField, `"phosphor bronze"`},
		{"plain with a core", String{Diameter: 0.4, Material: MusicWire, CoreRatio: 0.4}, CoreRatioField, "no core"},
		{"plain with a core shape", String{Diameter: 0.4, Material: MusicWire, Core: HexCore}, CoreField, "no core"},
		{"core thicker than the string", with(func(s *String) { s.CoreRatio = 1.2 }), CoreRatioField, "thicker than its core"},
		{"no core ratio", with(func(s *String) { s.CoreRatio = 0 }), CoreRatioField, `"0"`},
		{"NaN core ratio", with(func(s *String) { s.CoreRatio = nan }), CoreRatioField, `"NaN"`},
		{"core ratio of no string", with(func(s *String) { s.CoreRatio = 0.95 }), CoreRatioField, `"0.95"`},
		{"square core", with(func(s *String) { s.Core = "square" }), CoreField, `"square"`},
		{"wrapped with music wire", with(func(s *String) { s.Material = MusicWire }), MaterialField, `"music wire"`},
		{"negative mass", with(func(s *String) { s.Measured = -1 }), MeasuredField, `"-1 kg/m"`},
		{"infinite mass", with(func(s *String) { s.Measured = math.Inf(1) }), MeasuredField, `"+Inf kg/m"`},
	} {
		bad := c.s.Check()
		if len(bad) != 1 || bad[0].Field != c.field || !strings.Contains(bad[0].Msg, c.say) {
			t.Errorf("%s: got %v, want one fault of the %s that says %s", c.name, bad, c.field, c.say)
		}
	}
	for _, s := range Sold(PhosphorBronze) {
		if bad := s.Check(); len(bad) > 0 {
			t.Errorf("a string that is sold does not pass: %v: %v", s, bad[0])
		}
	}
	if n := len(Sold(NickelPlated)); n != len(soldPlain)+len(soldWound) {
		t.Errorf("%d strings are sold, want %d", n, len(soldPlain)+len(soldWound))
	}
}
