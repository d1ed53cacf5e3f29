package tab

import "lapwright/rig"

// NameBends tells bends from glides: a pluck that is glided into while the steel
// keeps its string where it was and a bender moves it is bent to, and one that is
// said to be bent to and is not is glided into.
func (t *Tab) NameBends() {
	type was struct {
		fret    float64
		benders rig.BenderSet
		played  bool
	}
	var last [rig.MaxStrings + 1]was
	for i := range t.Strokes {
		s := &t.Strokes[i]
		for j := range s.Plucks {
			p := &s.Plucks[j]
			if p.String < 1 || p.String > len(t.Rig.Strings) {
				continue
			}
			if b := last[p.String]; p.Attack.Carried() && b.played {
				p.Attack = Glided
				if b.fret == p.Fret && t.Rig.OpenKey(p.String, b.benders) != t.Rig.OpenKey(p.String, s.Benders) {
					p.Attack = BentTo
				}
			}
			last[p.String] = was{p.Fret, s.Benders, true}
		}
	}
}
