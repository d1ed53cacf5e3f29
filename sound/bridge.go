package sound

import (
	"math"
	"math/cmplx"

	"lapwright/sound/filter"
	"lapwright/tab"
)

// bridge is where all strings meet and the body begins. It moves with the velocity V, up and
// along the top, under the sum F of the strings' forces: V = Y·F with Y the sum of its modes,
// each a mass on a spring with a damper that moves in a direction d of its own,
//
//	Y(s) = Σ Y_k · d_k·d_kᵀ · (ω_k/Q_k)·s / (s² + (ω_k/Q_k)·s + ω_k²),   d_k = (1, lean_k),
//
// Y_k in s/kg being how far the mode gives way at its own frequency (J. Woodhouse,
// On the synthesis of guitar plucks, Acta Acustica 90, 2004, 928, for strings at a
// common modal bridge). As every mode leans by little, a string's motion up dies of the bridge and that along
// the top next to not; as they do not all lean alike, the two are weakly coupled, and what is left of a note
// when the first is over is heard: so decay has two stages where a mode takes much (G. Weinreich, Coupled piano strings, Journal of the
// Acoustical Society of America 62, 1977, 1474, for the two polarisations of one string, from memory).
//
// A wave of force a that arrives on a string of wave
// impedance Z presses with 2·a − Z·V and goes back as a − Z·V. Each mode is
// taken to samples by the bilinear transform, which keeps it passive; the part of V
// that answers F at once is solved for, so nothing is late by a sample and,
// whatever the modes, the strings together never gain from the bridge.
type bridge struct {
	count          int
	a1, a2, direct [maxModes]float64
	z1, z2         [maxModes]float64
	gives, lean    [maxModes]float64 // Y_k, lean_k
	left, right    [maxModes]float64 // what is heard of its speed
	aside          float64           // how much of the pull along the top is heard without the modes
	instant        matrix            // Σ Y_k·direct_k·d_k·d_kᵀ
	sumZ           float64           // of all strings
	shrink         matrix            // (1 + sumZ·instant)⁻¹

	v, vAlong float64
	highest   float64 // of |v| lately
	loud      bool    // whether it moved lately
}

// matrix is symmetric: up by up, up by along, along by along.
type matrix struct{ up, cross, along float64 }

// maxModes bounds the modes of a bridge.
const maxModes = 16

// leanOf returns lean_k of a voice's modes: a mode rocks along the top as it moves up, one to one side and the next to the other; the one that
// stands for the weak ones rocks to neither.
func leanOf(v voice, k int) float64 {
	if k == len(v.modes) {
		return 0
	}
	return v.lean * wayOf(k)
}

// wayOf returns which way mode k moves against the first.
func wayOf(k int) float64 { return 1 - 2*float64(k%2) }

func newBridge(v voice, impedances []float64) *bridge {
	felt := v.modes
	if v.weak.count > 0 {
		felt = append(felt[:len(felt):len(felt)], v.weak.felt())
	}
	b := &bridge{count: len(felt), aside: v.lean}
	r := noise(bodySeed)
	for i, m := range felt {
		res := filter.NewResonance(m.hz, m.q)
		b.a1[i], b.a2[i], b.direct[i], b.gives[i], b.lean[i] = res.A1, res.A2, res.Gain, m.gives, leanOf(v, i)
		if i < len(v.modes) {
			b.left[i], b.right[i] = aside(&r, m, v.heard(m)*wayOf(i))
		}
		at, lean := m.gives*res.Gain, b.lean[i]
		b.instant.up += at
		b.instant.cross += at * lean
		b.instant.along += at * lean * lean
	}
	for _, z := range impedances {
		b.sumZ += z
	}
	up, cross, along := 1+b.sumZ*b.instant.up, b.sumZ*b.instant.cross, 1+b.sumZ*b.instant.along
	det := up*along - cross*cross
	b.shrink = matrix{along / det, -cross / det, up / det}
	return b
}

// move takes one sample of the sums of arriving waves, up and along, and gives the force that presses up and what is heard left
// and right; v and vAlong are then the bridge's velocity.
func (b *bridge) move(up, along float64) (force, left, right float64) {
	var held, heldAlong float64
	for i := range b.count {
		h := b.gives[i] * b.z1[i]
		held += h
		heldAlong += b.lean[i] * h
	}
	held += 2 * (b.instant.up*up + b.instant.cross*along)
	heldAlong += 2 * (b.instant.cross*up + b.instant.along*along)
	b.v = b.shrink.up*held + b.shrink.cross*heldAlong
	b.vAlong = b.shrink.cross*held + b.shrink.along*heldAlong
	force = 2*up - b.sumZ*b.v
	sideways := 2*along - b.sumZ*b.vAlong
	for i := range b.count {
		x := (force + b.lean[i]*sideways) * b.direct[i]
		y := x + b.z1[i]
		b.z1[i] = b.z2[i] - b.a1[i]*y
		b.z2[i] = -x - b.a2[i]*y
		left += b.left[i] * y
		right += b.right[i] * y
	}
	b.highest = max(b.highest, math.Abs(b.v))
	return force + b.aside*sideways, left, right
}

// noteMotion says now and then whether the bridge still moves.
func (b *bridge) noteMotion() {
	b.loud = b.highest > 1e-7
	b.highest = 0
}

// admittance returns the admittances in s/kg up and along, and what is heard of a force upwards, at f hertz.
func (b *bridge) admittance(f float64) (up, along, heard complex128) {
	z := cmplx.Exp(complex(0, -2*math.Pi*f/Rate))
	for i := range b.count {
		h := complex(b.direct[i], 0) * (1 - z*z) / (1 + complex(b.a1[i], 0)*z + complex(b.a2[i], 0)*z*z)
		up += complex(b.gives[i], 0) * h
		along += complex(b.gives[i]*b.lean[i]*b.lean[i], 0) * h
		heard += complex(b.left[i], 0) * h
	}
	return up, along, heard
}

// bridgeGrid is how finely the bridge's answer is tabled: steps to the octave
// from minHz up, and how many.
const (
	bridgeSteps = 96
	bridgeCount = 9 * bridgeSteps
)

// answers is the bridge's answer over frequency, tabled once for all strings.
type answers struct {
	up, along [bridgeCount]complex128
	heard     [bridgeCount]float64
}

func (b *bridge) answers() *answers {
	a := &answers{}
	for i := range a.up {
		var h complex128
		f := min(minHz*math.Exp2(float64(i)/bridgeSteps), 0.49*Rate)
		a.up[i], a.along[i], h = b.admittance(f)
		a.heard[i] = cmplx.Abs(h) * edgePasses(f)
	}
	return a
}

// edgePasses returns how much of f hertz the edges of an ordinary stroke's force leave.
func edgePasses(f float64) float64 {
	half := func(u float64) float64 { // half a cosine, of u half-periods
		if math.Abs(u-1) < 1e-6 {
			return math.Pi / 4
		}
		return math.Cos(math.Pi/2*u) / (1 - u*u)
	}
	u, sharp := 2*f*pickSlip[tab.NoFinger], sharpShare(1)
	return math.Abs((1-sharp)*half(u) + sharp*half(u/sharpTimes))
}

// lag returns by how many samples the bridge delays the partial at f hertz of a
// string of wave impedance z, moving up and along, how much of its power moving up it sends back, and how loud pick and body make it.
func (a *answers) lag(z, f float64) (up, along, sent, heard float64) {
	at := math.Log2(f/minHz) * bridgeSteps
	i := max(0, min(int(at), bridgeCount-2))
	u := at - float64(i)
	back := func(y *[bridgeCount]complex128) complex128 {
		zy := complex(z, 0) * (y[i] + complex(u, 0)*(y[i+1]-y[i]))
		return (1 - zy) / (1 + zy)
	}
	delay := func(r complex128) float64 { return -cmplx.Phase(r) / (2 * math.Pi * f / Rate) }
	r := back(&a.up)
	return delay(r), delay(back(&a.along)), real(r)*real(r) + imag(r)*imag(r), a.heard[i] + u*(a.heard[i+1]-a.heard[i])
}
