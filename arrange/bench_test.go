package arrange

import (
	"fmt"
	"strings"
	"testing"

	"lapwright/tune"
)

// melodyOf gives a single-line tune of so many bars of eighth notes.
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
	return score(t, "G", b.String())
}

// voicesOf gives a tune of so many bars in three voices, the lower two moving
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
	return score(t, "G", lines[0], lines[1], lines[2])
}

func benchmark(b *testing.B, t *tune.Tune, rigName string) {
	r := builtin(b, rigName)
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

// BenchmarkLength shows that the work grows in proportion to the length.
func BenchmarkLength(b *testing.B) {
	for bars := 16; bars <= 1024; bars *= 4 {
		b.Run(fmt.Sprint(bars), func(b *testing.B) { benchmark(b, melodyOf(b, bars), "lap8-c13") })
	}
}
