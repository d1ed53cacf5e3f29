package sound

import (
	"math"
	"math/cmplx"

	"lapwright/sound/filter"
)

// bridge is where all strings meet and the body begins. It moves at one speed V
// under the sum F of the strings' forces: V = Y·F with Y the sum of its modes,
// each a mass on a spring with a damper,
//
//	Y(s) = Σ Y_k · (ω_k/Q_k)·s / (s² + (ω_k/Q_k)·s + ω_k²),
//
// Y_k in s/kg being how far the mode gives way at its own frequency (J. Woodhouse,
// On the synthesis of guitar plucks, Acta Acustica 90, 2004, 928, for strings at a
// common modal bridge). A wave of force a that arrives on a string of wave
// impedance Z presses with 2·a − Z·V and goes back as a − Z·V. Each mode is
// taken to samples by the bilinear transform, which keeps it passive; the part of V
// that answers F at once is solved for, so nothing is late by a sample and,
// whatever the modes, the strings together never gain from the bridge.
type bridge struct {
	count          int
	a1, a2, direct [maxModes]float64
	z1, z2         [maxModes]float64
	gives          [maxModes]float64 // Y_k
	left, right    [maxModes]float64 // what is heard of its speed
	straight       float64
	instant        float64 // Σ Y_k·direct_k
	sumZ           float64 // of all strings, by how they lean on the bridge
	shrink         float64 // 1/(1 + instant·sumZ)

	v       float64
	highest float64 // of |V| lately
	loud    bool    // whether it moved lately
}

// maxModes bounds the modes of a bridge.
const maxModes = 16

// alongLean is how much of a string's motion along the top the bridge takes part
// in, by which it rocks: ours, set so that as many notes decay in two stages as docs/sound.md says.
const alongLean = 0.26

func newBridge(v voice, impedances []float64) *bridge {
	b := &bridge{count: len(v.modes), straight: v.straight}
	r := noise(bodySeed)
	for i, m := range v.modes {
		res := filter.NewResonance(m.hz, m.q)
		b.a1[i], b.a2[i], b.direct[i], b.gives[i] = res.A1, res.A2, res.Gain, m.gives
		b.left[i], b.right[i] = aside(&r, m)
		b.instant += m.gives * res.Gain
	}
	for _, z := range impedances {
		b.sumZ += z * (1 + alongLean*alongLean)
	}
	b.shrink = 1 / (1 + b.instant*b.sumZ)
	return b
}

// move takes one sample of the sum of arriving waves and gives what is heard left
// and right; v is then the bridge's speed.
func (b *bridge) move(arriving float64) (force, left, right float64) {
	held := 0.0
	for i := range b.count {
		held += b.gives[i] * b.z1[i]
	}
	b.v = (b.instant*2*arriving + held) * b.shrink
	force = 2*arriving - b.sumZ*b.v
	for i := range b.count {
		x := force * b.direct[i]
		y := x + b.z1[i]
		b.z1[i] = b.z2[i] - b.a1[i]*y
		b.z2[i] = -x - b.a2[i]*y
		left += b.left[i] * y
		right += b.right[i] * y
	}
	if b.v > b.highest {
		b.highest = b.v
	} else if -b.v > b.highest {
		b.highest = -b.v
	}
	return force, left, right
}

// noteMotion says now and then whether the bridge still moves.
func (b *bridge) noteMotion() {
	b.loud = b.highest > 1e-7
	b.highest = 0
}

// admittance returns the admittance in s/kg and what is heard of a force, at f hertz.
func (b *bridge) admittance(f float64) (y, heard complex128) {
	z := cmplx.Exp(complex(0, -2*math.Pi*f/Rate))
	heard = complex(b.straight, 0)
	for i := range b.count {
		h := complex(b.direct[i], 0) * (1 - z*z) / (1 + complex(b.a1[i], 0)*z + complex(b.a2[i], 0)*z*z)
		y += complex(b.gives[i], 0) * h
		heard += complex(b.left[i], 0) * h
	}
	return y, heard
}

// bridgeGrid is how finely the bridge's answer is tabled: steps to the octave
// from minHz up, and how many.
const (
	bridgeSteps = 96
	bridgeCount = 9 * bridgeSteps
)

// answers is the bridge's answer over frequency, tabled once for all strings.
type answers struct {
	y     [bridgeCount]complex128
	heard [bridgeCount]float64
}

func (b *bridge) answers() *answers {
	a := &answers{}
	for i := range a.y {
		y, h := b.admittance(min(minHz*math.Exp2(float64(i)/bridgeSteps), 0.49*Rate))
		a.y[i], a.heard[i] = y, cmplx.Abs(h)
	}
	return a
}

// lag returns by how many samples the bridge delays the partial at f hertz of a
// string of wave impedance z, and how loud the body makes it.
func (a *answers) lag(z, f float64) (samples, heard float64) {
	at := math.Log2(f/minHz) * bridgeSteps
	i := max(0, min(int(at), bridgeCount-2))
	u := at - float64(i)
	zy := complex(z, 0) * (a.y[i] + complex(u, 0)*(a.y[i+1]-a.y[i]))
	return -cmplx.Phase((1-zy)/(1+zy)) / (2 * math.Pi * f / Rate), a.heard[i] + u*(a.heard[i+1]-a.heard[i])
}
