package arrange

import (
	"math"
	"slices"

	"lapwright/grip"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// std are the prices by which the reference reckons.
var std = grip.Standard()

// alone is what a grip with its fingers costs by itself.
func (b *brute) alone(g *bruteGrip, m *bruteMoment) int64 {
	c := 0
	n := len(b.r.Strings)
	switch g.p.Kind {
	case steel.Forward:
		c += int(std.Forward)
	case steel.Reverse:
		c += int(std.Reverse)
	case steel.Split:
		c += int(std.Split)
	case steel.Nose:
		c += int(std.Nose)
	case steel.Straight:
		if g.p.First != 1 {
			c += int(std.BesideFar)
		}
		if int(g.p.Last) != n {
			c += int(std.BesideNear)
		}
	}
	if g.p.Slanted() {
		if !b.sharp() {
			c -= int(std.SlantRound)
		}
		c += int(math.Round(10*math.Abs(b.g.Angle(g.p)))) * int(std.PerLean) / 10
		far, near := false, false
		for j, s := range g.str {
			if s > 0 && g.fret[j] == 0 {
				far = far || s < int(g.p.First)
				near = near || s > int(g.p.Last)
			}
		}
		if far {
			c += int(std.BesideFar)
		}
		if near {
			c += int(std.BesideNear)
		}
	}
	top := 0
	first := true
	for j, nt := range m.notes {
		s, f := g.str[j], g.fret[j]
		if s > 0 && f > 0 && g.node == 0 {
			off, _ := b.off(g.p, s, f)
			c += int(std.PerCent) * int(math.Round(math.Abs(off)))
			top = max(top, f)
		}
		c += b.note(g, j, nt, first)
		if first && s > 0 && !going(nt.kind) {
			c += int(std.Thick) * max(0, s-(n+2)/2)
			if s > n/2 {
				c += int(std.Dull) * max(0, f-7)
			}
		}
		if !going(nt.kind) {
			first = false
		}
	}
	for j, s := range g.str {
		if s > 0 && g.fret[j] == 0 && top > 0 {
			c += int(std.BesideHigh) * max(0, top-3)
			break
		}
	}
	c += int(std.Up)*max(0, top-5) + int(std.High)*max(0, top-12) + int(std.VeryHigh)*max(0, top-19)
	for i := range b.r.Benders {
		if g.set.Has(i) {
			c += int(std.Bender)
		}
	}
	if g.palm {
		c += int(std.Palm)
	} else if g.node > 0 {
		c += int(std.Harmonic)
	}
	// Fingers from home.
	third := max(1, (n+1)/3)
	nearestThumb, lowestThumb, thumbs := 0, 0, 0
	for s := 1; s <= n; s++ {
		switch g.finger[s] {
		case 1:
			if nearestThumb == 0 {
				nearestThumb = s
			}
			lowestThumb = s
			thumbs++
		case 2:
			c += int(std.Away) * max(0, third-s, s-2*third)
		case 3:
			c += int(std.Away) * max(0, s-third)
		}
	}
	if nearestThumb > 0 {
		c += int(std.Away) * max(0, third+1-nearestThumb)
	}
	if thumbs > 1 {
		c += int(std.Rake)*(thumbs-1) + int(std.RakeGap)*(lowestThumb-nearestThumb+1-thumbs)
	}
	return int64(c)
}

// note is what it costs that note j is on an open string, and how it comes about;
// first says that no note of the moment begins above it.
func (b *brute) note(g *bruteGrip, j int, nt bruteNote, first bool) int {
	c, s, f := 0, g.str[j], g.fret[j]
	if s > 0 && f == 0 && nt.long && g.node == 0 && b.lim.Vibrato > 0 {
		if nt.slow {
			c += int(std.OpenSlow)
		} else {
			c += int(std.OpenLong)
		}
	}
	if s > 0 && f == 0 && g.node == 0 && g.act[j] != grip.On {
		switch b.r.Habits.Open {
		case rig.OpenSparing:
			c += int(std.OpenSparing)
		case rig.OpenAvoided:
			c += int(std.OpenAvoided)
		}
	}
	switch g.act[j] {
	case grip.Gone:
		if !going(nt.kind) {
			if first {
				c += int(std.TopLost)
			} else {
				c += int(std.NoteLost)
			}
		}
	case grip.Again:
		c += int(std.PluckedAgain)
	case grip.Pluck:
		if nt.kind == grip.Glided {
			c += int(std.GlideLost)
		}
		if nt.kind == grip.Slurred {
			c += int(std.SlurPlucked)
		}
		if nt.kind == grip.Graced {
			c += int(std.GracePlucked)
		}
	case grip.Glide, grip.Hammer, grip.Pull:
		switch {
		case nt.kind == grip.Stepped && nt.beat:
			c += int(std.JoinBeat)
		case nt.kind == grip.Stepped && nt.slow:
			c += int(std.JoinSlow)
		case nt.kind == grip.Stepped:
			c += int(std.Join)
		case g.act[j] == grip.Glide:
			c += int(std.Glide)
		default:
			c += int(std.Hammer)
		}
		switch {
		case g.act[j] != grip.Glide && !b.sharp():
			c += int(std.HammerRound)
		case g.act[j] == grip.Glide && nt.kind != grip.Glided && b.sharp():
			c += int(std.SlideSharp)
		}
	}
	return c
}

// step is what it costs to go from one grip to the next; hand is where the bar
// hand was last on the strings, −1 for never.
func (b *brute) step(hand int, x, y *bruteGrip, mx, my *bruteMoment) (int64, bool) {
	c := 0
	cost, possible := b.goesOn(x, y, mx, my)
	if !possible {
		return 0, false
	}
	c += cost
	laidX, laidY := x.p.Kind != steel.Lifted, y.p.Kind != steel.Lifted
	if laidY && hand >= 0 {
		mm := int(math.Abs(float64(hand - b.handAt(y))))
		if mm > 0 {
			c += mm * (int(std.PerMM) + 1000*int(std.PerMMSec)/my.ms) / 1000
			aim := int(math.Round(1024 * float64(b.r.Scale) / (float64(b.r.Scale) - float64(b.handAt(y))/10)))
			c += (int(std.Move) + 1000*int(std.MoveQuick)/my.ms) * aim / 1024
			c += max(0, mm-int(b.lim.Speed)*my.ms/100) * int(std.TooFast) / 10
			if laidX && len(mx.notes) > 0 && x.fret[0] > 0 && y.fret[0] > 0 && !going(my.notes[0].kind) {
				rise, move := my.notes[0].key-mx.notes[0].key, b.handAt(y)-hand
				if rise*move < 0 {
					c += int(std.Contrary) + int(std.ContraryFar)*max(0, int(math.Abs(float64(y.fret[0]-x.fret[0])))-2)
				}
			}
		}
	}
	if laidX && laidY {
		turn := int(math.Abs(math.Round(10*b.g.Angle(x.p)) - math.Round(10*b.g.Angle(y.p))))
		if turn > 0 {
			c += int(std.Lean) + turn*int(std.PerDegree)/10
		}
		if !x.p.Slanted() && !y.p.Slanted() && (x.p.First != y.p.First || x.p.Last != y.p.Last) {
			c += int(std.Hop)
		}
	}
	if laidX != laidY {
		// The farther of where the hand is and where it is laid counts.
		far := max(hand, 0)
		if laidY {
			far = max(far, b.handAt(y))
		}
		fret := int(12*math.Log2(float64(b.r.Scale)/(float64(b.r.Scale)-float64(far/10))) + 1e-6)
		c += int(std.Lift) + int(std.LiftHigh)*max(0, fret-3)
	}
	for i, bd := range b.r.Benders {
		if x.set.Has(i) != y.set.Has(i) {
			if bd.Kind == rig.Palm {
				c += int(std.BenderPalm)
			} else {
				c += int(std.BenderMove)
			}
		}
	}
	c += b.ring(x, y, mx, my)
	// Fingers.
	again := int(std.SameFingerSlow)
	if float64(my.ms)/1000 < b.lim.Repeat {
		again = int(std.SameFingerQuick)
	} else if float64(my.ms)/1000 < 2*b.lim.Repeat {
		again = int(std.SameFinger)
	}
	used := func(g *bruteGrip, f int) bool {
		for _, v := range g.finger {
			if v == f {
				return true
			}
		}
		return false
	}
	for f := 1; f <= 3; f++ {
		if used(x, f) && used(y, f) {
			if f == 1 {
				c += again / int(std.ThumbAgain)
			} else {
				c += again
			}
		}
	}
	if b.cross(x, y) || b.cross(y, x) {
		c += int(std.Cross)
	}
	lx, ly := topString(x.finger), topString(y.finger)
	if lx > 0 && ly > 0 {
		c += int(std.Skip) * max(0, int(math.Abs(float64(lx-ly)))-2)
	}
	return int64(c), true
}

// goesOn says whether every note that goes on, glides or is joined can, and what that
// costs.
func (b *brute) goesOn(x, y *bruteGrip, mx, my *bruteMoment) (c int, possible bool) {
	if y.run > 0 && y.run != x.run+1 {
		return 0, false
	}
	for j, n := range my.notes {
		if n.from < 0 {
			continue
		}
		sx, fx, sy, fy := x.str[n.from], x.fret[n.from], y.str[j], y.fret[j]
		switch y.act[j] {
		case grip.On:
			if sx != sy || fx != fy {
				return 0, false
			}
			if sy > 0 && x.node == 0 && y.node == 0 && !tab.SameStop(b.g.Key(x.p, sx, x.set), b.g.Key(y.p, sy, y.set)) {
				return 0, false
			}
		case grip.Gone:
			if going(n.kind) && sx > 0 {
				c += int(std.CutShort)
			}
		case grip.Glide:
			moves := fx != fy && fx > 0 && fy > 0
			bends := fx == fy && mx.notes[n.from].key != n.key
			width := math.Abs(float64(n.key - mx.notes[n.from].key))
			most := math.Floor(b.lim.GlideRate * float64(my.ms) / 1000)
			if n.kind == grip.Graced {
				most = max(most, 3)
			}
			if sx != sy || !moves && !bends || width > most || x.node > 0 && n.kind != grip.Glided {
				return 0, false
			}
		case grip.Pluck:
			if n.kind == grip.Stepped && sx == sy {
				c += 1000 * int(std.PluckStep) / my.ms
			}
		case grip.Hammer:
			if sx != sy || fx != 0 || x.node > 0 || !b.hammers(n, my) {
				return 0, false
			}
		case grip.Pull:
			if sx != sy || fx == 0 || x.node > 0 || !b.hammers(n, my) {
				return 0, false
			}
		}
	}
	return c, true
}

// sharp reports whether the steel has a sharp edge.
func (b *brute) sharp() bool { return b.r.Habits.Edge == rig.SharpEdge }

// hammers reports whether there is time to hammer on or pull off.
func (b *brute) hammers(n bruteNote, m *bruteMoment) bool {
	return n.kind == grip.Graced || b.lim.Hammer > 0 && float64(m.ms)/1000 >= b.lim.Hammer
}

func (b *brute) handAt(g *bruteGrip) int {
	return int(math.Round(5 * (float64(b.g.X(g.p.FirstFret)) + float64(b.g.X(g.p.LastFret)))))
}

// cross reports whether a finger of y plays beyond a finger of x that is nearer
// the middle finger; of a thumb that draws over several strings the last counts.
func (b *brute) cross(x, y *bruteGrip) bool {
	place := func(g *bruteGrip, f int) int { return minString(g.finger, f) }
	for f := 1; f <= 3; f++ {
		for h := f + 1; h <= 3; h++ {
			low, high := place(y, f), place(x, h)
			if low > 0 && high > 0 && high > low {
				return true
			}
		}
	}
	return false
}

func minString(finger map[int]int, f int) int {
	best := 0
	for s, g := range finger {
		if g == f && (best == 0 || s < best) {
			best = s
		}
	}
	return best
}

func topString(finger map[int]int) int {
	best := 0
	for s := range finger {
		if best == 0 || s < best {
			best = s
		}
	}
	return best
}

func (b *brute) ring(x, y *bruteGrip, mx, my *bruteMoment) int {
	if len(mx.notes) == 0 || len(my.notes) == 0 || x.str[0] == 0 || y.str[0] == 0 || going(my.notes[0].kind) {
		return 0
	}
	apart := int(math.Abs(float64(mx.notes[0].key - my.notes[0].key)))
	if apart == 0 {
		return 0
	}
	undisturbed := x.p == y.p || x.fret[0] == 0 && !y.p.Touches(x.str[0])
	rings := x.str[0] != y.str[0] && x.set == y.set && undisturbed
	if rings && apart <= 2 {
		return int(std.Clash)
	}
	if !rings && slices.Contains([]int{0, 3, 4, 5, 7, 8, 9}, apart%12) {
		return int(std.RingBroken)
	}
	return 0
}
