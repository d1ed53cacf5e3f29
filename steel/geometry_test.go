package steel

import (
	"math"
	"strings"
	"testing"

	"lapwright/internal/near"
	"lapwright/rig"
	"lapwright/rig/rigtest"
	"lapwright/wire"
)

// TestSlantByHand works two slants out from the formulas, with numbers short
// enough to do with a pocket calculator.
func TestSlantByHand(t *testing.T) {
	g := New(rigtest.OpenD())
	// L = 600. x(12) = 600·(1 − 1/2) = 300. x(13) = 600·(1 − 2^(−13/12)):
	// 2^(−13/12) = 0.5/1.0594631 = 0.4719372, so x = 316.8377.
	// y of string 1 = −20 − 5x/600, of string 3 (one fifth in from the centre,
	// −4 at the nut, −5 at the bridge) = −4 − x/600, of string 2 = −12 − 3x/600.
	// String 1 at fret 13: y = −20 − 2.640314 = −22.640314.
	// String 3 at fret 12: y = −4 − 0.5 = −4.5.
	// dx = 300 − 316.8377 = −16.8377, dy = 18.140314. Angle = atan(16.8377/18.140314)
	// = atan(0.928192) = 42.867°.
	// String 2 is y = −12 − 0.005·x. t = (−12 − 0.005·316.8377 + 22.640314) / (18.140314 + 0.005·(−16.8377))
	// = 9.0561255/18.0561255 = 0.501554; x = 316.8377 − 0.501554·16.8377 = 308.3927.
	// Fret = 12·log2(600/291.6073) = 12·ln(2.057562)/ln 2 = 12·0.7215216/0.6931472 = 12.4912.
	p := Placement{Forward, 1, 3, 13, 12}
	near.To(t, "x of fret 13", float64(g.X(13)), 316.8377, 1e-4)
	near.To(t, "y of string 1 at fret 13", float64(g.Y(1, g.X(13))), -22.640314, 1e-5)
	near.To(t, "angle", g.Angle(p), 42.867, 1e-3)
	near.To(t, "contact of string 1", g.Contact(p, 1), 13, 0)
	near.To(t, "contact of string 3", g.Contact(p, 3), 12, 0)
	near.To(t, "contact of string 2", g.Contact(p, 2), 12.4912, 1e-4)
	if c := g.Contact(p, 4); c != 0 {
		t.Errorf("string 4 is not under the bar, yet its contact is %g", c)
	}

	// The same frets reversed: string 1 at 12 (y = −22.5), string 3 at 13
	// (y = −4 − 0.528063 = −4.528063): dy = 17.971937, angle = −atan(16.8377/17.971937)
	// = −43.133°. The fan makes the reverse slant the steeper of the two.
	near.To(t, "reverse angle", g.Angle(Placement{Reverse, 1, 3, 12, 13}), -43.133, 1e-3)
}

// TestSlantIsSteeperNearTheNut: one fret is 33.68 mm long at the nut of a
// 600 mm scale and 16.84 mm beyond the octave (half, since x(n+12) halves what is
// left of the string), while the strings lie only a little closer together.
func TestSlantIsSteeperNearTheNut(t *testing.T) {
	g := New(rigtest.OpenD())
	// Fret 1 to 2: x = 33.67542, 65.46083: Δx = 31.78541; y of string 1 at fret 2
	// = −20.545507, of string 3 at fret 1 = −4.056126: Δy = 16.489381;
	// atan(1.927629) = 62.581°.
	near.To(t, "strings 1-3, frets 2-1", g.Angle(Placement{Forward, 1, 3, 2, 1}), 62.581, 2e-3)
	near.To(t, "strings 1-3, frets 13-12", g.Angle(Placement{Forward, 1, 3, 13, 12}), 42.867, 1e-3)
	before := 90.0
	for f := 1.0; f < 23; f++ {
		a := g.Angle(Placement{Forward, 1, 3, f + 1, f})
		if a >= before {
			t.Errorf("the slant from fret %g leans %.2f°, not less than %.2f° a fret lower", f, a, before)
		}
		before = a
	}
}

func TestKeyAndCents(t *testing.T) {
	g := New(rigtest.OpenD())
	straight := Placement{Straight, 1, 6, 5, 5}
	split := Placement{Split, 1, 4, 8, 7}
	for _, c := range []struct {
		what  string
		p     Placement
		s     int
		b     rig.BenderSet
		want  int
		cents float64
	}{
		{"open string", Placement{}, 1, 0, 62, 0},
		{"straight", straight, 3, 0, 59, 0},
		{"straight, a fret wrong", straight, 3, 0, 58, 100},
		{"bender on string 3", straight, 3, 1, 60, 0},
		{"bender elsewhere", straight, 3, 2, 59, 0},
		{"nose", Placement{Nose, 2, 2, 7, 7}, 2, 0, 64, 0},
		{"beside the nose", Placement{Nose, 2, 2, 7, 7}, 1, 0, 62, 0},
		{"split, first", split, 1, 0, 70, 0},
		{"split, second", split, 2, 0, 65, 0},
		{"split, further", split, 4, 0, 57, 0},
	} {
		near.To(t, c.what, float64(g.CentsOff(c.p, c.s, c.b, c.want)), c.cents, 1e-9)
	}
}

func TestCheck(t *testing.T) {
	g := New(rigtest.OpenD())
	r := rigtest.OpenD()
	r.Steel.Bullet, r.Steel.Length = false, 30
	blunt := New(r)
	thin := rigtest.OpenD()
	thin.Steel.Diameter = 8
	capo := rigtest.OpenD()
	capo.Capo.At, capo.Frets = 4, 20 // as rig.WithCapo leaves it
	for _, c := range []struct {
		g    *Geometry
		p    Placement
		want string // part of the message, "" for none
	}{
		{g, Placement{}, ""},
		{g, Placement{Straight, 1, 6, 24, 24}, ""},
		{New(capo), Placement{Straight, 1, 6, 20, 20}, ""},
		{New(capo), Placement{Straight, 1, 6, 20.5, 20.5}, "between the nut and fret 20"},
		{g, Placement{Straight, 1, 6, 24.5, 24.5}, "between the nut"},
		{g, Placement{Straight, 1, 6, 0, 0}, "between the nut"},
		{g, Placement{Straight, 1, 6, math.NaN(), 5}, "between the nut"},
		{g, Placement{Straight, 0, 6, 5, 5}, "cannot lie"},
		{g, Placement{Straight, 3, 2, 5, 5}, "cannot lie"},
		{g, Placement{Straight, 1, 7, 5, 5}, "cannot lie"},
		{g, Placement{Straight, 1, 6, 5, 6}, "one fret"},
		{g, Placement{Lifted, 1, 6, 0, 0}, "lifted"},
		{g, Placement{Kind: 9}, "no way"},
		{g, Placement{Nose, 1, 2, 5, 5}, "one string"},
		{g, Placement{Forward, 1, 3, 13, 12}, ""},
		{g, Placement{Forward, 1, 3, 12, 13}, "no forward slant"},
		{g, Placement{Reverse, 1, 3, 13, 12}, "no reverse slant"},
		{g, Placement{Forward, 1, 1, 13, 12}, "two strings"},
		{g, Placement{Forward, 1, 3, 2, 1}, "lean 63 degrees"},
		{g, Placement{Split, 1, 3, 13, 12}, ""},
		{g, Placement{Split, 1, 2, 13, 12}, "two neighbouring"},
		{blunt, Placement{Split, 1, 3, 13, 12}, "round nose"},
		{blunt, Placement{Nose, 1, 1, 5, 5}, "round nose"},
		{blunt, Placement{Straight, 1, 6, 5, 5}, "does not reach"},
		{New(thin), Placement{Split, 1, 3, 13, 12}, "too far for the nose"},
	} {
		err := c.g.Check(c.p)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%+v: got %q, want it to pass", c.p, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%+v: got %v, want %q in the message", c.p, err, c.want)
		}
	}
}

func TestFretInvertsX(t *testing.T) {
	g := New(rigtest.OpenD())
	for f := 0.0; f <= 36; f += 0.25 {
		near.To(t, "fret of x of fret", g.Fret(g.X(f)), f, 1e-9)
	}
	if f := g.Fret(wire.MM(600)); !math.IsInf(f, 1) {
		t.Errorf("at the bridge the fret is %g, want +Inf", f)
	}
}

// TestSplitByHand goes on from TestSlantByHand. With the nose on strings 1 and 2
// at fret 13, where they lie at −22.640314 and −12 − 3·316.8377/600 = −13.584189,
// its middle is at −18.112251; string 3 at fret 12 is at −4.5. Angle =
// atan(16.8377/13.612251) = atan(1.236952) = 51.047°.
//
// The strings lie 9.056125 mm apart, 4.528063 either side of the nose's lowest
// point. A nose of radius R rises R − √(R² − 4.528063²) there, 1.5 mm for
// R = (4.528063² + 1.5²)/3 = 7.5844: a steel of 15.2 mm will do, one of 15.1 not.
func TestSplitByHand(t *testing.T) {
	r := rigtest.OpenD()
	split := Placement{Split, 1, 3, 13, 12}
	near.To(t, "angle", New(r).Angle(split), 51.047, 1e-3)
	near.To(t, "reach", float64(New(r).Reach(split)), math.Hypot(16.8377, 13.612251), 1e-4)
	for diameter, want := range map[wire.MM]string{15.2: "", 15.1: "strings 1 and 2 lie 9.1 mm apart, too far for the nose of a steel of 15.1 mm"} {
		r.Steel.Diameter = diameter
		switch err := New(r).Check(split); {
		case want == "" && err != nil:
			t.Errorf("a nose of %g mm: %v", diameter, err)
		case want != "" && (err == nil || err.Error() != want):
			t.Errorf("a nose of %g mm: %v; want %q", diameter, err, want)
		}
	}
}

// The limits themselves are allowed: the steel that leans just as far as it may,
// that reaches just so far, at the highest fret.
func TestLimitsAreAllowed(t *testing.T) {
	r := rigtest.OpenD()
	p := Placement{Forward, 1, 3, 24, 23}
	g := New(r)
	r.Steel.MaxSlant, r.Steel.Length = g.Angle(p), g.Reach(p)
	if err := g.Check(p); err != nil {
		t.Errorf("%v", err)
	}
	r.Steel.MaxSlant -= 0.01
	if g.Check(p) == nil {
		t.Error("it leans too far")
	}
	r.Steel.MaxSlant, r.Steel.Length = 60, r.Steel.Length-0.01
	if g.Check(p) == nil {
		t.Error("it does not reach")
	}
}

// A steel laid square is at one fret on every string, to the last digit: no
// crossing is reckoned that could round.
func TestSquareIsExact(t *testing.T) {
	g := New(rigtest.OpenD())
	for f := 1.0; f <= 24; f++ {
		for s := 1; s <= 6; s++ {
			if got := g.Contact(Placement{Straight, 1, 6, f, f}, s); got != f {
				t.Errorf("string %d is stopped at %g, not %g", s, got, f)
			}
		}
	}
}

// A single string lies on the centre line.
func TestOneString(t *testing.T) {
	r := rigtest.OpenD()
	r.Strings = r.Strings[:1]
	if y := New(r).Y(1, 300); y != 0 {
		t.Errorf("%g mm off the centre", y)
	}
}

// Beyond the bridge there is no fret.
func TestNoFretBeyondTheBridge(t *testing.T) {
	if f := New(rigtest.OpenD()).Fret(601); !math.IsInf(f, 1) {
		t.Errorf("fret %g", f)
	}
}
