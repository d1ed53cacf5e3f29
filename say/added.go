package say

import (
	"fmt"
	"slices"
	"strconv"

	"lapwright/tab"
)

// addedWords say what each kind of addition is, one and many of them.
var addedWords = map[tab.Addition][2]string{
	tab.AddJoin:    {"a note joined to the one before", "%d notes joined to the one before"},
	tab.AddSlideIn: {"a slide into a note", "%d slides into a note"},
	tab.AddVibrato: {"vibrato on a note", "vibrato on %d notes"},
	tab.AddRoll:    {"a note of a roll", "%d notes of rolls"},
	tab.AddHarmony: {"a note of harmony", "%d notes of harmony"},
	tab.AddBend:    {"a note reached by a bender", "%d notes reached by a bender"},
}

// Added tells what a tab adds to its tune and what it leaves out of it, a line a kind:
// "Added: 3 notes joined to the one before, in bars 2–4 and 7". nil for neither.
func Added(t *tab.Tab) []string {
	bars, count := map[tab.Addition][]int{}, map[tab.Addition]int{}
	for _, a := range t.Added {
		bars[a.Kind] = append(bars[a.Kind], a.BarNumber)
		count[a.Kind]++
	}
	var out []string
	for k := tab.AddJoin; k <= tab.AddBend; k++ {
		switch n := count[k]; n {
		case 0:
		case 1:
			out = append(out, "Added: "+addedWords[k][0]+", in "+barsIn(bars[k]))
		default:
			out = append(out, "Added: "+fmt.Sprintf(addedWords[k][1], n)+", in "+barsIn(bars[k]))
		}
	}
	var left []int
	for _, l := range t.LeftOut {
		if l.BarIndex >= 0 && l.BarIndex < len(t.Tune.Bars) {
			left = append(left, t.Tune.Bars[l.BarIndex].Number)
		}
	}
	if len(left) > 0 {
		out = append(out, fmt.Sprintf("Left out: %s of the tune, in %s", Count(len(left), "note"), barsIn(left)))
	}
	return out
}

// barsIn names bars by number, runs of three or more as one: "bars 1–4 and 7".
func barsIn(numbers []int) string {
	n := slices.Clone(numbers)
	slices.Sort(n)
	n = slices.Compact(n)
	if len(n) == 1 {
		return "bar " + strconv.Itoa(n[0])
	}
	var parts []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		switch {
		case j-i >= 2:
			parts = append(parts, fmt.Sprintf("%d–%d", n[i], n[j]))
		default:
			for _, k := range n[i : j+1] {
				parts = append(parts, strconv.Itoa(k))
			}
		}
		i = j + 1
	}
	return "bars " + List(parts)
}
