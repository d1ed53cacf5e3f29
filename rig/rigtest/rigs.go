package rigtest

import (
	"testing"

	"pgregory.net/rapid"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// Builtin returns a built-in rig, which must be there.
func Builtin(t testing.TB, name string) *rig.Rig {
	t.Helper()
	r, ok := rig.Builtin(name)
	if !ok {
		t.Fatalf("no rig %q", name)
	}
	return r
}

// OpenD is a rig whose geometry is worked out by hand in package steel's tests: L =
// 600 mm, six strings 8 mm apart at the nut and 10 mm at the bridge, tuned D2 A2
// D3 F#3 A3 D4, a bullet steel of 80 by 19 mm. Palm benders raise string 3 by one
// and string 2 by two, a pedal string 4 by one.
func OpenD() *rig.Rig {
	r := &rig.Rig{
		Name: "test", Scale: 600, Frets: 24, NutSpread: 40, BridgeSpread: 50, Reference: pitch.StandardA,
		Steel: rig.Steel{Length: 80, Diameter: 19, Bullet: true, MaxSlant: 60},
		Benders: []rig.Bender{
			{Name: "palm 1", Mark: "A", Kind: rig.Palm, Moves: []rig.Move{{String: 3, Semitones: 1}}},
			{Name: "palm 2", Mark: "B", Kind: rig.Palm, Moves: []rig.Move{{String: 2, Semitones: 2}}},
			{Name: "pedal", Mark: "C", Kind: rig.Pedal, Moves: []rig.Move{{String: 4, Semitones: 1}}},
		},
	}
	for _, n := range []pitch.Name{pitch.Note(pitch.D, 0, 4), pitch.Note(pitch.A, 0, 3), pitch.Note(pitch.F, 1, 3), pitch.Note(pitch.D, 0, 3), pitch.Note(pitch.A, 0, 2), pitch.Note(pitch.D, 0, 2)} {
		r.Strings = append(r.Strings, rig.String{Open: n})
	}
	return r
}

// Strung draws a rig of one to ten strings that are sold, at pitches they can have,
// and other pitches for them.
func Strung(t *rapid.T) (*rig.Rig, []pitch.Name) {
	r, _ := rig.Builtin(rapid.SampledFrom([]string{"hollow-neck-open-d", "lap6-c6", "reso-open-g"}).Draw(t, "base"))
	r.Strings = nil
	n := rapid.IntRange(1, 10).Draw(t, "strings")
	sold := wire.Sold(wire.PhosphorBronze)
	var to []pitch.Name
	for range n {
		key := rapid.IntRange(36, 76).Draw(t, "key")
		r.Strings = append(r.Strings, rig.String{Open: pitch.SpellKey(key, 0), Wire: rapid.SampledFrom(sold).Draw(t, "string")})
		to = append(to, pitch.SpellKey(key+rapid.IntRange(-7, 7).Draw(t, "move"), 0))
	}
	if rapid.Bool().Draw(t, "bender") {
		r.Benders = []rig.Bender{{Name: "palm", Mark: "A", Kind: rig.Palm, Moves: []rig.Move{{String: n, Semitones: 2}}}}
	}
	return r, to
}
