package report

import (
	"lapwright/rig"
	"lapwright/steel"
)

// Placement is how the steel lies.
type Placement struct {
	Kind      string  `json:"kind"`  // "straight", "forward slant", … "open" when it is lifted
	First     int     `json:"first"` // strings under its ends, 0 when it is lifted
	Last      int     `json:"last"`
	FirstFret float64 `json:"firstFret"`
	LastFret  float64 `json:"lastFret"`
	Angle     float64 `json:"angle"` // degrees from square, forward slants positive
}

// PlacementOf returns the form of a placement that leans by some degrees.
func PlacementOf(p steel.Placement, angle float64) Placement {
	out := Placement{Kind: p.Kind.String(), FirstFret: fret(p.FirstFret), LastFret: fret(p.LastFret), Angle: degrees(angle)}
	if p.Kind != steel.Lifted {
		out.First, out.Last = int(p.First), int(p.Last)
	}
	return out
}

// Marks returns the letters of a set of benders, in the rig's order.
func Marks(r *rig.Rig, set rig.BenderSet) []string {
	out := []string{}
	for i, b := range r.Benders {
		if set.Has(i) {
			out = append(out, b.Mark)
		}
	}
	return out
}
