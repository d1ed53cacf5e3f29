package sound

import "math"

// Dither rounds samples to whole steps with triangular noise of
// one step, so that quiet endings do not break up. The zero value begins at a
// fixed seed: the same samples in the same order give the same steps, in every
// file format.
type Dither struct {
	noise   noise
	running bool
}

// ditherSeed fixes the dither, so that files are the same every time.
const ditherSeed = 0x2545f491

// Step returns the step of the next sample in so many bits, the sign one of them: from −32767 to
// 32767 in 16. A sample outside −1 to 1 is clipped, digital silence stays silent. Samples are taken
// channel by channel, moment by moment.
func (d *Dither) Step(v float32, bits int) int32 {
	if !d.running {
		d.noise, d.running = ditherSeed, true
	}
	if v == 0 {
		return 0
	}
	full := float64(int32(1)<<(bits-1) - 1)
	x := float64(v)*full + 0.5*(d.noise.next()+d.noise.next())
	return int32(math.Round(min(max(x, -full), full)))
}
