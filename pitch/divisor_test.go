package pitch

import "testing"

// TestDivisors: 12 = 2·2·3, 18 = 2·3·3; Euclid, Elements, book VII, propositions 2 and 34.
func TestDivisors(t *testing.T) {
	for _, c := range []struct{ a, b, gcd, lcm int64 }{
		{12, 18, 6, 36}, {18, 12, 6, 36}, {7, 5, 1, 35}, {4, 4, 4, 4}, {1, 9, 1, 9}, {480, 48, 48, 480}, {0, 5, 5, 0},
	} {
		if g, l := GCD(c.a, c.b), LCM(c.a, c.b); g != c.gcd || l != c.lcm {
			t.Errorf("%d and %d: divisor %d, multiple %d; want %d and %d", c.a, c.b, g, l, c.gcd, c.lcm)
		}
	}
	if g := GCD(5, 0); g != 5 {
		t.Errorf("5 and 0: %d", g)
	}
}
