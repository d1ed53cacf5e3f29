package arrange

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"lapwright/rig/rigtest"
	"lapwright/tune"
	"lapwright/tune/tunetest"
)

// melodyOf returns a single-line tune of so many bars of eighth notes.
func melodyOf(t testing.TB, bars int) *tune.Tune {
	phrases := []string{
		"G3 B3 D4 G4 F#4 E4 D4 B3",
		"C4 E4 G4 E4 D4 B3 A3 G3",
		"A3 B3 C4 A3 B3 C4 D4:2",
		"E4 D4 C4 B3 A3 F#3 G3:2",
	}
	var b strings.Builder
	for i := range bars {
		b.WriteString(phrases[i%4] + " ")
	}
	return tunetest.Score(t, "G", b.String())
}

// voicesOf returns a tune of so many bars in three voices, the lower two moving
// under held notes.
func voicesOf(t testing.TB, bars int) *tune.Tune {
	top := []string{"D4:2 E4:2 D4:2 B3:2", "C4:4 D4:4", "E4:2 D4:2 C4:4", "B3:4 D4:4"}
	mid := []string{"B3:4 G3:4", "A3:2 G3:2 B3:4", "G3:4 A3:2 F#3:2", "G3:4 B3:4"}
	low := []string{"G3:8", "E3:4 G3:4", "C3:4 D3:4", "G2:8"}
	var lines [3]string
	for i := range bars {
		lines[0] += top[i%4] + " "
		lines[1] += mid[i%4] + " "
		lines[2] += low[i%4] + " "
	}
	return tunetest.Score(t, "G", lines[0], lines[1], lines[2])
}

func benchmark(b *testing.B, t *tune.Tune, rigName string) {
	r := rigtest.Builtin(b, rigName)
	b.ReportAllocs()
	var res *Result
	for b.Loop() {
		var err error
		if res, err = Arrange(b.Context(), t, r, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(res.Work.States), "states")
	b.ReportMetric(float64(res.Work.Transitions), "transitions")
	b.ReportMetric(float64(res.Work.Pruned), "pruned")
}

// BenchmarkMelody arranges 32 bars of eighth notes, key, octave and capo free.
func BenchmarkMelody(b *testing.B) {
	t := melodyOf(b, 32)
	for _, name := range []string{"reso-open-g", "lap6-c6", "lap8-c13", "bender-open-d", "pedal10-e9"} {
		b.Run(name, func(b *testing.B) { benchmark(b, t, name) })
	}
}

// BenchmarkThreeVoices arranges 32 bars in three voices.
func BenchmarkThreeVoices(b *testing.B) {
	t := voicesOf(b, 32)
	for _, name := range []string{"reso-open-g", "lap8-c13", "bender-open-d", "pedal10-e9"} {
		b.Run(name, func(b *testing.B) { benchmark(b, t, name) })
	}
}

// wander returns a single-line tune of so many eighth notes that never comes round
// again: the worst for whatever looks for what is alike.
func wander(t testing.TB, notes int) *tune.Tune {
	names := strings.Fields("G3 A3 B3 C4 D4 E4 F#4 G4 A4 B4")
	rnd := rand.New(rand.NewPCG(5, 6))
	var b strings.Builder
	at := 4
	for range notes {
		at = min(max(at+rnd.IntN(5)-2, 0), len(names)-1)
		b.WriteString(names[at] + " ")
	}
	return tunetest.Score(t, "G", b.String())
}

// BenchmarkGrowth shows that time and memory grow in proportion to the length:
// ns/note and B/note stay as they are. A tune that comes round again and one
// that never does.
func BenchmarkGrowth(b *testing.B) {
	for _, notes := range []int{10_000, 20_000, 50_000, 100_000} {
		for _, kind := range []struct {
			name string
			t    func(testing.TB, int) *tune.Tune
		}{
			{"phrases", func(t testing.TB, notes int) *tune.Tune { return melodyOf(t, notes*4/30) }},
			{"wander", wander},
		} {
			b.Run(fmt.Sprintf("%s/%d", kind.name, notes), func(b *testing.B) {
				t, r := kind.t(b, notes), rigtest.Builtin(b, "reso-open-g")
				var before, after runtime.MemStats
				runtime.ReadMemStats(&before)
				n := 0
				for b.Loop() {
					res, err := Arrange(b.Context(), t, r, Options{})
					if err != nil {
						b.Fatal(err)
					}
					n = len(res.Tab.Strokes)
				}
				runtime.ReadMemStats(&after)
				b.ReportMetric(float64(b.Elapsed())/float64(b.N*n), "ns/note")
				b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/float64(b.N*n), "B/note")
				b.ReportMetric(0, "ns/op")
			})
		}
	}
}
