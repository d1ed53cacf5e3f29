package pitch

import "strconv"

// GCD returns the greatest common divisor of two numbers that aren't negative:
// the one that isn't 0 when the other is.
func GCD[N ~int | ~int64](a, b N) N {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// LCM returns the least common multiple of two positive numbers.
func LCM[N ~int | ~int64](a, b N) N { return a / GCD(a, b) * b }

// Abs returns a number without its sign.
func Abs[N ~int | ~int64](a N) N { return max(a, -a) }

// Mod returns what is left of a divided by a positive n, from 0 to n−1 for
// negative a too: an interval of −2 semitones ends on pitch class 10.
func Mod(a, n int) int { return ((a % n) + n) % n }

// FloorDiv returns a divided by a positive n, rounded down: FloorDiv(a, n)·n +
// Mod(a, n) is a.
func FloorDiv(a, n int) int { return (a - Mod(a, n)) / n }

// Fraction is an exact number; Den is positive.
type Fraction struct{ Num, Den int64 }

// NewFraction returns num/den in lowest terms; den must be positive.
func NewFraction(num, den int64) Fraction {
	if g := GCD(Abs(num), den); g > 1 {
		num, den = num/g, den/g
	}
	return Fraction{num, den}
}

// Plus returns a sum, Minus a difference, in lowest terms. Numerators and the
// least common denominator must fit in 63 bits.
func (f Fraction) Plus(g Fraction) Fraction {
	d := LCM(f.Den, g.Den)
	return NewFraction(f.Num*(d/f.Den)+g.Num*(d/g.Den), d)
}

// Minus returns f − g.
func (f Fraction) Minus(g Fraction) Fraction { return f.Plus(Fraction{-g.Num, g.Den}) }

// Float returns the nearest floating-point number.
func (f Fraction) Float() float64 { return float64(f.Num) / float64(f.Den) }

// String returns "3/8", "2" or "0".
func (f Fraction) String() string {
	if f.Den == 1 {
		return strconv.FormatInt(f.Num, 10)
	}
	return strconv.FormatInt(f.Num, 10) + "/" + strconv.FormatInt(f.Den, 10)
}
