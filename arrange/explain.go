package arrange

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
	"sort"

	"lapwright/arrange/touch"
	"lapwright/grip"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Term is one part of what an event costs.
type Term struct {
	Name string
	// Cost is in points; the terms of an event add up to its cost.
	Cost  float64
	Words string
}

// Explained tells what one stroke costs and why.
type Explained struct {
	BarNumber int        // as printed
	At        tune.Ticks // from the start of the bar
	Cost      float64    // points
	Terms     []Term     // dearest first, none that costs nothing
	Broken    float64    // the part of Cost that is compromises
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
		e.BarNumber, e.At = s.p.t.Place(m.barIndex, m.at)
		total := int32(0)
		add := func(name string, cost int32, words string) {
			if cost == 0 {
				return
			}
			total += cost
			e.Terms = append(e.Terms, Term{name, float64(cost) / 100, words})
		}
		own := s.n.Alone(g, m.Wants)
		add("slant", own.Slant, fmt.Sprintf("%s, the steel leaning %.0f°", g.Kind, math.Abs(float64(g.Lean))/10))
		add("cents", own.Cents, s.leaning(g, m))
		add("beside", own.Beside, besides(g))
		add("high", own.High, fmt.Sprintf("high on the neck, at fret %.0f", math.Max(g.FirstFret, g.LastFret)))
		add("thick", own.Thick, "a melody note on a low string")
		add("open", own.Open, "a long note on an open string, without vibrato")
		add("bender", own.Bender, "with "+s.benders(uint16(g.Benders)))
		add("harmonic", own.Harmonic, "as a harmonic")
		add("gesture", own.Gesture, gesture(g, m))
		add("harmony", own.Harmony, harmonies(g, m))
		add("habit", own.Habit+way[i].odd, "played otherwise than elsewhere")
		add("compromise", own.Lost, "not as the tune has it")
		add("fingers", way[i].own, "fingers away from their home strings")
		if i > 0 {
			a := &way[i-1]
			st, _ := s.n.Step(a.at, a.grip, g, &s.p.moments[i-1].Due, &m.Due)
			mm := float64(st.Travelled) / 10
			add("travel", st.Travel, fmt.Sprintf("moved %.0f mm in %.2f s", mm, m.Seconds))
			add("speed", st.Fast, fmt.Sprintf("%.0f mm/s, faster than the level's %.0f", mm/m.Seconds, s.n.Limits.Speed))
			add("contrary", st.Contrary, "moved the steel against the melody")
			add("lean", st.Lean, fmt.Sprintf("turned the steel by %.0f°", math.Abs(float64(a.grip.Lean-g.Lean))/10))
			add("lift", st.Lift, lifting(a.grip, g))
			add("bender move", st.Bender, s.bending(uint16(a.grip.Benders), uint16(g.Benders)))
			add("again", st.Again, "plucked on the string that rings, a step away")
			add("ring", st.Ring, ringWords(st.Rings))
			add("compromise", st.Cut, "a held note let go early")
			add("picking", s.n.HandStep(a.hand, way[i].hand, m.Seconds), s.picking(a.hand, way[i].hand, m.Seconds))
			e.Broken = float64(st.Cut) / 100
		}
		e.Broken += float64(own.Lost) / 100
		e.Cost = float64(total) / 100
		sort.SliceStable(e.Terms, func(a, b int) bool { return e.Terms[a].Cost > e.Terms[b].Cost })
	}
	return out, nil
}

func (s *search) leaning(g *grip.Grip, m *moment) string {
	words := ""
	for j := range m.Wants {
		str := g.Strings[j]
		if str == 0 || g.Frets[j] == 0 {
			continue
		}
		c := g.Cents[str-1]
		if grip.WholeCents(c) == 0 {
			continue
		}
		if words != "" {
			words += ", "
		}
		way := "sharp"
		if c < 0 {
			way = "flat"
		}
		words += fmt.Sprintf("string %d leans %d cents %s", str, grip.WholeCents(c), way)
	}
	return words
}

func gesture(g *grip.Grip, m *moment) string {
	for j := range m.Wants {
		switch {
		case g.Acts[j] == grip.Glide && m.Wants[j].Kind != grip.Glided:
			return "slid to"
		case g.Acts[j] == grip.Hammer:
			return "hammered on"
		case g.Acts[j] == grip.Pull:
			return "pulled off"
		case g.Acts[j] == grip.Glide:
			return "reached by a glide"
		}
	}
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Graced {
			return "plucked after its grace"
		}
	}
	return "plucked under a slur"
}

func harmonies(g *grip.Grip, m *moment) string {
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Offered && g.Strings[j] > 0 {
			return "harmony other than the nearest asked for"
		}
	}
	return "left single where harmony was asked for"
}

func besides(g *grip.Grip) string {
	switch {
	case g.Kind == steel.Nose:
		return "the tip of the steel alone, the other strings open"
	case g.Slanted():
		return "open strings beside the slant"
	case g.First > 1:
		return "the steel drawn back from open strings on the far side"
	}
	return "the heel of the steel held off open strings"
}

func (s *search) benders(set uint16) string {
	words := ""
	for i := range s.n.Rig.Benders {
		if set>>i&1 == 1 {
			if words != "" {
				words += " and "
			}
			words += s.n.Rig.Benders[i].Name
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

func lifting(a, b *grip.Grip) string {
	switch {
	case b.Kind == steel.Lifted:
		return "lifted the steel"
	case a.Kind == steel.Lifted:
		return "laid the steel again"
	}
	return "drew the steel over other strings"
}

func ringWords(r grip.Ringing) string {
	if r == grip.RingsClash {
		return "the note before must be damped, it would clash"
	}
	return "the note before cannot ring on"
}

func (s *search) picking(a, b grip.Hand, seconds float64) string {
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
	}{{a.Thumb > 0 && b.Thumb > 0, "thumb"}, {a.Index > 0 && b.Index > 0, "index"}, {a.Middle > 0 && b.Middle > 0, "middle"}} {
		if f.again {
			add(fmt.Sprintf("%s again after %.2f s", f.name, seconds))
		}
	}
	if grip.Crosses(a, b) || grip.Crosses(b, a) {
		add("fingers cross")
	}
	if la, lb := grip.Lead(a), grip.Lead(b); la > 0 && lb > 0 && max(la-lb, lb-la) > 2 {
		add(fmt.Sprintf("skipped from string %d to %d", la, lb))
	}
	return words
}

// beyondSteady is how much harder a moment is, in points, for asking what a steady
// player can't do: as much as the steel's crossing half the neck in a third of a second.
const beyondSteady = 4

// beyond reports whether a moment asks what the player's limits don't allow.
func (s *search) beyond(i int, way []chosen) bool {
	g, m, lim := way[i].grip, &s.p.moments[i], &s.n.Limits
	if bits.OnesCount16(uint16(g.Benders)) > lim.Benders || g.Kind == steel.Split && !lim.Split ||
		math.Abs(float64(g.Lean))/10 > lim.Angle || max(g.FirstFret, g.LastFret) > float64(lim.Fret) {
		return true
	}
	for j := range m.Wants {
		w := &m.Wants[j]
		if w.Kind != grip.Graced && (g.Acts[j] == grip.Hammer || g.Acts[j] == grip.Pull) && !m.Hammer {
			return true
		}
		if w.Kind == grip.Stepped && g.Acts[j] != grip.Pluck && m.Seconds < lim.Hammer {
			return true
		}
	}
	return false
}

// difficulty reckons how hard a way is, so that tabs of one tune for any grade can be
// compared: by what a steady player's hands have to do, over all moments of the tune.
// Those that an outline leaves out cost nothing.
func (s *search) difficulty(way []chosen, touched [][]Term, moments int) (float64, error) {
	lim := grip.LimitsOf(grip.Steady)
	with := *s.n.Neck
	with.Limits = lim
	p := *s.p
	p.moments = slices.Clone(p.moments)
	for i := range p.moments {
		p.moments[i].Pace = grip.NewPace(p.moments[i].Seconds, lim)
	}
	steady := *s
	steady.n, steady.p = &neck{&with, s.n.opt}, &p
	events, err := steady.explain(way)
	if err != nil {
		return 0, err
	}
	for i := range events {
		events[i].Terms = append(events[i].Terms, touched[i]...)
		if steady.beyond(i, way) {
			events[i].Terms = append(events[i].Terms, Term{"beyond", beyondSteady, "more than a steady player does"})
		}
	}
	return difficulty(events, moments), nil
}

// touches tells what the full touch of a way's strokes costs, stroke by stroke: what a
// tab has more of them than the way is rolls, which belong to the stroke before.
func (s *search) touches(t *tab.Tab, n int) [][]Term {
	out := make([][]Term, n)
	rolls, next := 0, 0
	for i := range t.Strokes {
		if next < len(s.rolled) && s.rolled[next] == i {
			next, rolls = next+1, rolls+1
			out[i-rolls] = append(out[i-rolls], Term{"touch", touch.CostRollNote / 100.0, "a note of a roll"})
			continue
		}
		for _, w := range s.p.moments[i-rolls].Wants {
			if w.Kind == grip.Offered && w.Ref != s.p.moments[i-rolls].Wants[0].Ref && slices.ContainsFunc(t.Strokes[i].Plucks, func(p tab.Pluck) bool { return p.Ref == w.Ref }) {
				out[i-rolls] = append(out[i-rolls], Term{"touch", touch.CostUnder / 100.0, "a note under the melody"})
			}
		}
		for j := range t.Strokes[i].Plucks {
			p := &t.Strokes[i].Plucks[j]
			if n := t.Tune.Note(p.Ref); p.Scoop != 0 && n != nil && n.Scoop == 0 && j == 0 {
				out[i-rolls] = append(out[i-rolls], Term{"touch", touch.CostSlideIn / 100.0, "slid into"})
			}
			if p.Vibrato && j == 0 {
				out[i-rolls] = append(out[i-rolls], Term{"touch", touch.CostVibrato / 100.0, "with vibrato"})
			}
		}
	}
	return out
}

// heard are the terms that speak of how it sounds or is learnt, and not of what the hands
// do.
var heard = []string{"open", "thick", "ring", "again", "harmony", "habit", "compromise"}

// difficulty reckons a figure from 0 to 10 from what the hands do: 10·(1 − 2^(−d/4)), d half the mean cost of all moments and half
// the mean of the dearest tenth, in points. 4 points a moment is thus 5 of 10.
func difficulty(events []Explained, moments int) float64 {
	if len(events) == 0 {
		return 0
	}
	costs := make([]float64, max(moments, len(events)))
	sum := 0.0
	for i, e := range events {
		for _, t := range e.Terms {
			if !slices.Contains(heard, t.Name) {
				costs[i] += t.Cost
			}
		}
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
