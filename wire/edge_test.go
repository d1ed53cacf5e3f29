package wire

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lapwright/internal/near"
)

// Round wire wound close in square steps fills π/4 of the ring about the core:
// π/4·(2² − 1²)·π/4 = 1.851 mm² of wrap on a core of 1 mm in a string of 2 mm.
// The slope of the helix adds a little: each turn is √(1.5π² + 0.5²) long for
// 1.5π, half a percent.
func TestMassOfTheWrap(t *testing.T) {
	s := String{Diameter: 2, Wound: true, Material: PhosphorBronze, CoreRatio: 0.5, Core: RoundCore}
	steel, _ := MusicWire.Density()
	bronze, _ := PhosphorBronze.Density()
	ring := math.Pi / 4 * 3 * math.Pi / 4
	want := (math.Pi/4*steel + ring*bronze) * 1e-6
	if got := float64(s.MassPerLength()); got < want || got > 1.008*want {
		t.Errorf("%g kg/m, want %g and a little more", got, want)
	}
	// By hand: turn √(1 + (3π)²) = 9.4777 for a step of 1; 0.19635·9.4777 = 1.86093 mm².
	near.To(t, "by hand", float64(s.MassPerLength()), (0.785398*steel+1.86093*bronze)*1e-6, 1e-7)
}

// B of a plain .016 at 635 mm and D4, by hand: d⁴ = 0.4064⁴ = 0.0272782 mm⁴, T =
// 141.6 N (TestPressed), so π³·200000·0.0272782/(64·141.6·635²) = 4.629e-5.
func TestInharmonicityByHand(t *testing.T) {
	near.To(t, "plain .016", Plain(16*Thou).Inharmonicity(635, 293.66), 4.629e-5, 2e-8)
}

// Gauges of the table of typical cores have its ratios, those between two lie
// on the line between them, and beyond it its ends hold.
func TestTypicalCoreRatio(t *testing.T) {
	for thou, want := range map[float64]float64{10: 0.56, 20: 0.56, 23: 0.55, 26: 0.54, 33: 0.48, 46: 0.37, 48: 0.37 - 2.0/6*0.02, 54: 0.35, 75: 0.32, 80: 0.31, 100: 0.31} {
		near.To(t, "core ratio", TypicalCoreRatio(MM(thou)*Thou), want, 1e-9)
	}
}

// Strings to buy come from the lightest to the heaviest, each once.
func TestSoldByMass(t *testing.T) {
	set := Sold(NickelPlated)
	if len(set) != len(soldPlain)+len(soldWound) || set[0].Diameter != 8*Thou || set[len(set)-1].Diameter != 80*Thou {
		t.Errorf("%d strings from %v to %v", len(set), set[0], set[len(set)-1])
	}
	if !slices.IsSortedFunc(set, func(a, b String) int { return int(math.Copysign(1, float64(a.MassPerLength()-b.MassPerLength()))) }) {
		t.Error("not from light to heavy")
	}
}

// The bounds of what is taken for a string hold just so far.
func TestCheckAtItsEdges(t *testing.T) {
	wound := Wound(46*Thou, PhosphorBronze)
	plain := Plain(16 * Thou)
	gauge := func(s String, d MM) String { s.Diameter = d; return s }
	weighed := func(m float64) String { s := plain; s.Measured = m; return s }
	core := func(r float64) String { s := wound; s.CoreRatio = r; return s }
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		what string
		s    String
		say  string // "" for a string that is sound
	}{
		{"the thinnest", gauge(plain, MinGauge), ""},
		{"thinner", gauge(plain, 0.1269), `a gauge of "0.1269 mm" (0.004996 in) is outside what strings are made in: 0.127 to 2.794 mm`},
		{"the thickest", gauge(wound, MaxGauge), ""},
		{"thicker", gauge(wound, 2.795), `a gauge of "2.795 mm" (0.11 in) is outside`},
		{"the thickest plain one", gauge(plain, MaxPlainGauge), ""},
		{"a thicker plain one", gauge(plain, 1.27), `a plain string of "1.27 mm" (0.05 in) is thicker than any that is made, 0.9 mm; is it wound?`},
		{"no gauge", gauge(plain, 0), `a gauge is above zero, and "0 mm" is not`},
		{"no end of a gauge", gauge(plain, MM(inf)), `a gauge is above zero, and "+Inf mm" is not`},
		{"weighed, the lightest", weighed(1e-5), ""},
		{"weighed, lighter", weighed(0.99e-5), `a mass per length of "9.9e-06 kg/m" is outside`},
		{"weighed, the heaviest", weighed(0.1), ""},
		{"weighed, heavier", weighed(0.1001), `a mass per length of "0.1001 kg/m" is outside`},
		{"weighed, less than nothing", weighed(-1e-4), `a mass per length of "-0.0001 kg/m" is outside`},
		{"weighed, no number", weighed(nan), `a mass per length of "NaN kg/m" is outside`},
		{"weighed, no end", weighed(inf), `a mass per length of "+Inf kg/m" is outside`},
		{"the thinnest core", core(MinCoreRatio), ""},
		{"a thinner one", core(0.1499), `a core ratio of "0.1499" is outside what strings are made with: 0.15 to 0.85`},
		{"the thickest core", core(MaxCoreRatio), ""},
		{"a thicker one", core(0.8501), `a core ratio of "0.8501" is outside what strings are made with`},
		{"all core", core(1), `a wound string is thicker than its core, and the core here is "1" times as thick`},
		{"no core", core(0), `a core ratio is above zero and under one, and "0" is not`},
		{"no number for a core", core(nan), `a core ratio is above zero and under one, and "NaN" is not`},
		{"no end of a core", core(inf), `a core ratio is above zero and under one, and "+Inf" is not`},
	} {
		got := c.s.Check()
		if c.say == "" && len(got) != 0 || c.say != "" && (len(got) != 1 || !strings.HasPrefix(got[0].Msg, c.say)) {
			t.Errorf("%s: %v, want %q", c.what, got, c.say)
		}
	}
}
