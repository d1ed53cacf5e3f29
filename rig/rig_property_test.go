package rig

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/wire"
)

// anyRig draws a rig that passes Check.
func anyRig(t *rapid.T) *Rig {
	mm := func(low, high float64, name string) wire.MM {
		if rapid.Bool().Draw(t, name+" in inches") {
			return wire.MM(rapid.IntRange(int(low/25.4*1000)+1, int(high/25.4*1000)).Draw(t, name)) * wire.Thou
		}
		return wire.MM(rapid.Float64Range(low, high).Draw(t, name))
	}
	line := rapid.StringMatching(`[A-Za-z"\\ é♯]{1,20}`)
	r := &Rig{
		Name: rapid.StringMatching(`[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,2}`).Draw(t, "name"), Title: line.Draw(t, "title"),
		Body: rapid.SampledFrom(Bodies()).Draw(t, "body"), Styles: rapid.SliceOfN(line, 0, 3).Draw(t, "styles"),
		Scale: mm(260, 990, "scale"), Frets: rapid.IntRange(8, MaxFrets).Draw(t, "frets"),
		NutSpread: mm(12, 140, "nut"), BridgeSpread: mm(12, 140, "bridge"),
		Steel: Steel{Length: mm(25, 150, "bar"), Diameter: mm(6, 40, "bar diameter"), Mass: rapid.Float64Range(5, 500).Draw(t, "mass"),
			Bullet: rapid.Bool().Draw(t, "bullet"), MaxSlant: rapid.Float64Range(0, 60).Draw(t, "slant")},
		Capo:      Capo{Clamp: rapid.Bool().Draw(t, "capo clamps on"), Highest: rapid.IntRange(0, 7).Draw(t, "capo")},
		Reference: pitch.Hz(rapid.Float64Range(415, 466).Draw(t, "reference")),
	}
	if len(r.Styles) == 0 {
		r.Styles = nil
	}
	if rapid.Bool().Draw(t, "limited") {
		r.LoadLimit = wire.Newtons(rapid.Float64Range(60, 3000).Draw(t, "limit"))
		r.LoadLimitSource = "maker"
	}
	n := rapid.IntRange(1, MaxStrings).Draw(t, "strings")
	for range n {
		s := String{Open: pitch.SpellKey(rapid.IntRange(36, 80).Draw(t, "key"), rapid.IntRange(-4, 4).Draw(t, "fifths"))}
		if rapid.Bool().Draw(t, "wound") {
			s.Wire = wire.String{Diameter: mm(0.4, 2.5, "gauge"), Wound: true, Material: wire.Nickel,
				CoreRatio: rapid.Float64Range(wire.MinCoreRatio, wire.MaxCoreRatio).Draw(t, "core"),
				Core:      rapid.SampledFrom([]wire.Core{wire.HexCore, wire.RoundCore}).Draw(t, "shape")}
		} else {
			s.Wire = wire.String{Diameter: mm(0.15, 0.85, "gauge"), Material: wire.MusicWire}
		}
		if rapid.Bool().Draw(t, "weighed") {
			s.Wire.Measured = rapid.Float64Range(1e-4, 0.05).Draw(t, "mass per length")
		}
		r.Strings = append(r.Strings, s)
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "benders") {
		first := rapid.IntRange(1, n).Draw(t, "first")
		b := Bender{Name: "bender " + string(rune('1'+i)), Mark: string(rune('A' + i)), Kind: Knee, Moves: []Move{{first, rapid.SampledFrom([]int{-2, -1, 1, 2, 3}).Draw(t, "move")}}}
		if first > 1 {
			b.Moves = append(b.Moves, Move{first - 1, 2})
		}
		r.Benders = append(r.Benders, b)
	}
	return r
}

// Whatever rig passes Check comes back from its text field for field.
func TestFormatParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t)
		if l := r.Check(); len(l) > 0 {
			t.Fatalf("the drawn rig is bad: %v", l)
		}
		text := Format(r)
		back, err := Parse(text, "drawn.toml")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if d := cmp.Diff(r, back); d != "" {
			t.Fatalf("it changed:\n%s\n%s", d, text)
		}
	})
}

// A capo raises every string by its fret and leaves the bridge and the pull
// alone; whatever comes out is a sound rig.
func TestCapoKeepsTheRigSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRig(t)
		r.Scale = max(r.Scale, 500)
		fret := rapid.IntRange(0, r.Capo.Highest).Draw(t, "fret")
		c, err := r.WithCapo(fret)
		if err != nil {
			t.Fatal(err)
		}
		for s := 1; s <= len(r.Strings); s++ {
			if got, want := c.OpenKey(s, 0), r.OpenKey(s, 0)+fret; got != want {
				t.Fatalf("string %d sounds key %d with the capo at %d, want %d", s, got, fret, want)
			}
		}
		if l := c.Check(); len(l) > 0 {
			t.Fatal(l)
		}
		back := c.WithoutCapo()
		for s := range r.Strings {
			if got, want := back.Strings[s].Open.Key(), r.Strings[s].Open.Key(); got != want {
				t.Fatalf("string %d is tuned to key %d once the capo is off, want %d", s+1, got, want)
			}
		}
		// To the nanometre.
		if math.Abs(float64(back.Scale-r.Scale)) > 1e-6 || math.Abs(float64(back.NutSpread-r.NutSpread)) > 1e-6 || back.Frets != r.Frets {
			t.Fatalf("scale %v, spread %v, %d frets once the capo is off; want %v, %v, %d", back.Scale, back.NutSpread, back.Frets, r.Scale, r.NutSpread, r.Frets)
		}
	})
}
