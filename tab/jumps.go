package tab

import (
	"fmt"

	"lapwright/steel"
	"lapwright/tune"
)

// HoldOverJumps has the ties over jumps held on where both notes are played on one
// string at one place, and lists the others: there the note must be plucked again.
// Whoever looks at the bars as written, each once, leaves such ties to it.
func HoldOverJumps(t *Tab) []Compromise {
	ties := t.Performance().TiesOverJumps()
	if len(ties) == 0 {
		return nil
	}
	played := map[tune.Ref][2]int{}
	for i := range t.Strokes {
		for j, p := range t.Strokes[i].Plucks {
			played[p.Ref] = [2]int{i, j}
		}
	}
	g := steel.New(t.Rig)
	listed := map[tune.Ref]bool{}
	var out []Compromise
	for _, tie := range ties {
		from, ok := played[tie.Held]
		to, ok2 := played[tie.Begun]
		if !ok || !ok2 {
			continue
		}
		a, b := &t.Strokes[from[0]], &t.Strokes[to[0]]
		was, is := &a.Plucks[from[1]], &b.Plucks[to[1]]
		if was.String == is.String && is.Node == 0 && SameStop(g.Key(a.Placement, was.String, a.Benders), g.Key(b.Placement, is.String, b.Benders)) {
			if tie.First {
				is.Attack, is.Finger = Tied, NoFinger
			}
			continue
		}
		if listed[tie.Begun] {
			continue
		}
		listed[tie.Begun] = true
		why := fmt.Sprintf("when it is come to from bar %d, the note rings on string %d and is played on string %d here", t.Tune.Bars[tie.Held.Bar].Number, was.String, is.String)
		if was.String == is.String {
			why = fmt.Sprintf("when it is come to from bar %d, the note rings elsewhere on string %d", t.Tune.Bars[tie.Held.Bar].Number, was.String)
		}
		out = append(out, NewCompromise(t.Tune, tie.Begun, 0, PluckedAgain, 0, why))
	}
	return out
}
