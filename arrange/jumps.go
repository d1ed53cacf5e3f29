package arrange

import (
	"fmt"

	"lapwright/tab"
	"lapwright/tune"
)

// overJumps lists the ties that a repeat, an ending or a jump leads over to
// another string than the one the note was played on: there it must be plucked
// again. The search looks at the bars as written, each once, so what a bar does
// when it is come to from another bar than the first time is found here.
func overJumps(t *tab.Tab) []tab.Compromise {
	perf := t.Performance()
	passes, first := perf.Passes, perf.Before
	var stringOf map[tune.Ref]int // made when first needed: most tunes tie nothing over a jump
	listed := map[tune.Ref]bool{}
	var out []tab.Compromise
	for p := 1; p < len(passes); p++ {
		from, to := passes[p-1].Bar, passes[p].Bar
		if first[to] == from {
			continue
		}
		for v := range t.Tune.Voices {
			before, after := t.Tune.Bars[from].Lines[v], t.Tune.Bars[to].Lines[v]
			if len(before) == 0 || len(after) == 0 || len(after[0].Graces) > 0 {
				continue
			}
			for n, i := range tune.TiedFrom(&before[len(before)-1], &after[0]) {
				if i < 0 {
					continue
				}
				if stringOf == nil {
					stringOf = stringsOf(t)
				}
				held := tune.Ref{Bar: from, Voice: v, Event: len(before) - 1, Grace: -1, Note: i}
				begun := tune.Ref{Bar: to, Voice: v, Event: 0, Grace: -1, Note: n}
				was, is := stringOf[held], stringOf[begun]
				if was == 0 || is == 0 || was == is || listed[begun] {
					continue
				}
				listed[begun] = true
				name := after[0].Notes[n].Name.String()
				out = append(out, tab.Compromise{
					Ref: begun, Bar: t.Tune.Bars[to].Number, Wanted: name + " held on", Got: name + " plucked again",
					Why: fmt.Sprintf("when it is come to from bar %d, the note rings on string %d and is played on string %d here", t.Tune.Bars[from].Number, was, is),
				})
			}
		}
	}
	return out
}

// stringsOf gives the string of every note that a tab plays.
func stringsOf(t *tab.Tab) map[tune.Ref]int {
	out := map[tune.Ref]int{}
	for i := range t.Strokes {
		for _, p := range t.Strokes[i].Plucks {
			out[p.Ref] = p.String
		}
	}
	return out
}
