package loss

import (
	"math"
	"math/cmplx"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/sound/filter"
	"lapwright/wire"
)

// Law is what a string loses by itself and at its two ends, the bridge left
// out. A partial of frequency f in hertz, of a string whose fundamental is f1,
// dies at
//
//	σ = a + b·√f + c·f + e·f³ + end·f1     in 1/s
//
// with, for a string of mass per length μ in kg/m, diameter d in m, pull T in N
// and bending stiffness EI in N·m² (C. Valette and C. Cuesta, Mécanique de la corde
// vibrante, 1993; in this form A. Paté et al., Journal of the Acoustical Society of
// America 135, 2014, 3045, and C. Issanchou et al., Journal of Sound and Vibration 393, 2017,
// whose constants for a plain steel string are taken over, as read in public code that names it):
//
//	a = π·η/μ                the air's viscosity
//	b = π·d·√(π·η·ρ)/μ       the air's boundary layer
//	c = π·φ                  inner friction
//	e = 4π³·μ·EI·δ/T²        bending
//
// end is what a nut or a steel takes at each return of the wave.
type Law struct{ a, b, c, e, nut, steel float64 }

const (
	airViscosity = 1.8e-5 // η, Pa·s (Issanchou et al., as above)
	airDensity   = 1.2    // ρ, kg/m³ (the same)

	plainBending  = 4.5e-3  // δ of a plain string (the same)
	plainFriction = 2.03e-4 // φ of a plain string (the same)
	// woundBending is δ of a wound string. Issanchou's bass string has 0.01, which would end
	// all above 2 kHz on a thick one within 0.3 s; ours, with woundFriction.
	woundBending = 2.5e-4
	// woundFriction is φ of a wound string, the turns rubbing on each other
	// included. What is printed for one, 6e-6, would let it ring for minutes; this is ours, set
	// so that 4 to 6 kHz dies as on recorded wound strings (TestStrokesAgainstRecorded).
	woundFriction = 2.4e-4

	// nutReturn and steelReturn are the shares of a wave's height that are lost at
	// a nut, and under the steel besides what steelGives takes, at each return: ours, by measurement.
	nutReturn   = 2.5e-4
	steelReturn = 9e-4
)

// Of returns the losses of a string on a rig, tuned to f.
func Of(r *rig.Rig, w wire.String, f pitch.Hz) Law {
	mu := float64(w.MassPerLength())
	pull := float64(w.Tension(r.Scale, f))
	length := float64(r.Scale) / 1000
	// B = π²·EI/(T·L²) gives EI back.
	bending := w.Inharmonicity(r.Scale, f) * pull * length * length / (math.Pi * math.Pi)
	delta, friction := plainBending, plainFriction
	if w.Wound {
		delta, friction = woundBending, woundFriction
	}
	l := lawOf(mu, float64(w.Diameter)/1000, pull, bending, delta, friction)
	l.nut, l.steel = nutReturn, steelReturn+2*math.Sqrt(pull*mu)*steelGives(r.Steel.Mass/1000, float64(f))
	return l
}

// lawOf gives the law of a string without its ends, in SI units.
func lawOf(mu, d, pull, bending, delta, friction float64) Law {
	return Law{
		a: math.Pi * airViscosity / mu,
		b: math.Pi * d * math.Sqrt(math.Pi*airViscosity*airDensity) / mu,
		c: math.Pi * friction,
		e: 4 * math.Pow(math.Pi, 3) * mu * bending * delta / (pull * pull),
	}
}

// The hand that holds the steel, as a spring and a damper beside its mass: from memory of
// the size of what ISO 10068 gives for the impedance of hand and arm, less for fingers.
const (
	handSpring = 3000.0 // N/m
	handDamper = 30.0   // N·s/m
	usualSteel = 0.2    // kg, where the rig gives none
)

// steelGives returns the conductance in s/kg with which a steel of a mass in kg
// yields to a string of frequency f in hertz: the real part of
// 1/(r + j·(ω·m − k/ω)). Over a string of wave impedance Z it takes 2·Z times that
// share at each return.
func steelGives(mass, f float64) float64 {
	if mass == 0 {
		mass = usualSteel
	}
	w := 2 * math.Pi * f
	x := w*mass - handSpring/w
	return handDamper / (handDamper*handDamper + x*x)
}

// Ln1000 is the natural logarithm of 60 dB: σ = Ln1000 / T60.
const Ln1000 = 6.907755278982137

// Rate returns σ in 1/s for a partial at f hertz of a string whose fundamental is f1.
func (l *Law) Rate(f1, f float64, barred bool) float64 {
	end := l.nut
	if barred {
		end = l.steel
	}
	return l.a + l.b*math.Sqrt(f) + l.c*f + l.e*f*f*f + end*f1
}

// Shelves is how many one-pole low-passes stand side by side in a loss filter.
const Shelves = 3

// Poles are their coefficients, for corners at 600 Hz, 3 kHz and 13 kHz.
var Poles = [Shelves]float64{
	1 - math.Exp(-2*math.Pi*600/filter.Rate), 1 - math.Exp(-2*math.Pi*3000/filter.Rate), 1 - math.Exp(-2*math.Pi*13000/filter.Rate),
}

// Filter is
//
//	H(z) = (straight + Σ low[k]·L_k(z)) · (1 − sharp·(1−z²)²·(1−z⁻²)²/16)·z⁻⁴
//
// with L_k a one-pole low-pass of gain 1 at rest. The first factor's losses grow
// with f² at most; the second's, sharp·sin⁴ω, up to 12 kHz with f⁴, as a thick string's
// bending needs. No coefficient is negative, those of the first sum to at most
// 1 and sharp is at most 1, so that no frequency gains anything at any setting,
// nor between two settings.
type Filter struct {
	Straight float64
	Low      [Shelves]float64
	Sharp    float64
}

// Response returns the filter's answer at ω radians a sample.
func (l *Filter) Response(w float64) complex128 {
	z := cmplx.Exp(complex(0, -w))
	h := complex(l.Straight, 0)
	for k, c := range l.Low {
		p := complex(Poles[k], 0)
		h += complex(c, 0) * p / (1 - (1-p)*z)
	}
	return h * complex(1-l.Sharp*bendingAt(w), 0) * z * z * z * z
}

// bendingAt returns sin⁴ω.
func bendingAt(w float64) float64 {
	s := math.Sin(w)
	return s * s * s * s
}

// lossParts are the parts of a loss that add up: the Shelves, the sharp one, and one alike for all.
const lossParts = Shelves + 2

// fit returns the filter whose gain follows exp(−rate(f)/f1), the loss of one
// round trip, from f1 to 10 kHz or where a round trip takes 1.7 dB, past which a partial is
// over before it is heard: least squares of the relative error of the
// loss over coefficients that are not negative (leastSquares), repeated
// with the wanted loss bent by what was missed, since the sum of the
// parts is the loss only while it is small.
func fit(rate func(f float64) float64, f1 float64) Filter {
	const points = 24
	var basis [points][lossParts]float64
	var freq, want, bent, weigh [points]float64
	const over = 0.2 // nepers: 1.7 dB
	top := min(12000, max(10000, 2*f1))
	for top > 2*f1 && rate(top)/f1 > over {
		top *= 0.97
	}
	for i := range points {
		freq[i] = f1 * math.Pow(top/f1, float64(i)/(points-1))
		want[i] = rate(freq[i]) / f1
		w := 2 * math.Pi * freq[i] / filter.Rate
		z := cmplx.Exp(complex(0, -w))
		for k, p := range Poles {
			basis[i][k] = 1 - real(complex(p, 0)/(1-complex(1-p, 0)*z))
		}
		basis[i][Shelves], basis[i][Shelves+1] = bendingAt(w), 1
	}
	bent = want
	// The low partials are heard longest: they weigh up to three times as much.
	for i := range points {
		weigh[i] = want[i] * (1 + 0.7*float64(i)/(points-1))
	}
	var l Filter
	for range 10 {
		l = filterOf(leastSquares(basis[:], bent[:], weigh[:]))
		for i := range points {
			has := -math.Log(cmplx.Abs(l.Response(2 * math.Pi * freq[i] / filter.Rate)))
			bent[i] = min(4*want[i], max(want[i]/2, bent[i]*math.Sqrt(want[i]/max(has, 1e-9))))
		}
	}
	return l
}

// filterOf makes the filter of the parts of a loss.
func filterOf(c [lossParts]float64) Filter {
	l := Filter{Low: [Shelves]float64(c[:Shelves]), Sharp: min(1, c[Shelves])}
	all := min(0.98, c[Shelves+1])
	sum := 0.0
	for _, v := range l.Low {
		sum += v
	}
	if room := 0.98 - all; sum > room { // more than Shelves can take
		for k := range l.Low {
			l.Low[k] *= room / sum
		}
		sum = room
	}
	l.Straight = 1 - all - sum
	return l
}

// leastSquares returns the c, none below 0, for which basis·c comes nearest to y,
// nor that of the sharp part above 1, errors weighed against scale: of every choice of parts
// that are let be more than 0, with the sharp one free or at 1, the best whose solution keeps to
// that. There are few parts, so all are tried.
func leastSquares(basis [][lossParts]float64, y, scale []float64) (best [lossParts]float64) {
	var gram [lossParts][lossParts]float64
	var right [lossParts]float64
	for i, row := range basis {
		w := 1 / (scale[i] * scale[i])
		for j := range row {
			right[j] += w * row[j] * y[i]
			for k := range row {
				gram[j][k] += w * row[j] * row[k]
			}
		}
	}
	least := 0.0  // of the squared error, less what it is with nothing at all
	held := right // what is left to the others when the sharp part is all it can be
	for j := range held {
		held[j] -= gram[j][Shelves]
	}
	try := func(c [lossParts]float64, ok bool) {
		if !ok || c[Shelves] > 1 {
			return
		}
		gain := 0.0
		for j, v := range c {
			gain -= 2 * v * right[j]
			for k, u := range c {
				gain += v * gram[j][k] * u
			}
		}
		if gain < least {
			least, best = gain, c
		}
	}
	for set := range 1 << lossParts {
		try(solve(gram, right, set))
		if set>>Shelves&1 == 0 {
			c, ok := solve(gram, held, set)
			c[Shelves] = 1
			try(c, ok)
		}
	}
	return best
}

// solve solves gram·c = right for the parts in set, the others 0, by elimination (gram is
// positive definite). ok is false when any comes out below 0.
func solve(gram [lossParts][lossParts]float64, right [lossParts]float64, set int) (c [lossParts]float64, ok bool) {
	in := func(j int) bool { return set>>j&1 == 1 }
	for p := range lossParts {
		if !in(p) {
			continue
		}
		for j := p + 1; j < lossParts; j++ {
			if !in(j) {
				continue
			}
			m := gram[j][p] / gram[p][p]
			for k := p; k < lossParts; k++ {
				gram[j][k] -= m * gram[p][k]
			}
			right[j] -= m * right[p]
		}
	}
	for p := lossParts - 1; p >= 0; p-- {
		if !in(p) {
			continue
		}
		v := right[p]
		for k := p + 1; k < lossParts; k++ {
			if in(k) {
				v -= gram[p][k] * c[k]
			}
		}
		if c[p] = v / gram[p][p]; c[p] < 0 || math.IsNaN(c[p]) {
			return c, false
		}
	}
	return c, true
}

// perOctave is how many pitches of each octave have filters worked out for them;
// between two the coefficients go evenly, which errs by less than 1 % of the loss.
const perOctave = 4

// Table holds a string's loss filters over the pitches it comes to, open and
// under the steel.
type Table struct {
	first   float64 // the lowest pitch's octaves over 1 Hz
	filters [2][]Filter
}

// NewTable works out the filters for fundamentals from lo to hi hertz.
func NewTable(l Law, lo, hi float64) *Table {
	t := &Table{first: math.Log2(lo)}
	n := int(math.Ceil((math.Log2(hi)-t.first)*perOctave)) + 2
	for barred := range t.filters {
		for i := range n {
			f1 := math.Exp2(t.first + float64(i)/perOctave)
			t.filters[barred] = append(t.filters[barred], fit(func(f float64) float64 { return l.Rate(f1, f, barred == 1) }, f1))
		}
	}
	return t
}

// Filter returns the filter for fundamental f1.
func (t *Table) Filter(f1 float64, barred bool) Filter {
	list := t.filters[0]
	if barred {
		list = t.filters[1]
	}
	at := max(0, (math.Log2(f1)-t.first)*perOctave)
	i := min(int(at), len(list)-2)
	u := min(1, at-float64(i))
	p, q := &list[i], &list[i+1]
	out := Filter{Straight: p.Straight + u*(q.Straight-p.Straight)}
	out.Sharp = p.Sharp + u*(q.Sharp-p.Sharp)
	for k := range out.Low {
		out.Low[k] = p.Low[k] + u*(q.Low[k]-p.Low[k])
	}
	return out
}
