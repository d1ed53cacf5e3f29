package grip

import (
	"math"
	"math/bits"

	"lapwright/rig"
	"lapwright/steel"
)

// Place is a placement and what the search needs to know of it.
type Place struct {
	steel.Placement
	ok      bool
	Hand    int32  // where the bar hand is: mm·10 from nut or capo, between the two ends
	Lean    int32  // degrees·10
	aim     int32  // 1024·L/(L − x): how much narrower than at the nut the place is where it is in tune
	Touches uint16 // strings under it, bit s−1
	// fret and Cents give for every string the nearest whole fret of its
	// contact and how far it is off there; fret 0 is an open string.
	fret  [rig.MaxStrings]int8
	Cents [rig.MaxStrings]float32
}

// places are the ways to lay the steel that a player's limits allow, each worked out
// once.
type places struct {
	geometry *steel.Geometry
	limits   Limits
	maxAngle float64 // degrees; 0 where the steel is never leaned
	strings  int
	known    map[steel.Placement]*Place
	pair     map[pairKey]*Place // slants through two whole frets; nil where there is none
}

type pairKey struct{ a, b, fa, fb int8 }

// of looks a placement up, working it out the first time.
func (l *places) of(p steel.Placement) *Place {
	if pl, ok := l.known[p]; ok {
		return pl
	}
	pl := &Place{Placement: p}
	l.known[p] = pl
	pl.ok = l.geometry.Check(p) == nil
	pl.Hand = -1
	if !pl.ok || p.Kind == steel.Lifted {
		return pl
	}
	angle := l.geometry.Angle(p)
	if p.Slanted() && (math.Abs(angle) > l.maxAngle ||
		p.Kind == steel.Reverse && !l.limits.Reverse || p.Kind == steel.Split && !l.limits.Split) {
		pl.ok = false
		return pl
	}
	pl.Hand = int32(math.Round(5 * float64(l.geometry.X(p.FirstFret)+l.geometry.X(p.LastFret))))
	pl.aim = int32(math.Round(1024 * l.geometry.L / (l.geometry.L - float64(pl.Hand)/10)))
	pl.Lean = int32(math.Round(10 * angle))
	for s := 1; s <= l.strings; s++ {
		c := l.geometry.Contact(p, s)
		if c <= 0 {
			continue
		}
		pl.Touches |= 1 << (s - 1)
		whole := math.Round(c)
		pl.fret[s-1] = int8(whole)
		pl.Cents[s-1] = float32(100 * (c - whole))
	}
	return pl
}

// slant returns the slant through whole frets fa on string a and fb on string b,
// a ≤ b; nil when it can't be laid, as through one string or one fret.
func (l *places) slant(a, b, fa, fb int8) *Place {
	if abs8(fa-fb) > int8(l.limits.SlantSpan) {
		return nil
	}
	k := pairKey{a, b, fa, fb}
	if pl, ok := l.pair[k]; ok {
		return pl
	}
	kind := steel.Forward
	if fa < fb {
		kind = steel.Reverse
	}
	pl := l.of(steel.Placement{Kind: kind, First: a, Last: b, FirstFret: float64(fa), LastFret: float64(fb)})
	if !pl.ok {
		pl = nil
	}
	l.pair[k] = pl
	return pl
}

// stops returns the placement that stops the strings of stopped at their frets and
// leaves those of open alone, or nil.
func (l *places) stops(stopped, open uint16, fret *[rig.MaxStrings]int8) *Place {
	if stopped == 0 {
		return l.of(steel.Placement{})
	}
	a := int8(bits.TrailingZeros16(stopped)) + 1
	b := int8(bits.Len16(stopped))
	far := open & (1<<(a-1) - 1)
	near := open >> b
	if open&^far&^(near<<b) != 0 {
		return nil // an open string between stopped ones
	}
	level := true
	for s := a; s <= b; s++ {
		if stopped>>(s-1)&1 == 1 && fret[s-1] != fret[a-1] {
			level = false
		}
	}
	fa, fb := fret[a-1], fret[b-1]
	switch {
	case level:
		return l.square(a, b, far != 0, near != 0, fa)
	case fa == fb:
		return nil
	}
	if pl := l.slant(a, b, fa, fb); pl != nil {
		if l.fits(pl, stopped, fret) && l.clears(pl, far, near) {
			return pl
		}
		if eased := l.ease(pl, stopped, fret); eased != nil && l.clears(eased, far, near) {
			return eased
		}
	}
	if fret[a] == fa && abs8(fa-fb) <= int8(l.limits.SlantSpan) {
		pl := l.of(steel.Placement{Kind: steel.Split, First: a, Last: b, FirstFret: float64(fa), LastFret: float64(fb)})
		if pl.ok && l.fits(pl, stopped, fret) && l.clears(pl, far, near) {
			return pl
		}
	}
	return nil
}

// clears reports whether a slant's ends leave open strings free: far those beyond
// its first string (bit s−1), near those beyond its last (bit 0 the next one).
func (l *places) clears(pl *Place, far, near uint16) bool {
	if far|near == 0 {
		return true
	}
	f, e := bits.Len16(far), 0
	if near != 0 {
		e = int(pl.Last) + 1 + bits.TrailingZeros16(near)
	}
	return l.geometry.Clears(pl.Placement, f, e)
}

// square lays the steel square over strings a to b at fret f (steel.Geometry.AcrossIf),
// or gives nil when it can't lie there.
func (l *places) square(a, b int8, far, near bool, f int8) *Place {
	p := l.geometry.AcrossIf(int(a), int(b), far, near, float64(f), func(p steel.Placement) bool { return l.of(p).ok })
	if pl := l.of(p); pl.ok {
		return pl
	}
	return nil
}

// CentsSlack keeps rounding from deciding what is within tolerance, in cents.
const CentsSlack = 0.001

// fits reports whether a placement sounds every stopped string within tolerance.
func (l *places) fits(pl *Place, stopped uint16, fret *[rig.MaxStrings]int8) bool {
	for m := stopped; m != 0; m &= m - 1 {
		s := bits.TrailingZeros16(m)
		if pl.fret[s] != fret[s] || math.Abs(float64(pl.Cents[s])) > l.limits.Cents+CentsSlack {
			return false
		}
	}
	return true
}

// ease moves a slant along the strings so that its errors are shared out evenly
// over the stopped strings, or gives nil when that is not enough. Frets are
// taken to hundredths, finer than any hand.
func (l *places) ease(pl *Place, stopped uint16, fret *[rig.MaxStrings]int8) *Place {
	least, most := 0.0, 0.0
	for m := stopped; m != 0; m &= m - 1 {
		s := bits.TrailingZeros16(m)
		off := float64(pl.Cents[s]) + 100*float64(pl.fret[s]-fret[s])
		least, most = min(least, off), max(most, off)
	}
	if most-least > 2*l.limits.Cents {
		return nil
	}
	by := -math.Round((least+most)/2) / 100
	p := pl.Placement
	p.FirstFret = math.Round(100*(p.FirstFret+by)) / 100
	p.LastFret = math.Round(100*(p.LastFret+by)) / 100
	eased := l.of(p)
	if !eased.ok || !l.fits(eased, stopped, fret) {
		return nil
	}
	return eased
}

func abs8(a int8) int8 {
	return max(a, -a)
}
