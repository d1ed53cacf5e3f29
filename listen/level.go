package listen

import (
	"cmp"
	"math"

	"lapwright/inorder"
)

// Level is how loud and how clean a take is.
type Level struct {
	Peak    float64 // dB of full scale; −∞ for silence
	Loud    float64 // dB of full scale: the tenth of it that is loudest, as root mean square
	Quiet   float64 // the same of the tenth that is quietest
	Clipped int     // samples in flat runs at the peak
	Hum     float64 // dB of full scale: the mains and its harmonics, in the quietest parts; −∞ when it does not stand out
	HumHz   float64 // 50 or 60, 0 for none
}

// levelFrame is the stretch that loudness is taken over, in seconds.
const levelFrame = 0.1

// Level measures a take.
func (t *Take) Level() Level {
	v := Level{Peak: decibels(t.peak), Loud: math.Inf(-1), Quiet: math.Inf(-1), Clipped: t.clipped, Hum: math.Inf(-1)}
	size := t.sample(levelFrame)
	type frame struct {
		at    float64
		power float64
	}
	var frames []frame
	for at := 0; at+size <= len(t.x); at += size {
		sum := 0.0
		for _, x := range t.x[at : at+size] {
			sum += x * x
		}
		frames = append(frames, frame{(float64(at) + float64(size)/2) / t.rate, sum / float64(size)})
	}
	if len(frames) == 0 {
		return v
	}
	inorder.Stable(frames, func(a, b frame) int { return cmp.Compare(a.power, b.power) })
	tenth := max(1, len(frames)/10)
	mean := func(fs []frame) float64 {
		sum := 0.0
		for _, f := range fs {
			sum += f.power
		}
		return decibels(math.Sqrt(sum / float64(len(fs))))
	}
	v.Quiet, v.Loud = mean(frames[:tenth]), mean(frames[len(frames)-tenth:])
	l := newLook(t.rate)
	for _, hz := range []float64{50, 60} {
		hum, beside := 0.0, 0.0
		for _, f := range frames[:min(tenth, 20)] {
			l.pointAt(t, max(f.at, 0.35), 0.7) // nothing is left 4.3 Hz off: a low C, 65.4, is no hum of 60
			for n := 1.0; n <= 3; n++ {
				hum += l.strength(n*hz) * l.strength(n*hz) / 2
				a, b := l.strength(n*hz-13), l.strength(n*hz+13)
				beside += (a*a + b*b) / 4
			}
		}
		hum /= float64(min(tenth, 20))
		beside /= float64(min(tenth, 20))
		// Ten times what lies beside it is no chance of noise.
		if level := decibels(math.Sqrt(hum)); hum > 10*beside && level > -90 && level > v.Hum {
			v.Hum, v.HumHz = level, hz
		}
	}
	return v
}

func decibels(v float64) float64 { return 20 * math.Log10(v) }
