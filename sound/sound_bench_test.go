package sound

import (
	"testing"
	"time"

	"lapwright/rig/rigtest"
)

// BenchmarkRenderMinute sounds a minute of steady playing on six, eight and ten strings, all of which answer, with body or amplifier, room and
// limiter. x-karplus is how many times as long it takes as a plain Karplus–Strong of as many strings for as long, in the same run, the mean of
// some, into samples that are there already: where fresh memory is dear, asking for it takes longer than the strings.
func BenchmarkRenderMinute(b *testing.B) {
	for _, name := range []string{"reso-open-g", "lap6-c6", "lap8-c13", "pedal10-e9"} {
		b.Run(name, func(b *testing.B) {
			r := rigtest.Builtin(b, name)
			var notes []note
			for i := range 114 { // 57 s and the ringing after them
				notes = append(notes, note{str: 1 + i%len(r.Strings), fret: float64(5 + 7*(i/8%2)), len: 1})
			}
			tb := makeTab(b, r, 120, notes...)
			b.ReportAllocs()
			made, samples := 0.0, 0
			for b.Loop() {
				a, err := Render(tb, Options{CountIn: 1, Click: true})
				if err != nil {
					b.Fatal(err)
				}
				made += a.Seconds()
				samples = a.Len()
			}
			took := b.Elapsed()
			b.ReportMetric(made/took.Seconds(), "x-realtime")
			out := make([]float32, samples)
			karplus(len(r.Strings), out)
			const runs = 20
			plain := time.Now()
			for range runs {
				karplus(len(r.Strings), out)
			}
			b.ReportMetric(took.Seconds()/float64(b.N)*runs/time.Since(plain).Seconds(), "x-karplus")
		})
	}
}

// karplus is the plain plucked-string algorithm (K. Karplus and A. Strong, Computer Music Journal 7(2), 1983): a line of noise
// for each string, each sample the mean of two.
func karplus(count int, out []float32) {
	r := noise(3)
	lines := make([][]float64, count)
	for s := range lines {
		lines[s] = make([]float64, 100+37*s)
	}
	at, last := make([]int, count), make([]float64, count)
	for i := range out {
		if i%(Rate/2) == 0 { // a stroke
			for k := range lines[i/(Rate/2)%count] {
				lines[i/(Rate/2)%count][k] = r.next()
			}
		}
		sum := 0.0
		for s, line := range lines {
			x := line[at[s]]
			line[at[s]] = 0.5 * (x + last[s])
			last[s] = x
			if at[s]++; at[s] == len(line) {
				at[s] = 0
			}
			sum += x
		}
		out[i] = float32(sum)
	}
}
