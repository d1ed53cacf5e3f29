package page

import (
	"encoding/json"
	"math"
	"testing"

	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
)

// TestLandingIsMeasured: of a tone of known frequency the page is told the cents, and the millimetres by the
// rule of the frets, x = L·(1 − 2^(−n/12)), worked out here from the frequency alone: a string of length L that
// sounds f_open sounds f where L − x = L·f_open/f.
func TestLandingIsMeasured(t *testing.T) {
	r, _ := rig.Builtin("lap6-c6")
	const str, fret = 1, 7
	open := float64(pitch.Equal(float64(r.OpenKey(str, 0)), r.Reference))
	ask := func(samples []float32) report.Landing {
		t.Helper()
		q, err := json.Marshal(report.Asked{What: "landing", Rig: string(rig.Format(r)), String: str, Fret: fret})
		if err != nil {
			t.Fatal(err)
		}
		var out report.Landing
		if err := json.Unmarshal((&Lesson{}).Answer(q, Whole(samples, sound.Rate)), &out); err != nil {
			t.Fatal(err)
		}
		return out
	}
	tone := func(seconds float64, cents func(at float64) float64) []float32 {
		out := make([]float32, int(seconds*sound.Rate))
		phase := 0.0
		for i := range out {
			phase += 2 * math.Pi * open * math.Exp2((fret+cents(float64(i)/sound.Rate)/100)/12) / sound.Rate
			for n := 1.0; n <= 5; n++ {
				out[i] += float32(0.2 / n * math.Sin(n*phase))
			}
		}
		return out
	}
	for _, want := range []float64{0, -14, 32, 88} {
		got := ask(tone(0.8, func(float64) float64 { return want }))
		f := open * math.Exp2((fret+want/100)/12)
		mm := float64(r.Scale) * (math.Exp2(-fret/12.0) - open/f)
		if got.Cents == nil || got.MM == nil || math.Abs(*got.Cents-want) > 0.3 || math.Abs(*got.MM-mm) > 0.05 || !got.Steady {
			t.Errorf("%g cents off, which is %.2f mm: %v, %v, steady %v", want, mm, deref(got.Cents), deref(got.MM), got.Steady)
		}
	}
	if got := ask(tone(0.8, func(at float64) float64 { return 60 - 100*at })); got.Cents == nil || got.Steady {
		t.Errorf("a gliding tone: %v cents, steady %v", deref(got.Cents), got.Steady)
	}
	for what, samples := range map[string][]float32{"silence": make([]float32, sound.Rate), "another note": tone(0.8, func(float64) float64 { return 300 })} {
		if got := ask(samples); got.Cents != nil || got.MM != nil || got.Steady {
			t.Errorf("%s: %v cents, steady %v", what, deref(got.Cents), got.Steady)
		}
	}
}

func deref(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
