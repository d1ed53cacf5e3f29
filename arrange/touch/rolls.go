package touch

import (
	"strings"

	"lapwright/tab"
	"lapwright/tune"
)

// Pattern is a run of single notes that the picking fingers play in a pattern that
// comes round at least twice.
type Pattern struct {
	StrokeIndex int        // the first stroke of the run
	Strokes     int        // how many there are
	BarNumber   int        // as printed
	At          tune.Ticks // from the start of the bar
	Name        string
	Fingers     string // one round of the pattern, such as "T I M"
}

// rolls are the patterns that players have names for (common practice, no
// source), longest first.
var rolls = []struct{ fingers, name string }{
	{"TITM", "alternating thumb"},
	{"TMTI", "alternating thumb"},
	{"TIMI", "forward and backward roll"},
	{"TIM", "forward roll"},
	{"MIT", "backward roll"},
}

// Rolls finds the rolls of a tab, in order; no stroke is in two.
func Rolls(t *tab.Tab) []Pattern {
	ss := t.Strokes
	fingers := make([]byte, len(ss))
	for i := range ss {
		fingers[i] = ' '
		if p := ss[i].Plucks; len(p) == 1 && p[0].Finger != tab.NoFinger && !ss[i].Grace {
			fingers[i] = p[0].Finger.String()[0]
		}
	}
	even := func(i int) bool { return ss[i].Len == ss[i-1].Len }
	var out []Pattern
	for i := 0; i < len(ss); {
		best := 0
		var found Pattern
		for _, p := range rolls {
			n := len(p.fingers)
			k := 0
			for i+k < len(ss) && fingers[i+k] == p.fingers[k%n] && (k == 0 || even(i+k)) {
				k++
			}
			if k -= k % n; k >= 2*n && k > best {
				best = k
				found = Pattern{
					StrokeIndex: i, Strokes: k, BarNumber: t.Tune.Bars[ss[i].BarIndex].Number, At: ss[i].At,
					Name: p.name, Fingers: strings.Join(strings.Split(p.fingers, ""), " "),
				}
			}
		}
		if best == 0 {
			i++
			continue
		}
		out = append(out, found)
		i += best
	}
	return out
}
