package listen

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Whatever samples come in, in whatever blocks, nothing panics and every figure
// is a number.
func TestAnySamplesAreHeard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]float64{8000, 11025, 44100, 48000}).Draw(t, "rate")
		e, err := NewEar(rate)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(0, 4).Draw(t, "blocks") {
			block := rapid.SliceOfN(rapid.Float32(), 0, 400).Draw(t, "block")
			e.Hear(block)
		}
		take := e.Take()
		for _, f := range take.Pitches() {
			if math.IsNaN(float64(f.Hz)) || f.Sure < 0 || f.Sure > 1 {
				t.Fatalf("frame %+v", f)
			}
		}
		for _, o := range take.Onsets() {
			if math.IsNaN(o.At) || o.At < 0 || o.At > take.Seconds()+0.1 {
				t.Fatalf("onset %+v in %g s", o, take.Seconds())
			}
		}
		take.Level()
	})
}
