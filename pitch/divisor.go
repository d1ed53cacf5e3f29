package pitch

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
