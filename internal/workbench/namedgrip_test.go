package workbench

import (
	"math"
	"testing"

	"lapwright/rig"
	"lapwright/steel"
)

// TestTouchedSteelLeans: the steel of a touched grip leans as its strings and
// frets make it. The angle is reckoned here from the geometry of strings that lie
// linearly from nut to bridge: fret n at L·(1 − 2^(−n/12)), atan(Δx/Δy), forward
// positive (docs/architecture.md; no string is bent, no capo is on).
func TestTouchedSteelLeans(t *testing.T) {
	g, _ := rig.Builtin("reso-open-g")
	for _, c := range []struct {
		stops string
		kind  steel.Kind
		first float64 // fret at string 1
		last  float64 // fret at string 3
		under int     // the last string under the steel
	}{
		{"1:12, 3:11", steel.Forward, 12, 11, 3},
		{"1:11, 3:12", steel.Reverse, 11, 12, 3},
		{"1:5, 2:5, 3:5", steel.Straight, 5, 5, 6},
	} {
		got, err := NameGrip(g, g.Name, c.stops, 0)
		if err != nil {
			t.Fatal(err)
		}
		l, n := float64(g.Scale), float64(len(g.Strings)-1)
		x := func(fret float64) float64 { return l * (1 - math.Exp2(-fret/12)) }
		y := func(str, fret float64) float64 {
			spread := float64(g.NutSpread) + (float64(g.BridgeSpread)-float64(g.NutSpread))*x(fret)/l
			return spread * (0.5 - (str-1)/n)
		}
		want := 180 / math.Pi * math.Atan((x(c.first)-x(c.last))/(y(1, c.first)-y(3, c.last)))
		s := got.Steel
		if s.Kind != c.kind.String() || s.First != 1 || s.Last != c.under || math.Abs(s.Angle-want) > 1e-6 {
			t.Errorf("%s: %s on strings %d to %d at %g degrees, want %s on 1 to %d at %g", c.stops, s.Kind, s.First, s.Last, s.Angle, c.kind, c.under, want)
		}
	}
}

// TestNeckOfEveryInstrument: the neck to touch has the instrument's own strings
// and frets, though no tune is at hand.
func TestNeckOfEveryInstrument(t *testing.T) {
	all := rig.Builtins()
	if len(all) < 5 {
		t.Fatalf("%d built-in instruments: they are not being seen", len(all))
	}
	for _, g := range all {
		n := Neck(g)
		if len(n.Neck.Open) != len(g.Strings) || n.Neck.Frets != g.Frets || len(n.Strokes) != 0 {
			t.Errorf("%s: a neck of %d strings, %d frets, %d strokes", g.Name, len(n.Neck.Open), n.Neck.Frets, len(n.Strokes))
		}
	}
}
