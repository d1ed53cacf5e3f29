package say

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// heard is what a stroke does to its strings, each kind in the order of the
// plucks.
type heard struct {
	open, fretted, held []int
	chopped             []int
	frets, nodes        []string // as said, each once
	byFret, byNode      map[string][]int
	longest             tune.Ticks
	lead                string // how the stroke is come to: "hammer on to "
}

// leads are the words before what is played.
var leads = map[tab.Attack]string{
	tab.Hammered: "hammer on to ", tab.PulledOff: "pull off to ", tab.Glided: "arrive at ", tab.PalmHarmonic: "palm harmonic over ",
	tab.BentTo: "bend to ",
}

func hear(st *tab.Stroke) heard {
	h := heard{byFret: map[string][]int{}, byNode: map[string][]int{}}
	put := func(said *[]string, by map[string][]int, f float64, str int) {
		k := Fret(f)
		if by[k] == nil {
			*said = append(*said, k)
		}
		by[k] = append(by[k], str)
	}
	for i := range st.Plucks {
		p := &st.Plucks[i]
		h.longest = max(h.longest, p.Len)
		switch {
		case p.Attack == tab.Tied:
			h.held = append(h.held, p.String)
		case p.Attack == tab.Chopped:
			h.chopped = append(h.chopped, p.String)
		case p.Attack == tab.Harmonic:
			f := p.Fret
			if f == 0 {
				f = tab.NodeFret(int(p.Node))
			}
			put(&h.nodes, h.byNode, f, p.String)
		case p.Fret == 0:
			h.open = append(h.open, p.String)
		default:
			h.fretted = append(h.fretted, p.String)
			put(&h.frets, h.byFret, p.Fret, p.String)
		}
		if w := leads[p.Attack]; w != "" {
			h.lead = w
		}
	}
	return h
}

// stroke reads one stroke.
func (tl *Teller) stroke(b *tune.Bar, st *tab.Stroke) string {
	if len(st.Plucks) == 0 {
		return ""
	}
	beat := b.Meter.Beat()
	h := hear(st)
	var said []string
	put := func(words string) {
		if words != "" {
			said = append(said, words)
		}
	}
	put(tl.stopped(st, &h))
	if len(h.open) > 0 {
		lead := ""
		if len(h.fretted) == 0 {
			lead = h.lead
		}
		put(lead + "open " + Strings(h.open))
	}
	for _, k := range h.nodes {
		put("harmonic at fret " + k + " on " + Strings(h.byNode[k]))
	}
	if len(h.held) > 0 {
		put(Strings(h.held) + " held on")
	}
	if len(h.chopped) > 0 {
		put("chop on " + Strings(h.chopped))
	}
	put(tl.benders(st))
	put(scoops(st))
	if tl.swells(st) {
		put("swell")
	}
	if st.Grace {
		put("quickly")
	} else {
		put("for " + long(h.longest, beat))
	}
	put(tl.glides(st, beat))
	if slices.ContainsFunc(st.Plucks, func(p tab.Pluck) bool { return p.Vibrato }) {
		put("vibrato")
	}
	if slices.ContainsFunc(st.Plucks, func(p tab.Pluck) bool { return p.Damp }) {
		put("then stop it")
	}
	put(fingersWords(st))
	return tl.beat(b, st.At) + ": " + strings.Join(said, ", ")
}

// stopped says how the steel lies and where it stops the strings.
func (tl *Teller) stopped(st *tab.Stroke, h *heard) string {
	pl := st.Placement
	switch {
	case len(h.fretted) == 0:
		return ""
	case len(h.frets) == 1 && !pl.Slanted():
		// That the steel is square to the strings goes without saying for one
		// string, unless it was not so before.
		how := ""
		switch {
		case pl.Kind == steel.Nose:
			how = "with the nose of the steel, "
		case len(h.fretted) > 1 || tl.turned[st]:
			how = "straight, "
		}
		return fmt.Sprintf("%sfret %s, %s%s", h.lead, h.frets[0], how, Strings(h.fretted))
	}
	var w []string
	for _, f := range h.frets {
		w = append(w, fmt.Sprintf("fret %s on %s", f, Strings(h.byFret[f])))
	}
	kind := pl.Kind.String()
	if pl.Slanted() {
		kind += fmt.Sprintf(" of %.0f degrees", math.Abs(tl.geo.Angle(pl)))
	}
	return h.lead + kind + ", " + List(w)
}

// benders says which benders are engaged.
func (tl *Teller) benders(st *tab.Stroke) string {
	var w []string
	for i := range tl.tab.Rig.Benders {
		b := &tl.tab.Rig.Benders[i]
		on := false
		for _, p := range st.Plucks {
			on = on || b.Changes(p.String)
		}
		if on && st.Benders.Has(i) {
			w = append(w, benderName(b))
		}
	}
	if len(w) == 0 {
		return ""
	}
	return "with " + List(w)
}

// glides says where the bar goes from here while the strings ring.
func (tl *Teller) glides(st *tab.Stroke, beat tune.Ticks) string {
	type target struct {
		way, to string
	}
	var order []target
	by := map[target][]int{}
	var dur tune.Ticks
	var still []int
	for i := range st.Plucks {
		p := &st.Plucks[i]
		q := tl.next[p]
		if !p.Glide || q == nil {
			still = append(still, p.String)
			continue
		}
		dur = max(dur, p.Len)
		k := target{"up", Fret(q.Fret)}
		switch {
		case q.Fret < p.Fret:
			k.way = "down"
		case q.Fret == p.Fret:
			k = target{}
		}
		if by[k] == nil {
			order = append(order, k)
		}
		by[k] = append(by[k], p.String)
	}
	if len(order) == 0 {
		return ""
	}
	inorder.Stable(order, func(a, b target) int { return by[a][0] - by[b][0] })
	var w []string
	for _, k := range order {
		s := "glide " + k.way + " to " + k.to
		if k.to == "" {
			s = "move the bender"
		}
		if len(order) > 1 || len(still) > 0 {
			s += " on " + Strings(by[k])
		}
		w = append(w, s)
	}
	s := List(w) + " over " + long(dur, beat)
	if len(still) > 0 {
		s += " while " + Strings(still)
		if len(still) == 1 {
			s += " rings on"
		} else {
			s += " ring on"
		}
	}
	return s
}

// swells reports whether a stroke is to grow from soft.
func (tl *Teller) swells(st *tab.Stroke) bool {
	return slices.ContainsFunc(st.Plucks, func(p tab.Pluck) bool {
		return p.Attack != tab.Tied && tl.tab.Tune.Swells(p.Ref)
	})
}

func benderName(b *rig.Bender) string {
	if b.Mark != "" {
		return "bender " + b.Mark
	}
	return b.Name
}

// scoops says from where a note is slid into.
func scoops(st *tab.Stroke) string {
	for _, p := range st.Plucks {
		if p.Scoop < 0 {
			return "slid into from below"
		}
		if p.Scoop > 0 {
			return "slid into from above"
		}
	}
	return ""
}

func fingersWords(st *tab.Stroke) string {
	names := map[tab.Finger]string{tab.Thumb: "thumb", tab.Index: "index", tab.Middle: "middle"}
	var w []string
	for _, p := range st.Plucks {
		n := names[p.Finger]
		if n == "" {
			continue
		}
		if len(st.Plucks) > 1 {
			n += " on " + strconv.Itoa(p.String)
		}
		w = append(w, n)
	}
	return List(w)
}
