package arrange

import (
	"fmt"
	"strings"
)

// picture writes an arrangement as a grid, one line a string, for failures.
func picture(r *Result) string {
	lines := make([]strings.Builder, len(r.Tab.Rig.Strings)+1)
	for i := range r.Tab.Strokes {
		s := &r.Tab.Strokes[i]
		cells := make([]string, len(lines))
		cells[0] = map[bool]string{true: fmt.Sprint(s.BarIndex + 1), false: ""}[s.At == 0]
		for _, p := range s.Plucks {
			cells[p.String] = fmt.Sprintf("%.3g%s%s", p.Fret, [...]string{"", "-", "/", "h", "p", "*", "^", "b", "x"}[p.Attack], strings.ToLower(p.Finger.String()))
		}
		if s.Placement.Slanted() {
			cells[0] += map[string]string{"forward slant": ">", "reverse slant": "<", "split": "Y"}[s.Placement.Kind.String()]
		}
		for j := range lines {
			c := cells[j]
			if c == "" {
				c = "."
			}
			fmt.Fprintf(&lines[j], "%-5s", c)
		}
	}
	out := fmt.Sprintf("key %s, moved %d, cost %.2f, difficulty %.1f, %+v\n", r.Key, r.Transposed, r.Cost, r.Difficulty, r.Work)
	for i := range lines {
		out += lines[i].String() + "\n"
	}
	for _, c := range r.Tab.Compromises {
		out += fmt.Sprintf("bar %d at %s: %s → %s: %s\n", c.BarNumber, c.At, c.Wanted, c.Got, c.Why)
	}
	return out
}
