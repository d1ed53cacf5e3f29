package arrange

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"lapwright/rig/rigtest"
	"lapwright/tune/tunetest"

	"lapwright/pitch"
)

// TestThickChords arranges chords of eight random notes, far more than a hand
// can do: it must neither hang nor hide what is lost.
func TestThickChords(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	var line strings.Builder
	for range 64 {
		keys := map[int]bool{}
		for len(keys) < 8 {
			keys[40+rnd.IntN(40)] = true
		}
		var names []string
		var sorted []int
		for k := range keys {
			sorted = append(sorted, k)
		}
		slices.Sort(sorted)
		for _, k := range sorted {
			names = append(names, pitch.SpellKey(k, 0).String())
		}
		line.WriteString(strings.Join(names, "+") + ":2 ")
	}
	tn := tunetest.Score(t, "C", line.String())
	for _, name := range []string{"lap8-c13", "pedal10-e9"} {
		start := time.Now()
		r, err := Arrange(t.Context(), tn, rigtest.Builtin(t, name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if l := r.Tab.Check(); len(l) > 0 {
			t.Fatalf("%s: %v", name, l)
		}
		t.Logf("%s: %v, %d compromises, %+v", name, time.Since(start), len(r.Tab.Compromises), r.Work)
	}
}
