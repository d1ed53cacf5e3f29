package tune

// Slurred returns the events (bar, voice and event index) that a slur leads into:
// all under it but the first.
func Slurred(t *Tune) map[[3]int]bool {
	out := map[[3]int]bool{}
	for v := range t.Voices {
		open := 0
		for b := range t.Bars {
			if v >= len(t.Bars[b].Lines) {
				continue
			}
			for e := range t.Bars[b].Lines[v] {
				ev := &t.Bars[b].Lines[v][e]
				if open > 0 {
					out[[3]int{b, v, e}] = true
				}
				open = max(0, open+ev.Slurs-ev.SlurEnds)
			}
		}
	}
	return out
}
