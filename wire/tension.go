package wire

import (
	"math"

	"lapwright/pitch"
)

// YoungsModulus is the stiffness of music wire in MPa that is used throughout.
// Sources give 190 to 210 GPa; stainless wire is some 4 % softer.
const YoungsModulus = 200_000

const metre = 1e-3 // millimetres in metres

// Pull returns the tension of a string of mass per length μ (kg/m) and vibrating
// length L that sounds f: T = μ·(2·L·f)², Mersenne's law in Taylor's form, L in
// metres (OpenStax, University Physics volume 1, section 16.3 and chapter 17).
func Pull(mu KgPerM, l MM, f pitch.Hz) Newtons {
	v := 2 * float64(l) * metre * float64(f)
	return Newtons(float64(mu) * v * v)
}

// Sounds is the inverse of Pull: f = √(T/μ)/(2·L). All must be above zero.
func Sounds(mu KgPerM, l MM, t Newtons) pitch.Hz {
	return pitch.Hz(math.Sqrt(float64(t)/float64(mu)) / (2 * float64(l) * metre))
}

// Tension returns the pull of the string at a vibrating length and frequency. Its
// relative uncertainty is MassSpread.
func (s String) Tension(l MM, f pitch.Hz) Newtons { return Pull(s.MassPerLength(), l, f) }

// Stretch returns how much a length L of the string grows when its pull rises by
// t: ΔL = t·L/(E·A), Hooke's law, A the area of what carries the pull. The wrap
// carries none.
func (s String) Stretch(l MM, t Newtons) MM {
	return l * MM(float64(t)/(YoungsModulus*s.CoreArea()))
}

// Travel returns how far a bender or a tuning peg must draw the string to bring
// it from one frequency to another at vibrating length L; negative when it is
// let out. Only the vibrating length is stretched in this model: string beyond
// nut and bridge adds its share, and parts that give add theirs.
func (s String) Travel(l MM, from, to pitch.Hz) MM {
	return s.Stretch(l, s.Tension(l, to)-s.Tension(l, from))
}

// Inharmonicity returns B of the stiff string's partials f_n = n·f0·√(1 + B·n²):
//
//	B = π³·E·d⁴/(64·T·L²)
//
// d the diameter of what is stiff (the string, or the round wire of the same
// area as its core), T the pull at frequency f, L the vibrating length
// (Fletcher and Rossing, The Physics of Musical Instruments, 2nd edition 1998,
// section 2.18, pinned ends). For wound strings it is a lower bound: the wrap
// adds a little stiffness of its own.
func (s String) Inharmonicity(l MM, f pitch.Hz) float64 {
	d := float64(s.roundCore())
	t := float64(s.Tension(l, f))
	return math.Pow(math.Pi, 3) * YoungsModulus * math.Pow(d, 4) / (64 * t * float64(l*l))
}

// Sharpening returns how far partial n of a stiff string lies above n times the
// ideal fundamental.
func Sharpening(b float64, n int) pitch.Cents {
	return pitch.Cents(600 * math.Log2(1+b*float64(n*n)))
}

// Pressed returns how far the pitch rises when the steel, at distance x from the
// nut, pushes the string down by depth, beyond what the steel's place gives: the
// whole string from nut to bridge is drawn longer, and the part that sounds is
// the hypotenuse. Straight elastic model, no friction at nut, steel or bridge:
//
//	ΔT = E·A·(√(x²+δ²) + √((L−x)²+δ²) − L)/L
//	rise = 1200·log2( √(1+ΔT/T)·(L−x)/√((L−x)²+δ²) )
//
// T is the pull at open frequency f; 0 < x < L.
func (s String) Pressed(l MM, f pitch.Hz, x, depth MM) pitch.Cents {
	rest, d := float64(l-x), float64(depth)
	sounding := math.Hypot(rest, d)
	longer := math.Hypot(float64(x), d) + sounding - float64(l)
	rise := YoungsModulus * s.CoreArea() * longer / float64(l) / float64(s.Tension(l, f))
	return pitch.Cents(1200 * (0.5*math.Log2(1+rise) + math.Log2(rest/sounding)))
}
