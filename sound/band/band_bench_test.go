package band

import (
	"fmt"
	"testing"

	"lapwright/arrange"
	"lapwright/sound"
)

// BenchmarkWithBand sounds a minute of a tune on six strings with a band.
func BenchmarkWithBand(b *testing.B) {
	src := "X:1\nT:x\nM:4/4\nL:1/8\nQ:1/4=120\nK:G\n"
	for i := range 29 {
		src += fmt.Sprintf("%q%s|", []string{"G", "C", "D7", "Em"}[i%4], []string{"GBdB gdBd", "cege cege", "dfaf dfaf", "egbg egbg"}[i%4])
		if i%4 == 3 {
			src += "\n"
		}
	}
	t := read(b, src+"\n")
	res, err := arrange.Arrange(b.Context(), t.Tune, t.Rig, arrange.Options{})
	if err != nil {
		b.Fatal(err)
	}
	backing, err := NewBacking(res.Tab, nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name string
		o    sound.Options
	}{{"alone", sound.Options{}}, {"band", sound.Options{Band: backing}}} {
		b.Run(c.name, func(b *testing.B) {
			made := 0.0
			for b.Loop() {
				s, err := sound.RenderStems(res.Tab, c.o)
				if err != nil {
					b.Fatal(err)
				}
				made += s.Lead.Seconds()
			}
			b.ReportMetric(made/b.Elapsed().Seconds(), "x-realtime")
		})
	}
}
