package arrange

import (
	"cmp"

	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/tab"
)

// chop adds a moment's strokes without pitch to its stroke: each on the string whose
// open pitch is its name's, or on the nearest that is free. When nothing else sounds
// the steel stays where it was, before.
func (m *moment) chop(r *rig.Rig, st, before *tab.Stroke) {
	if len(m.chops) == 0 {
		return
	}
	if before != nil && len(m.Wants) == 0 {
		st.Placement, st.Benders = before.Placement, before.Benders
	}
	var taken [rig.MaxStrings + 1]bool
	for i := range st.Plucks {
		taken[st.Plucks[i].String] = true
	}
	for i := range m.chops {
		n := &m.chops[i]
		best, far := 0, 0
		for str := 1; str <= len(r.Strings); str++ {
			off := r.OpenKey(str, 0) - n.Name.Key()
			if off = max(off, -off); !taken[str] && (best == 0 || off < far) {
				best, far = str, off
			}
		}
		if best == 0 {
			m.lost = append(m.lost, loss{n.Ref, tab.NotPlayed, "every string plays something else"})
			continue
		}
		taken[best] = true
		st.Plucks = append(st.Plucks, tab.Pluck{Ref: n.Ref, String: best, Attack: tab.Chopped, Len: n.Len})
	}
	inorder.Stable(st.Plucks, func(a, b tab.Pluck) int { return cmp.Compare(a.String, b.String) })
}
