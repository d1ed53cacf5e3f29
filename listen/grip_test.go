package listen

import (
	"math"
	"math/rand"
	"testing"

	"lapwright/listen/listentest"
	"lapwright/rig/rigtest"
	"lapwright/sound"
	"lapwright/steel"
	"lapwright/tune"
)

// grips makes a tab of n grips of two strings, or now and then of three, straight and slanted.
func grips(t *testing.T, rigName string, seed int64, n int) ([]listentest.Spot, string) {
	t.Helper()
	r := rigtest.Builtin(t, rigName)
	rnd := rand.New(rand.NewSource(seed))
	var spots []listentest.Spot
	for len(spots) < n {
		a := 1 + rnd.Intn(len(r.Strings)-2)
		b := a + 1 + rnd.Intn(2)
		f := float64(2 + rnd.Intn(11))
		s := listentest.Spot{Strings: []int{a, b}, Frets: []float64{f, f}, Len: []tune.Ticks{quarter, 2 * quarter}[rnd.Intn(2)]}
		switch rnd.Intn(4) {
		case 0:
			s.Frets[0]++
		case 1:
			s.Frets[1]++
		case 2:
			if b+1 <= len(r.Strings) && b == a+1 {
				s.Strings, s.Frets = append(s.Strings, b+1), append(s.Frets, f)
			}
		}
		spots = append(spots, s)
	}
	return spots, rigName
}

// The errors are known because they were put in.
func TestGripsAreMeasured(t *testing.T) {
	t.Parallel()
	takes := 3
	if sweeping() {
		takes = 16
	}
	var cents, triple, lean, outer, mm []float64
	strings, told, sureWrong := 0, 0, 0
	for k := range takes {
		spots, name := grips(t, []string{"reso-open-g", "lap6-c6", "hollow-neck-open-d"}[k%3], int64(300+k), 24)
		r := rigtest.Builtin(t, name)
		want := lay(r, 80, spots)
		take := played(want)
		rnd := rand.New(rand.NewSource(int64(k)))
		for i := range take.Strokes {
			// The steel lies off as a whole and leans.
			all, more := 8*rnd.NormFloat64(), 6*rnd.NormFloat64()
			first := spots[i].Strings[0]
			if len(spots[i].Strings) > 2 {
				more = 0 // three strings lie on a line only as the geometry has it
			}
			off(take, i, func(str int) float64 { return all + more*float64(str-first) })
		}
		v := review(t, mono(t, take, sound.Options{Seed: uint64(k)}), want)
		if v.Refused != "" {
			t.Errorf("take %d is refused: %s", k, v.Refused)
			continue
		}
		g := steel.New(r)
		at := 0
		for i := range want.Strokes {
			for j := range want.Strokes[i].Plucks {
				n := v.Notes[at]
				at++
				strings++
				if !n.Sure || math.IsNaN(n.Cents) {
					continue
				}
				told++
				is := 100 * (take.Strokes[i].Plucks[j].Fret - want.Strokes[i].Plucks[j].Fret)
				if len(spots[i].Strings) > 2 {
					triple = append(triple, math.Abs(n.Cents-is))
				} else {
					cents = append(cents, math.Abs(n.Cents-is))
				}
				if math.Abs(n.Cents-is) > 10 {
					sureWrong++
					t.Logf("take %d stroke %d string %d of %v %v: %.1f for %.1f", k, i, n.String, spots[i].Strings, spots[i].Frets, n.Cents, is)
				}
				isMM := float64(g.X(take.Strokes[i].Plucks[j].Fret) - g.X(want.Strokes[i].Plucks[j].Fret))
				mm = append(mm, math.Abs(n.SteelMM-isMM))
			}
		}
		for _, s := range v.Slants {
			for i := range want.Strokes {
				at := tune.Ticks(want.Strokes[i].BarIndex)*tune.Whole + want.Strokes[i].At
				if at != s.At || !s.Sure {
					continue
				}
				p := take.Strokes[i].Plucks
				apart := math.Abs(float64(g.Y(p[0].String, g.X(p[0].Fret)) - g.Y(p[len(p)-1].String, g.X(p[len(p)-1].Fret))))
				outer = append(outer, apart*math.Abs(math.Tan(s.Degrees*math.Pi/180)-math.Tan(leanOf(g, p)*math.Pi/180)))
				lean = append(lean, math.Abs(s.Degrees-leanOf(g, take.Strokes[i].Plucks)))
			}
		}
	}
	m, p, m3 := quantile(cents, 0.5), quantile(cents, 0.95), quantile(triple, 0.5)
	t.Logf("%d strings, %d told: of double stops %d, median %.2f cents, 95 %% %.2f; of triples %d, median %.2f, 95 %% %.2f; steel median %.2f mm, 95 %% %.2f; lean: %d, median %.2f, 95 %% %.2f degrees",
		strings, told, len(cents), m, p, len(triple), m3, quantile(triple, 0.95), quantile(mm, 0.5), quantile(mm, 0.95), len(lean), quantile(lean, 0.5), quantile(lean, 0.95))
	t.Logf("lean between the outer strings: median %.2f mm, 95 %% %.2f", quantile(outer, 0.5), quantile(outer, 0.95))
	if !(m < 3) || !(m3 < 5) || !(quantile(mm, 0.5) < 0.8) || told*10 < strings*8 || sureWrong*25 > told || !(quantile(outer, 0.5) < 1.2) || !(quantile(lean, 0.5) < 1.5) {
		t.Errorf("want medians below 3 cents, and 5 for triples, the steel within 0.8 mm, the lean within 1.2 mm between the outer strings and 1.5 degrees, 8 of 10 strings told, hardly any wrong and sure (%d)", sureWrong)
	}
}
