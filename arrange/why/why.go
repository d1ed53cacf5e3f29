package why

import (
	"math"
	"math/bits"
	"sort"

	"lapwright/grip"
	"lapwright/steel"
)

// Move is a moment and how the hands come to it.
type Move struct {
	To   *grip.Grip
	Hand grip.Hand // which fingers
	Due  *grip.Due
	Own  int32 // hundredths of a point: what the fingers cost for being away from their homes
	Odd  int32 // and for being others than elsewhere

	From     *grip.Grip // nil for the first moment
	FromHand grip.Hand
	At       int32 // where the bar hand was
	Before   *grip.Due
}

// Part is one thing that a moment can cost something for.
type Part uint8

// The parts, in the order in which equal ones are told.
const (
	Slant Part = iota
	Cents
	Beside
	High
	Thick
	Open
	Bender
	Harmonic
	Gesture
	Harmony
	Habit
	Lost
	Fingers
	Travel
	Speed
	Contrary
	Lean
	Lift
	BenderMove
	Again
	Ring
	Cut
	Picking
	count
)

// parts are their names, and whether they speak of how it sounds or is learnt, and not of
// what the hands do.
var parts = [count]struct {
	name  string
	heard bool
}{
	Slant:      {"slant", false},
	Cents:      {"cents", false},
	Beside:     {"beside", false},
	High:       {"high", false},
	Thick:      {"thick", true},
	Open:       {"open", true},
	Bender:     {"bender", false},
	Harmonic:   {"harmonic", false},
	Gesture:    {"gesture", false},
	Harmony:    {"harmony", true},
	Habit:      {"habit", true},
	Lost:       {"compromise", true},
	Fingers:    {"fingers", false},
	Travel:     {"travel", false},
	Speed:      {"speed", false},
	Contrary:   {"contrary", false},
	Lean:       {"lean", false},
	Lift:       {"lift", false},
	BenderMove: {"bender move", false},
	Again:      {"again", true},
	Ring:       {"ring", true},
	Cut:        {"compromise", true},
	Picking:    {"picking", false},
}

// String returns the part's name.
func (p Part) String() string { return parts[p].name }

// Parts are what a moment costs, by part, in hundredths of a point.
type Parts [count]int32

// Sum returns what they cost together.
func (p *Parts) Sum() int32 {
	sum := int32(0)
	for _, c := range p {
		sum += c
	}
	return sum
}

// Hands returns what of it the hands do.
func (p *Parts) Hands() int32 {
	sum := int32(0)
	for k, c := range p {
		if !parts[k].heard {
			sum += c
		}
	}
	return sum
}

// Of works out what a move costs with the limits of a neck, and the step that it takes.
func Of(n *grip.Neck, m *Move) (p Parts, step grip.Between) {
	own := n.Alone(m.To, m.Due.Wants)
	p = Parts{
		Slant: own.Slant, Cents: own.Cents, Beside: own.Beside, High: own.High,
		Thick: own.Thick, Open: own.Open, Bender: own.Bender, Harmonic: own.Harmonic,
		Gesture: own.Gesture, Harmony: own.Harmony, Habit: own.Habit + m.Odd,
		Lost: own.Lost, Fingers: m.Own,
	}
	if m.From == nil {
		return p, step
	}
	step, _ = n.Step(m.At, m.From, m.To, m.Before, m.Due)
	p[Travel], p[Speed], p[Contrary], p[Lean] = step.Travel, step.Fast, step.Contrary, step.Lean
	p[Lift], p[BenderMove], p[Again], p[Ring] = step.Lift, step.Bender, step.Again, step.Ring
	p[Cut], p[Picking] = step.Cut, n.HandStep(m.FromHand, m.Hand, m.Due.Seconds)
	return p, step
}

// BeyondSteady is how much harder a moment is, in points, for asking what a steady
// player can't do: as much as the steel's crossing half the neck in a third of a second.
const BeyondSteady = 4

// Beyond reports whether a grip asks in its moment what a player's limits don't allow.
func Beyond(g *grip.Grip, m *grip.Due, lim *grip.Limits) bool {
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

// Difficulty reckons a figure from 0 to 10 from what the hands do at each moment, in
// points: 10·(1 − 2^(−d/4)), d half the mean cost of all moments and half the mean of the
// dearest tenth. 4 points a moment is thus 5 of 10. It sorts the costs.
func Difficulty(costs []float64) float64 {
	if len(costs) == 0 {
		return 0
	}
	sum := 0.0
	for _, c := range costs {
		sum += c
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
