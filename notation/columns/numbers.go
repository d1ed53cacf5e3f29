package columns

import (
	"math"
	"strconv"

	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
)

// Cell is what stands on a string line in one column.
type Cell struct {
	Fret    float64
	Exact   bool // the fret is not to be sought in the bar's geometry
	Attack  tab.Attack
	Falling bool // a glide written with a backslash
	Start   float64
	Scooped bool // start is where the glide into the note begins
	Node    int8
	Vibrato bool
	Damp    bool
	Benders []string // letters after the number
}

// Number writes a fret: the shortest digits that are exact, or two decimals
// where the geometry gives the rest.
func Number(f float64, shorten bool) string {
	if shorten && f != math.Trunc(f) {
		return strconv.FormatFloat(f, 'f', 2, 64)
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// NodeAt returns the lowest harmonic whose node lies nearest the given fret, 0
// for none up to the 12th.
func NodeAt(fret float64) int8 {
	for n := int8(2); n <= 12; n++ {
		if tab.NodeFret(int(n)) == fret {
			return n
		}
	}
	return 0
}

// steel is what stands on the steel line in one column: how the steel is laid
// where the numbers alone don't tell, and benders that move no string played.
type SteelState struct {
	Placement steel.Placement
	Framed    bool // the frets are written out
	Laid      bool // a placement is written
	Benders   []string
	Bent      bool // benders are written; none of them may be "+" alone
}

var KindLetters = map[steel.Kind]string{
	steel.Lifted: "-", steel.Straight: "=", steel.Forward: "F", steel.Reverse: "R", steel.Split: "S", steel.Nose: "N",
}

// FormatPlacement writes a placement in full: "=1-6:5", "F1-3:6/5", "N2:7".
func FormatPlacement(p steel.Placement, frets bool) string {
	s := KindLetters[p.Kind]
	if p.Kind == steel.Lifted {
		return s
	}
	s += strconv.Itoa(int(p.First))
	if p.Last != p.First {
		s += "-" + strconv.Itoa(int(p.Last))
	}
	if frets {
		s += ":" + Number(p.FirstFret, false)
		if p.LastFret != p.FirstFret {
			s += "/" + Number(p.LastFret, false)
		}
	}
	return s
}

// BenderSet finds benders by their letters; bad is a letter that none has.
func BenderSet(r *rig.Rig, letters []string) (set rig.BenderSet, bad string) {
	for _, l := range letters {
		found := false
		for i, b := range r.Benders {
			if b.Mark == l {
				set |= 1 << uint(i)
				found = true
			}
		}
		if !found {
			return set, l
		}
	}
	return set, ""
}
