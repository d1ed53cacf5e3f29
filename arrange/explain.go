package arrange

import (
	"fmt"
	"math"
	"sort"

	"lapwright/steel"
	"lapwright/tune"
)

// Term is one part of what an event costs.
type Term struct {
	Name string `json:"term"`
	// Cost is in points; the terms of an event add up to its cost.
	Cost  float64 `json:"cost"`
	Words string  `json:"words"`
}

// Explained tells what one stroke costs and why.
type Explained struct {
	Bar   int        // as printed
	At    tune.Ticks // from the start of the bar
	Cost  float64    // points
	Terms []Term     // dearest first, none that costs nothing
	lost  float64    // the part of Cost that is compromises
}

// explain tells the cost of every stroke of a way by term.
func (s *search) explain(way []chosen) ([]Explained, error) {
	out := make([]Explained, len(way))
	for i := range way {
		if err := s.w.moment(); err != nil {
			return nil, err
		}
		m, g := &s.p.moments[i], way[i].grip
		e := &out[i]
		e.Bar, e.At = s.p.t.Place(m.bar, m.at)
		total := int32(0)
		add := func(name string, cost int32, words string) {
			if cost == 0 {
				return
			}
			total += cost
			e.Terms = append(e.Terms, Term{name, float64(cost) / 100, words})
		}
		own := s.n.alone(g, m.wants)
		add("slant", own.slant, fmt.Sprintf("%s, the bar leaning %.0f°", g.Kind, math.Abs(float64(g.lean))/10))
		add("cents", own.cents, s.leaning(g, m))
		add("beside", own.beside, besides(g))
		add("high", own.high, fmt.Sprintf("high on the neck, at fret %.0f", math.Max(g.FirstFret, g.LastFret)))
		add("thick", own.thick, "a melody note on a low string")
		add("open", own.open, "a long note on an open string, without vibrato")
		add("bender", own.bender, "with "+s.benders(uint16(g.set)))
		add("harmonic", own.harmonic, "as a harmonic")
		add("gesture", own.gesture, gesture(g, m))
		add("harmony", own.harmony, harmonies(g, m))
		add("habit", own.habit+way[i].odd, "played otherwise than elsewhere")
		add("compromise", own.lost, "not as the tune has it")
		add("fingers", way[i].own, "fingers away from their home strings")
		if i > 0 {
			a := &way[i-1]
			st, _ := s.n.step(a.at, a.grip, g, &s.p.moments[i-1].due, &m.due)
			mm := float64(st.mm) / 10
			add("travel", st.travel, fmt.Sprintf("moved %.0f mm in %.2f s", mm, m.dt))
			add("speed", st.fast, fmt.Sprintf("%.0f mm/s, faster than the level's %.0f", mm/m.dt, s.n.lim.Speed))
			add("contrary", st.contrary, "moved the bar against the melody")
			add("lean", st.lean, fmt.Sprintf("turned the bar by %.0f°", math.Abs(float64(a.grip.lean-g.lean))/10))
			add("lift", st.lift, lifting(a.grip, g))
			add("bender move", st.bender, s.bending(uint16(a.grip.set), uint16(g.set)))
			add("ring", st.ring, ringWords(st.rings))
			add("compromise", st.cut, "a held note let go early")
			add("picking", s.n.handStep(a.hand, way[i].hand, m.dt), s.picking(a.hand, way[i].hand, m.dt))
			e.lost = float64(st.cut) / 100
		}
		e.lost += float64(own.lost) / 100
		e.Cost = float64(total) / 100
		sort.SliceStable(e.Terms, func(a, b int) bool { return e.Terms[a].Cost > e.Terms[b].Cost })
	}
	return out, nil
}

func (s *search) leaning(g *grip, m *moment) string {
	words := ""
	for j := range m.wants {
		str := g.strs[j]
		if str == 0 || g.frets[j] == 0 {
			continue
		}
		c := g.cents[str-1]
		if roundCents(c) == 0 {
			continue
		}
		if words != "" {
			words += ", "
		}
		way := "sharp"
		if c < 0 {
			way = "flat"
		}
		words += fmt.Sprintf("string %d leans %d cents %s", str, roundCents(c), way)
	}
	return words
}

func gesture(g *grip, m *moment) string {
	for j := range m.wants {
		switch {
		case g.acts[j] == hammer:
			return "hammered on"
		case g.acts[j] == pull:
			return "pulled off"
		case g.acts[j] == glide:
			return "reached by a glide"
		}
	}
	return "plucked under a slur"
}

func harmonies(g *grip, m *moment) string {
	for j := range m.wants {
		if m.wants[j].kind == offered && g.strs[j] > 0 {
			return "harmony other than the nearest asked for"
		}
	}
	return "left single where harmony was asked for"
}

func besides(g *grip) string {
	switch {
	case g.Kind == steel.Nose:
		return "the tip of the bar alone, the other strings open"
	case g.Slanted():
		return "open strings beside the slant"
	case g.First > 1:
		return "the bar drawn back from open strings on the far side"
	}
	return "the heel of the bar held off open strings"
}

func (s *search) benders(set uint16) string {
	words := ""
	for i := range s.n.r.Benders {
		if set>>i&1 == 1 {
			if words != "" {
				words += " and "
			}
			words += s.n.r.Benders[i].Name
		}
	}
	return words
}

func (s *search) bending(a, b uint16) string {
	on, off := s.benders(b&^a), s.benders(a&^b)
	switch {
	case on == "":
		return "let go of " + off
	case off == "":
		return "engaged " + on
	}
	return "let go of " + off + ", engaged " + on
}

func lifting(a, b *grip) string {
	switch {
	case b.Kind == steel.Lifted:
		return "lifted the bar"
	case a.Kind == steel.Lifted:
		return "laid the bar again"
	}
	return "drew the bar over other strings"
}

func ringWords(r ringing) string {
	if r == clashes {
		return "the note before must be damped, it would clash"
	}
	return "the note before cannot ring on"
}

func (s *search) picking(a, b hand, seconds float64) string {
	words := ""
	add := func(w string) {
		if words != "" {
			words += ", "
		}
		words += w
	}
	for _, f := range [3]struct {
		again bool
		name  string
	}{{a.t > 0 && b.t > 0, "thumb"}, {a.i > 0 && b.i > 0, "index"}, {a.m > 0 && b.m > 0, "middle"}} {
		if f.again {
			add(fmt.Sprintf("%s again after %.2f s", f.name, seconds))
		}
	}
	if crosses(a, b) || crosses(b, a) {
		add("fingers cross")
	}
	if la, lb := lead(a), lead(b); la > 0 && lb > 0 && max(la-lb, lb-la) > 2 {
		add(fmt.Sprintf("skipped from string %d to %d", la, lb))
	}
	return words
}

// difficulty reckons a figure from 0 to 10 from what events cost, compromises
// left out: 10·(1 − 2^(−d/4)), d half the mean cost of all events and half the
// mean of the dearest tenth, in points. 4 points an event is thus 5 of 10.
func difficulty(events []Explained) float64 {
	if len(events) == 0 {
		return 0
	}
	costs := make([]float64, len(events))
	sum := 0.0
	for i, e := range events {
		costs[i] = e.Cost - e.lost
		sum += costs[i]
	}
	sort.Float64s(costs)
	tenth := (len(costs) + 9) / 10
	hard := 0.0
	for _, c := range costs[len(costs)-tenth:] {
		hard += c
	}
	d := sum/float64(len(costs))/2 + hard/float64(tenth)/2
	return math.Round(100*(1-math.Exp2(-d/4))) / 10
}
