package steel

import (
	"fmt"
	"math"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// noseRise is how far a string may lie up the round of the nose, in
// millimetres above its lowest point, and still be pressed firmly. Two strings
// d either side of the nose's centre lie R − √(R² − d²) up it, R the steel's
// radius. 1.5 mm is what the bar hand's weight takes up on strings of the usual
// action of 8 mm (our own figure, from the geometry of a 19 mm steel on strings
// 9.5 mm apart, which rises 1.28 mm).
const noseRise = 1.5

// Geometry answers for one rig where the steel touches and what sounds. It is
// read-only after New and safe to share.
type Geometry struct {
	r *rig.Rig
	// L is the vibrating length in mm from nut or capo to bridge.
	L float64
	// at[i] and fan[i] place string i+1: y = at + fan·x.
	at, fan []float64
	open    []float64 // key number of each open string, no bender
	highest float64   // the highest useful fret, from nut or capo
}

// New takes the measure of a rig. With a capo use the rig that
// rig.WithCapo gives: frets and x are then counted from the capo.
func New(r *rig.Rig) *Geometry {
	g := &Geometry{r: r, L: float64(r.Scale), highest: float64(r.Frets)}
	n := len(r.Strings)
	for i := range r.Strings {
		across := 0.0
		if n > 1 {
			across = float64(i)/float64(n-1) - 0.5
		}
		nut, bridge := across*float64(r.NutSpread), across*float64(r.BridgeSpread)
		g.at = append(g.at, nut)
		g.fan = append(g.fan, (bridge-nut)/g.L)
		g.open = append(g.open, float64(r.OpenKey(i+1, 0)))
	}
	return g
}

// Highest returns the highest useful fret, counted from nut or capo.
func (g *Geometry) Highest() float64 { return g.highest }

// X returns the distance from nut or capo of a fret, which may be fractional, by
// rig.FretPlace. It lies in [0, L) for n ≥ 0, L the vibrating length.
func (g *Geometry) X(fret float64) wire.MM { return rig.FretPlace(wire.MM(g.L), fret) }

// Fret is the inverse of X: n = 12·log2(L/(L − x)). At or beyond the bridge it
// gives +Inf.
func (g *Geometry) Fret(x wire.MM) float64 {
	if float64(x) >= g.L {
		return math.Inf(1)
	}
	return 12 * math.Log2(g.L/(g.L-float64(x)))
}

// Y returns how far across the neck string s (1-based) lies at x, from the centre
// line, positive towards the player.
func (g *Geometry) Y(s int, x wire.MM) wire.MM {
	return wire.MM(g.at[s-1] + g.fan[s-1]*float64(x))
}

// line is the steel's axis from the point that fixes its string 1 side to the
// point that fixes its player side.
func (g *Geometry) line(p Placement) (x0, y0, x1, y1 float64) {
	first, last := int(p.First), int(p.Last)
	fx, lx := g.X(p.FirstFret), g.X(p.LastFret)
	x0, y0 = float64(fx), float64(g.Y(first, fx))
	if p.Kind == Split {
		y0 = (y0 + float64(g.Y(first+1, fx))) / 2
	}
	return x0, y0, float64(lx), float64(g.Y(last, lx))
}

// Contact returns the fret at which the steel stops string s (1-based), 0 when it
// does not touch it. The two strings that fix the steel give their own frets
// exactly; for every other the steel's line is crossed with the string's:
// with the steel (x0, y0) + t·(dx, dy) and the string y = a + b·x,
// t = (a + b·x0 − y0) / (dy − b·dx).
func (g *Geometry) Contact(p Placement, s int) float64 {
	if !p.Touches(s) {
		return 0
	}
	first, last := int(p.First), int(p.Last)
	switch {
	case p.Kind == Straight || p.Kind == Nose || s == first:
		return p.FirstFret
	case s == last:
		return p.LastFret
	case p.Kind == Split && s == first+1:
		return p.FirstFret
	}
	x0, y0, x1, y1 := g.line(p)
	dx, dy := x1-x0, y1-y0
	a, b := g.at[s-1], g.fan[s-1]
	t := (a + b*x0 - y0) / (dy - b*dx)
	return g.Fret(wire.MM(x0 + t*dx))
}

// Key returns the fractional key number that string s (1-based) sounds with the
// steel so placed and the given benders engaged: a string stopped at x sounds
// f_open·L/(L − x), which is one key number a fret.
func (g *Geometry) Key(p Placement, s int, b rig.BenderSet) float64 {
	open := g.open[s-1]
	if b != 0 {
		open = float64(g.r.OpenKey(s, b))
	}
	return open + g.Contact(p, s)
}

// CentsOff returns how far string s sounds from the wanted key, sharp positive.
func (g *Geometry) CentsOff(p Placement, s int, b rig.BenderSet, wantKey int) pitch.Cents {
	return pitch.Cents(100 * (g.Key(p, s, b) - float64(wantKey)))
}

// Angle returns how far the steel leans from square, in degrees: atan(Δx/Δy)
// between the two points that fix it. Forward slants are positive, reverse
// negative, everything else 0.
func (g *Geometry) Angle(p Placement) float64 {
	if !p.Slanted() {
		return 0
	}
	x0, y0, x1, y1 := g.line(p)
	return math.Atan2(x0-x1, y1-y0) * 180 / math.Pi
}

// Reach returns the length of steel between the outermost points it must touch, in
// millimetres; 0 when lifted or on one string.
func (g *Geometry) Reach(p Placement) wire.MM {
	if p.Kind == Lifted || p.First == p.Last {
		return 0
	}
	x0, y0, x1, y1 := g.line(p)
	return wire.MM(math.Hypot(x1-x0, y1-y0))
}

// Check says why a placement cannot be laid on this rig, or nil: strings and
// frets in range, a kind that agrees with its frets, a steel long enough, a lean
// within the rig's limit, a round nose where the nose is needed.
func (g *Geometry) Check(p Placement) error {
	n := len(g.r.Strings)
	if p.Kind > Nose {
		return fmt.Errorf("there is no way of laying the steel numbered %d", p.Kind)
	}
	if p.Kind == Lifted {
		if p != (Placement{}) {
			return fmt.Errorf("the lifted steel touches no string, yet strings %d to %d are named", p.First, p.Last)
		}
		return nil
	}
	if p.First < 1 || int(p.Last) > n || p.Last < p.First {
		return fmt.Errorf("the steel cannot lie from string %d to string %d of %d", p.First, p.Last, n)
	}
	for _, f := range [2]float64{p.FirstFret, p.LastFret} {
		if !(f > 0 && f <= g.highest) {
			return fmt.Errorf("fret %g is not between the nut and fret %g", f, g.highest)
		}
	}
	switch p.Kind {
	case Straight, Nose:
		if p.FirstFret != p.LastFret {
			return fmt.Errorf("the steel laid %s lies at one fret, not at %g and %g", p.Kind, p.FirstFret, p.LastFret)
		}
		if p.Kind == Nose && p.First != p.Last {
			return fmt.Errorf("the nose alone stops one string, not strings %d to %d", p.First, p.Last)
		}
	case Forward, Reverse:
		if p.First == p.Last {
			return fmt.Errorf("a slant needs two strings")
		}
		if (p.Kind == Forward) != (p.FirstFret > p.LastFret) || p.FirstFret == p.LastFret {
			return fmt.Errorf("fret %g on string %d and %g on string %d is no %s", p.FirstFret, p.First, p.LastFret, p.Last, p.Kind)
		}
	case Split:
		if p.Last < p.First+2 || p.FirstFret == p.LastFret {
			return fmt.Errorf("a split needs two neighbouring strings at one fret and a further string at another")
		}
		half := float64(g.Y(int(p.First)+1, g.X(p.FirstFret))-g.Y(int(p.First), g.X(p.FirstFret))) / 2
		radius := float64(g.r.Steel.Diameter) / 2
		if half >= radius || radius-math.Sqrt(radius*radius-half*half) > noseRise {
			return fmt.Errorf("strings %d and %d lie %.1f mm apart, too far for the nose of a steel of %.1f mm", p.First, p.First+1, 2*half, 2*radius)
		}
	}
	if (p.Kind == Nose || p.Kind == Split) && !g.r.Steel.Bullet {
		return fmt.Errorf("a %s needs a steel with a round nose", p.Kind)
	}
	if reach := g.Reach(p); reach > g.r.Steel.Length {
		return fmt.Errorf("a steel of %.0f mm does not reach the %.0f mm from string %d to string %d", float64(g.r.Steel.Length), float64(reach), p.First, p.Last)
	}
	if a := math.Abs(g.Angle(p)); a > g.r.Steel.MaxSlant {
		return fmt.Errorf("the steel would lean %.0f degrees, and %.0f is the limit", a, g.r.Steel.MaxSlant)
	}
	return nil
}
