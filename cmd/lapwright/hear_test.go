package main

import (
	"math"
	"testing"

	"lapwright/arrange"
	"lapwright/notation/abc"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/sound/loudness"
)

// Lead, backing, click and drone are of one length and together, sample for sample, what full is; no sum of
// some of them goes over the ceiling.
func TestPartsAreTheWhole(t *testing.T) {
	tunes, _, err := abc.Read([]byte("X:1\nT:x\nM:4/4\nL:1/4\nQ:1/4=160\nK:G\n\"G\"GBdg|\"D7\"[DFAd]2[DFAd]2|\"G\"[GBd]4|]\n"), "x.abc")
	if err != nil {
		t.Fatal(err)
	}
	r, _ := rig.Builtin("reso-open-g")
	res, err := arrange.Arrange(t.Context(), tunes[0], r, arrange.Options{})
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string][][]float32{}
	for _, part := range []string{"full", "lead", "backing", "click", "drone"} {
		c := &hearCommand{Part: part, Drone: "fifth", Feel: "usual"}
		tb, backing, err := c.backing(res.Tab)
		if err != nil {
			t.Fatal(err)
		}
		s, err := sound.NewStream(tb, sound.Options{Click: true, CountIn: 1, Band: backing, Loudness: -10})
		if err != nil {
			t.Fatal(err)
		}
		drone, err := c.drone(tb, s.Len())
		if err != nil {
			t.Fatal(err)
		}
		var out [][]float32
		for {
			b, err := s.Next(4096)
			if err != nil {
				t.Fatal(err)
			}
			if b == nil {
				break
			}
			for k, x := range c.heard(b, drone) {
				if len(out) <= k {
					out = append(out, nil)
				}
				out[k] = append(out[k], x...)
			}
		}
		if len(out[0]) != s.Len() {
			t.Errorf("%s has %d samples, want %d", part, len(out[0]), s.Len())
		}
		parts[part] = out
	}
	loudest := map[string]float64{}
	for side := range 2 {
		for i, v := range parts["full"][side] {
			sum := 0.0
			for name, p := range parts {
				if name != "full" {
					x := float64(p[min(side, len(p)-1)][i])
					sum += x
					loudest[name] = max(loudest[name], math.Abs(x))
				}
			}
			if math.Abs(sum-float64(v)) > 1e-6 {
				t.Fatalf("side %d, sample %d: the parts make %g, full is %g", side, i, sum, v)
			}
		}
	}
	for _, name := range []string{"lead", "backing", "click", "drone"} {
		if loudest[name] < 0.01 {
			t.Errorf("%s has nothing over %g", name, loudest[name])
		}
	}
	sums := [][]string{{"full"}, {"lead", "backing"}, {"backing", "click"}, {"lead", "backing", "drone"}, {"backing", "click", "drone"}}
	for _, names := range sums {
		mixed := [2][]float32{make([]float32, len(parts["full"][0])), make([]float32, len(parts["full"][0]))}
		for _, name := range names {
			p := parts[name]
			for side := range mixed {
				for i, v := range p[min(side, len(p)-1)] {
					mixed[side][i] += v
				}
			}
		}
		var m loudness.Meter
		m.Add(mixed[0], mixed[1])
		if m.TruePeak() > sound.Ceiling {
			t.Errorf("%v together reach %.2f dBTP", names, m.TruePeak())
		}
	}
}
