package sound

import (
	"math"
	"math/cmplx"
	"testing"

	"lapwright/rig"
	"lapwright/sound/loss"
)

// The loss filter follows the law of losses: over the strings of the built-in
// rigs, at pitches over their range, open and under the steel, each partial up to 10 kHz
// decays in 0.75 to 1.4 times the time that the law gives (which is not noticed:
// H. Järveläinen and T. Tolonen, Journal of the Audio Engineering Society 49, 2001, from
// memory; 0.6 to 1.6 times below 100 Hz), and no partial, nor any frequency at all, gains.
func TestLossFilterFollowsTheLaw(t *testing.T) {
	checked := 0
	for _, r := range rig.Builtins() {
		for s := range r.Strings {
			w := wiringOf(r, s, voice{})
			for _, up := range []float64{0, 4.5, 12, 19} {
				f1 := w.openHz * math.Exp2(up/12)
				table := loss.NewTable(w.loss, w.openHz, w.openHz*4)
				for _, barred := range []bool{false, true} {
					l := table.Filter(f1, barred)
					for n := 1.0; n*f1 < 10000; n++ {
						got := -math.Log(cmplx.Abs(l.Response(2*math.Pi*n*f1/Rate))) * f1
						want := w.loss.Rate(f1, n*f1, barred)
						if want > 0.2*f1 { // over before it is heard: it need only be so
							want = got
							if got < 0.12*f1 {
								t.Errorf("%s, string %d, %.0f Hz: %.2f/s at %.0f Hz, which should be gone", r.Name, s+1, f1, got, n*f1)
							}
						}
						checked++
						most, least := want/0.75, want/1.4
						if f1 < 100 { // the thickest: what their bending takes up high is more than the filter can do alone
							most, least = want*1.6, want/1.6
						}
						if got < least || got > most {
							t.Errorf("%s, string %d, %.0f Hz (barred %v): %.2f/s at %.0f Hz, the law gives %.2f", r.Name, s+1, f1, barred, got, n*f1, want)
						}
					}
					sum := l.Straight
					for _, c := range l.Low {
						sum += c
						if c < 0 {
							t.Errorf("%s, string %d: a shelf of %g", r.Name, s+1, c)
						}
					}
					if l.Straight < 0 || sum > 1 || l.Sharp < 0 || l.Sharp > 1 {
						t.Errorf("%s, string %d: the filter's parts %v sum to %g", r.Name, s+1, l, sum)
					}
				}
			}
		}
	}
	if checked < 1000 {
		t.Fatalf("only %d partials were compared", checked)
	}
}
