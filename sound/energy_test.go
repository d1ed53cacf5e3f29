package sound

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapwright/rig"
	"lapwright/sound/loop"
	"lapwright/sound/loss"
)

// lossless is a string that loses nothing and has no stiffness, at a fixed bridge.
func lossless(hz float64) *loop.Loop {
	l := loop.New(Rate / 50)
	l.Loss = loss.Filter{Straight: 1}
	l.SetDelay(Rate/hz - 4) // the loss filter delays by 4
	return l
}

// With the steel still, strings and bridge together never gain energy, whatever the body, the
// strings' impedances, their pitches and where they are struck: measured as the energy of all waves in
// the lines and of all modes, over a period of the lowest.
func TestEnergyNeverGrows(t *testing.T) {
	kinds := []rig.Body{rig.SquareNeckResonator, rig.Tricone, rig.HollowNeckAcoustic, rig.RoundNeckAcoustic, rig.LapSteel, rig.PedalSteel}
	checks := 0
	rapid.Check(t, func(rt *rapid.T) {
		checks++
		v := voices[kinds[rapid.IntRange(0, len(kinds)-1).Draw(rt, "body")]]
		count := rapid.IntRange(1, 6).Draw(rt, "strings")
		var loops []*loop.Loop // of each string one up and one along the top
		var impedances, z []float64
		for range count {
			hz := float64(rapid.IntRange(70, 1200).Draw(rt, "hz"))
			impedances = append(impedances, rapid.Float64Range(0.1, 2).Draw(rt, "impedance"))
			for range 2 {
				l := lossless(hz)
				l.SetDelay(l.Delay + rapid.Float64Range(0, 1).Draw(rt, "part of a sample"))
				loops, z = append(loops, l), append(z, impedances[len(impedances)-1])
			}
		}
		b := newBridge(v, impedances)
		r := noise(rapid.Uint64Range(1, math.MaxUint64).Draw(rt, "noise"))
		step := func(in float64) (out float64) {
			var sum [2]float64
			y := make([]float64, len(loops))
			for i, l := range loops {
				y[i] = l.Arrive(1) + in*r.next()
				sum[i%2] += y[i]
			}
			b.move(sum[0], sum[1])
			for i, l := range loops {
				back := y[i] - z[i]*[2]float64{b.v, b.vAlong}[i%2]
				l.Leave(back)
				out += (y[i]*y[i] - back*back) / z[i] // what the bridge takes
			}
			return out
		}
		for range 300 {
			step(1)
		}
		// What the strings give the bridge, less what they get back, is never below
		// what it had when they were let be: its modes held at most what they had been given.
		held, given, waves := 0.0, 0.0, 0.0
		for i, l := range loops {
			waves += l.Energy(l.Delay+4) / z[i]
		}
		for k := range b.count {
			held += (b.z1[k]*b.z1[k] + b.z2[k]*b.z2[k]) * b.gives[k] / b.direct[k]
		}
		for range Rate {
			given += step(0)
			if given < -held-1e-9*waves {
				rt.Fatalf("the bridge gave back %g, and held at most %g", -given, held)
			}
		}
		after := 0.0
		for i, l := range loops {
			after += l.Energy(l.Delay+4) / z[i]
		}
		if after > waves+held {
			rt.Fatalf("the waves' energy went from %g and %g in the bridge to %g", waves, held, after)
		}
	})
	if checks == 0 {
		t.Fatal("nothing was tried")
	}
}
