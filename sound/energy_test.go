package sound

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lapwright/rig"
	"lapwright/sound/loss"
)

// lossless is a string that loses nothing and has no stiffness, at a fixed bridge.
func lossless(hz float64) *loop {
	l := newLoop(Rate / 50)
	l.loss = loss.Filter{Straight: 1}
	l.setDelay(Rate/hz - 4) // the loss filter delays by 4
	return l
}

// energy is that of the waves in a loop, over one period to the part of a sample.
func energy(l *loop) float64 {
	sum, n := 0.0, l.delay+4
	for i := 1; i <= int(n)+1; i++ {
		v := l.buf[(l.w-i)&l.mask]
		sum += v * v * min(1, n-float64(i-1))
	}
	return sum
}

// A steel moved 12 frets up makes the force on the bridge twice as high, 6 dB within half a
// decibel, and 12 down halves it; while it moves, energy over frequency never grows
// (the adiabatic principle; losses off).
func TestGlideKeepsEnergyOverFrequency(t *testing.T) {
	for _, c := range []struct{ from, to float64 }{{220, 440}, {440, 220}, {147, 196}, {330, 247}} {
		l := lossless(c.from)
		n := int(Rate / c.from)
		for i := range n { // a smooth wave with some partials
			u := 2 * math.Pi * float64(i) / float64(n)
			l.arrive(1)
			l.leave(math.Sin(u) + 0.4*math.Sin(2*u+1) + 0.2*math.Sin(3*u+2))
		}
		run := func(samples int) float64 {
			most := 0.0
			for range samples {
				y := l.arrive(1)
				l.leave(y)
				most = max(most, math.Abs(y))
			}
			return most
		}
		before := run(4800)
		last := energy(l) * (l.delay + 4)
		from, to := Rate/c.from, Rate/c.to
		const steps = 600 // of grid samples: 0.4 s
		for i := 1; i <= steps; i++ {
			u := float64(i) / steps
			u = u * u * u * (10 + u*(6*u-15))
			l.move(from+(to-from)*u-4, grid)
			run(grid)
			if i%30 == 0 { // some periods on
				now := energy(l) * (l.delay + 4)
				if now > last*1.005 { // the ends of the window cut a sample in two
					t.Errorf("%g to %g Hz: energy over frequency grew by %.1f %%", c.from, c.to, 100*(now/last-1))
				}
				last = now
			}
		}
		l.setDelay(to - 4)
		got, want := 20*math.Log10(run(4800)/before), 20*math.Log10(c.to/c.from)
		t.Logf("%g to %g Hz: %+.2f dB", c.from, c.to, got)
		if math.Abs(got-want) > 0.5 {
			t.Errorf("%g to %g Hz: the force on the bridge changes by %+.2f dB, want %+.2f", c.from, c.to, got, want)
		}
	}
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
		var loops []*loop // of each string one up and one along the top
		var impedances, z []float64
		for range count {
			hz := float64(rapid.IntRange(70, 1200).Draw(rt, "hz"))
			impedances = append(impedances, rapid.Float64Range(0.1, 2).Draw(rt, "impedance"))
			for range 2 {
				l := lossless(hz)
				l.setDelay(l.delay + rapid.Float64Range(0, 1).Draw(rt, "part of a sample"))
				loops, z = append(loops, l), append(z, impedances[len(impedances)-1])
			}
		}
		b := newBridge(v, impedances)
		r := noise(rapid.Uint64Range(1, math.MaxUint64).Draw(rt, "noise"))
		step := func(in float64) (out float64) {
			var sum [2]float64
			y := make([]float64, len(loops))
			for i, l := range loops {
				y[i] = l.arrive(1) + in*r.next()
				sum[i%2] += y[i]
			}
			b.move(sum[0], sum[1])
			for i, l := range loops {
				back := y[i] - z[i]*[2]float64{b.v, b.vAlong}[i%2]
				l.leave(back)
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
			waves += energy(l) / z[i]
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
			after += energy(l) / z[i]
		}
		if after > waves+held {
			rt.Fatalf("the waves' energy went from %g and %g in the bridge to %g", waves, held, after)
		}
	})
	if checks == 0 {
		t.Fatal("nothing was tried")
	}
}
