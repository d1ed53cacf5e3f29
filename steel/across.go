package steel

// Across lays the steel square at a fret to stop strings a to b, as players do:
// right across the neck, save on a side where open strings are played. far says
// that there are some beyond a, on the side away from the player; near that
// there are some beyond b. One string beside open ones on the player's side is
// stopped with the nose, where the steel has one. A steel too short for the neck
// lies from a to b. Whether it can be laid at all is for Check to say.
func (g *Geometry) Across(a, b int, far, near bool, fret float64) Placement {
	return g.AcrossIf(a, b, far, near, fret, func(p Placement) bool { return g.Check(p) == nil })
}

// AcrossIf is Across for those who know better than Check, or sooner, whether a
// placement can be laid: lies says so.
func (g *Geometry) AcrossIf(a, b int, far, near bool, fret float64, lies func(Placement) bool) Placement {
	p := Placement{Kind: Straight, First: 1, Last: int8(len(g.r.Strings)), FirstFret: fret, LastFret: fret}
	if far {
		p.First = int8(a)
	}
	if near {
		p.Last = int8(b)
		if a == b && g.r.Steel.Bullet {
			p.Kind, p.First = Nose, int8(a)
		}
	}
	if p.Kind == Straight && !lies(p) {
		p.First, p.Last = int8(a), int8(b)
	}
	return p
}
