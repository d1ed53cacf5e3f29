package arrange

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
	"sort"

	"lapwright/arrange/touch"
	"lapwright/arrange/why"
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
		add := func(name string, cost int32, words string, of ...any) {
			if cost == 0 {
				return // most terms: their words are not put together
			}
			total += cost
			e.Terms = append(e.Terms, Term{name, float64(cost) / 100, fmt.Sprintf(words, of...)})
		}
		own := s.n.Alone(g, m.Wants)
		add("slant", own.Slant, "%s, the steel leaning %.0f°", g.Kind, math.Abs(float64(g.Lean))/10)
		add("cents", own.Cents, "%s", why.Leaning(g, &m.Due))
		add("beside", own.Beside, "%s", why.Beside(g))
		add("high", own.High, "high on the neck, at fret %.0f", math.Max(g.FirstFret, g.LastFret))
		add("thick", own.Thick, "a melody note on a low string")
		add("open", own.Open, "a long note on an open string, without vibrato")
		add("bender", own.Bender, "with %s", why.Benders(s.n.Rig, g.Benders))
		add("harmonic", own.Harmonic, "as a harmonic")
		add("gesture", own.Gesture, "%s", why.Gesture(g, &m.Due))
		add("harmony", own.Harmony, "%s", why.Harmony(g, &m.Due))
		add("habit", own.Habit+way[i].odd, "played otherwise than elsewhere")
		add("compromise", own.Lost, "not as the tune has it")
		add("fingers", way[i].own, "fingers away from their home strings")
		if i > 0 {
			a := &way[i-1]
			st, _ := s.n.Step(a.at, a.grip, g, &s.p.moments[i-1].Due, &m.Due)
			mm := float64(st.Travelled) / 10
			add("travel", st.Travel, "moved %.0f mm in %.2f s", mm, m.Seconds)
			add("speed", st.Fast, "%.0f mm/s, faster than the level's %.0f", mm/m.Seconds, s.n.Limits.Speed)
			add("contrary", st.Contrary, "moved the steel against the melody")
			add("lean", st.Lean, "turned the steel by %.0f°", math.Abs(float64(a.grip.Lean-g.Lean))/10)
			add("lift", st.Lift, "%s", why.Lifting(a.grip, g))
			add("bender move", st.Bender, "%s", why.Bending(s.n.Rig, a.grip.Benders, g.Benders))
			add("again", st.Again, "plucked on the string that rings, a step away")
			add("ring", st.Ring, "%s", why.Ringing(st.Rings))
			add("compromise", st.Cut, "a held note let go early")
			add("picking", s.n.HandStep(a.hand, way[i].hand, m.Seconds), "%s", why.Picking(a.hand, way[i].hand, m.Seconds))
			e.Broken = float64(st.Cut) / 100
		}
		e.Broken += float64(own.Lost) / 100
		e.Cost = float64(total) / 100
		sort.SliceStable(e.Terms, func(a, b int) bool { return e.Terms[a].Cost > e.Terms[b].Cost })
	}
	return out, nil
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
