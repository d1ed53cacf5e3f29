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

// TestFloorDivision: Knuth, The Art of Computer Programming, volume 1, section
// 1.2.4: x mod y = x − y⌊x/y⌋.
func TestFloorDivision(t *testing.T) {
	for _, c := range []struct{ a, n, quotient, rest int }{
		{14, 12, 1, 2}, {-2, 12, -1, 10}, {-12, 12, -1, 0}, {0, 7, 0, 0}, {11, 12, 0, 11}, {-13, 12, -2, 11},
	} {
		if q, r := FloorDiv(c.a, c.n), Mod(c.a, c.n); q != c.quotient || r != c.rest {
			t.Errorf("%d by %d: %d, rest %d; want %d, rest %d", c.a, c.n, q, r, c.quotient, c.rest)
		}
	}
	if Abs(-7) != 7 || Abs(7) != 7 || Abs(int64(0)) != 0 {
		t.Error("a number's size changes with its sign")
	}
}

// TestFractions: sums of fractions as school teaches them (common practice, no source).
func TestFractions(t *testing.T) {
	third, quarter := NewFraction(2, 6), NewFraction(1, 4)
	for _, c := range []struct {
		f    Fraction
		text string
		is   float64
	}{
		{third, "1/3", 1.0 / 3}, {third.Plus(quarter), "7/12", 7.0 / 12}, {quarter.Minus(third), "-1/12", -1.0 / 12}, {third.Minus(third), "0", 0},
		{NewFraction(-6, 4), "-3/2", -1.5}, {NewFraction(8, 4), "2", 2}, {NewFraction(0, 9), "0", 0},
	} {
		if c.f.String() != c.text || c.f.Float() != c.is {
			t.Errorf("%v is %q and %v, want %q and %v", c.f.Num, c.f.String(), c.f.Float(), c.text, c.is)
		}
	}
}
