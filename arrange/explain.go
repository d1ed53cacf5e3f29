package arrange

import (
	"cmp"
	"slices"

	"lapwright/arrange/touch"
	"lapwright/arrange/why"
	"lapwright/grip"
	"lapwright/inorder"
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

// move returns moment i of a way, and how the hands come to it.
func (f *finished) move(i int) why.Move {
	c := &f.way[i]
	m := why.Move{To: c.grip, Hand: c.hand, Due: &f.p.moments[i].Due, Own: c.own, Odd: c.odd}
	if i > 0 {
		a := &f.way[i-1]
		m.From, m.FromHand, m.At, m.Before = a.grip, a.hand, a.at, &f.p.moments[i-1].Due
	}
	return m
}

// costs returns what every moment of a way costs, in points.
func (f *finished) costs() ([]float64, error) {
	out := make([]float64, len(f.way))
	for i := range f.way {
		if err := f.w.moment(); err != nil {
			return nil, err
		}
		m := f.move(i)
		p, _ := why.Of(f.n.Neck, &m)
		out[i] = float64(p.Sum()) / 100
	}
	return out, nil
}

// explain tells the cost of every stroke of a way by term.
func (f *finished) explain() ([]Explained, error) {
	out := make([]Explained, len(f.way))
	for i := range f.way {
		if err := f.w.moment(); err != nil {
			return nil, err
		}
		m, e := f.move(i), &out[i]
		e.BarNumber, e.At = f.p.t.Place(f.p.moments[i].barIndex, f.p.moments[i].at)
		p, step := why.Of(f.n.Neck, &m)
		e.Cost = float64(p.Sum()) / 100
		e.Broken = float64(p[why.Cut])/100 + float64(p[why.Lost])/100
		n := 0
		for _, c := range p {
			if c != 0 {
				n++
			}
		}
		e.Terms = make([]Term, 0, n)
		for k, c := range p {
			if c != 0 {
				k := why.Part(k)
				e.Terms = append(e.Terms, Term{k.String(), float64(c) / 100, m.Words(f.n.Neck, k, &step)})
			}
		}
		inorder.Stable(e.Terms, func(a, b Term) int { return cmp.Compare(b.Cost, a.Cost) })
	}
	return out, nil
}

// difficulty reckons how hard a way is, so that tabs of one tune for any grade can be
// compared: by what a steady player's hands have to do, over all moments of the tune.
// Those that an outline leaves out cost nothing.
func (f *finished) difficulty(touched [][]Term, moments int) (float64, error) {
	steady := *f.n.Neck
	steady.Limits = grip.LimitsOf(grip.Steady)
	costs := make([]float64, max(moments, len(f.way)))
	var due grip.Due
	for i := range f.way {
		if err := f.w.moment(); err != nil {
			return 0, err
		}
		due = f.p.moments[i].Due
		due.Pace = grip.NewPace(due.Seconds, steady.Limits)
		m := f.move(i)
		m.Due = &due
		p, _ := why.Of(&steady, &m)
		costs[i] = float64(p.Hands()) / 100
		for _, t := range touched[i] {
			costs[i] += t.Cost
		}
		if why.Beyond(m.To, &due, &steady.Limits) {
			costs[i] += why.BeyondSteady
		}
	}
	return why.Difficulty(costs), nil
}

// touches tells what the full touch of a way's strokes costs, stroke by stroke: what a
// tab has more of them than the way is rolls, which belong to the stroke before.
func (f *finished) touches(t *tab.Tab) [][]Term {
	out := make([][]Term, len(f.way))
	rolls, next := 0, 0
	for i := range t.Strokes {
		if next < len(f.rolled) && f.rolled[next] == i {
			next, rolls = next+1, rolls+1
			out[i-rolls] = append(out[i-rolls], Term{"touch", touch.CostRollNote / 100.0, "a note of a roll"})
			continue
		}
		for _, w := range f.p.moments[i-rolls].Wants {
			if w.Kind == grip.Offered && w.Ref != f.p.moments[i-rolls].Wants[0].Ref && slices.ContainsFunc(t.Strokes[i].Plucks, func(p tab.Pluck) bool { return p.Ref == w.Ref }) {
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
