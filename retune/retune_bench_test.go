package retune

import (
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// BenchmarkDesign is a set of twelve strings for three tunings under a limit
// that bites.
func BenchmarkDesign(b *testing.B) {
	w := Requirements{Scale: 610, Reference: 440, Pull: DefaultPull, Limit: 1200, Share: 0.78, Sold: wire.Sold(wire.NickelPlated)}
	w.Tunings = append(w.Tunings, tuning(b, "universal-e9-b6"),
		tuning(b, "Bb1 Eb2 G2 Bb2 Eb3 F3 G3 Bb3 Eb4 G4 D4 F4"), tuning(b, "A1 E2 G2 A2 E3 G3 A3 C4 E4 G4 C4 F4"))
	for b.Loop() {
		if _, err := NewDesign(w); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkCompare weighs six strings against ten with seven benders.
func BenchmarkCompare(b *testing.B) {
	x, y := rigtest.Builtin(b, "reso-open-g"), rigtest.Builtin(b, "pedal10-e9")
	for b.Loop() {
		Compare(x, y)
	}
}
