package sound

import (
	"testing"

	"lapwright/rig/rigtest"
)

// BenchmarkRenderMinute sounds a minute of steady playing on six strings.
func BenchmarkRenderMinute(b *testing.B) {
	for _, name := range []string{"reso-open-g", "lap8-c13"} {
		b.Run(name, func(b *testing.B) {
			var notes []note
			for i := range 114 { // 57 s and the ringing after them
				notes = append(notes, note{str: 1 + i%6, fret: float64(5 + 7*(i/8%2)), len: 1})
			}
			tb := makeTab(b, rigtest.Builtin(b, name), 120, notes...)
			b.ReportAllocs()
			made := 0.0
			for b.Loop() {
				a, err := Render(tb, Options{CountIn: 1, Click: true})
				if err != nil {
					b.Fatal(err)
				}
				made += a.Seconds()
			}
			b.ReportMetric(made/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
