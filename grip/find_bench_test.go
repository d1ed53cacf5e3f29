package grip

import (
	"testing"

	"lapwright/rig"
)

func BenchmarkFind(b *testing.B) {
	for _, r := range rig.Builtins() {
		w, err := ParseWant("A7")
		if err != nil {
			b.Fatal(err)
		}
		b.Run(r.Name, func(b *testing.B) {
			for b.Loop() {
				Find(r, w, Options{})
			}
		})
	}
}
