package report

import (
	"strings"

	"lapwright/retune"
	"lapwright/rig"
)

// StringMove is one string of a Plan.
type StringMove struct {
	String       int         `json:"string"`
	From         string      `json:"from"`
	To           string      `json:"to"`
	Semitones    int         `json:"semitones"`
	Cents        float64     `json:"cents"`
	BeforeN      float64     `json:"beforeN"`
	AfterN       float64     `json:"afterN"`
	BreakPercent float64     `json:"percentOfBreakAfter"` // at its highest bend
	Finding      rig.Finding `json:"finding"`
	Change       *StringSpec `json:"changeFor,omitempty"`
	Gauge        string      `json:"changeForGauge,omitempty"`
	Why          string      `json:"changeWhy,omitempty"`
}

// PlanStep is one step on the way.
type PlanStep struct {
	String int     `json:"string"`
	From   string  `json:"from"`
	To     string  `json:"to"`
	LoadN  float64 `json:"loadAfterN"`
}

// Plan is the way from one tuning to another.
type Plan struct {
	Rig          RigName      `json:"rig"`
	To           string       `json:"to"` // low to high
	ToName       string       `json:"toName,omitempty"`
	Reference    float64      `json:"reference"`
	Kept         int          `json:"stringsLeftAsTheyAre"`
	Moves        []StringMove `json:"moves"` // string 1 first
	Order        []PlanStep   `json:"order"`
	StartN       float64      `json:"startN"`
	EndN         float64      `json:"endN"`
	PeakN        float64      `json:"peakN"`
	LimitN       float64      `json:"limitN"`
	LimitSource  string       `json:"limitSource"`
	Passes       int          `json:"passes"`
	PassesSource string       `json:"passesSource"`
	Finding      rig.Finding  `json:"finding"`
	Reasons      []string     `json:"reasons"`
	// Changed is the load once the strings that moves name are changed; left out
	// when they name none.
	Changed        *ChangedStrings `json:"withStringsChanged,omitempty"`
	SafetyCautions string          `json:"caution"`
}

// ChangedStrings is what a plan comes to with its strings changed.
type ChangedStrings struct {
	TotalN  float64     `json:"totalN"`
	Finding rig.Finding `json:"finding"`
	Reasons []string    `json:"reasons"`
}

// PlanOf puts a plan into figures.
func PlanOf(p *retune.Plan) *Plan {
	_, source := p.To.Limit()
	out := &Plan{
		Rig: nameOf(p.From), To: p.To.TuningText(), ToName: p.To.Tuning, Reference: hertz(p.To.Reference), Kept: p.Kept,
		Order:  []PlanStep{},
		StartN: newtons(p.Start), EndN: newtons(p.End), PeakN: newtons(p.Peak), LimitN: newtons(p.Limit), LimitSource: source,
		Passes: p.Passes, PassesSource: "an estimate from how much this kind of body gives (" + rig.Practice + ")",
		Finding: p.Finding, Reasons: list(p.Reasons), SafetyCautions: rig.TensionCaution,
	}
	for _, m := range p.Moves {
		e := StringMove{
			String: m.String, From: m.From.String(), To: m.To.String(), Semitones: m.Semitones, Cents: decimals(float64(m.Cents), 0),
			BeforeN: newtons(m.Before.Pull), AfterN: newtons(m.After.Pull), BreakPercent: percent(m.After.BentShare),
			Finding: m.After.Finding, Why: m.Why,
		}
		if m.Instead != nil {
			spec := specOf(*m.Instead)
			e.Change, e.Gauge = &spec, retune.GaugeText(*m.Instead)
		}
		out.Moves = append(out.Moves, e)
	}
	if c := p.Changed; c != nil {
		out.Changed = &ChangedStrings{newtons(c.Total), c.Finding, list(c.Reasons)}
	}
	for _, s := range p.Steps {
		out.Order = append(out.Order, PlanStep{s.String, s.From.String(), s.To.String(), newtons(s.Load)})
	}
	return out
}

// Tuning is one tuning of the catalogue.
type Tuning struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Family  string   `json:"family"`
	Strings int      `json:"strings"`
	Pitches string   `json:"pitches"` // low to high
	Gauges  string   `json:"usualGauges"`
	Styles  []string `json:"styles"`
	Source  string   `json:"source"`
}

// TuningOf puts a tuning into words.
func TuningOf(t retune.Tuning) Tuning {
	gauges := make([]string, len(t.Gauges))
	for i, g := range t.Gauges {
		gauges[len(gauges)-1-i] = retune.GaugeText(g)
	}
	return Tuning{t.Name, t.Title, t.Family, len(t.Pitches), t.Text(), strings.Join(gauges, " "), t.Styles, t.Source}
}

// ReachedTuning is one tuning within reach, or not.
type ReachedTuning struct {
	Tuning  Tuning      `json:"tuning"`
	Up      int         `json:"semitonesUp"`
	Down    int         `json:"semitonesDown"`
	TotalN  float64     `json:"totalN"`
	Finding rig.Finding `json:"finding"`
	Reasons []string    `json:"reasons"`
}

// Reach says which known tunings a rig's strings reach.
type Reach struct {
	Rig            RigName         `json:"rig"`
	LimitN         float64         `json:"limitN"`
	LimitSource    string          `json:"limitSource"`
	FineMeans      string          `json:"fineMeans"` // what a tuning must keep to
	Tunings        []ReachedTuning `json:"tunings"`
	SafetyCautions string          `json:"caution"`
}

// ReachOf tells which of the tunings that were tried a rig's strings reach.
func ReachOf(r *rig.Rig, reached []retune.Reached) *Reach {
	limit, source := r.Limit()
	out := &Reach{Rig: nameOf(r), LimitN: newtons(limit), LimitSource: source, FineMeans: r.FineMeans(), Tunings: []ReachedTuning{}, SafetyCautions: rig.TensionCaution}
	for _, e := range reached {
		out.Tunings = append(out.Tunings, ReachedTuning{TuningOf(e.Tuning), e.Up, e.Down, newtons(e.Load.Total), e.Finding, list(e.Reasons)})
	}
	return out
}
