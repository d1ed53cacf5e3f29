package report

import (
	"strings"

	"lapwright/retune"
	"lapwright/rig"
)

// StringSet is one string set.
type StringSet struct {
	Gauges       string      `json:"gauges"` // low to high, thousandths of an inch, w for wound
	Strings      []SetString `json:"strings"`
	TotalsN      []float64   `json:"totalsN"` // of each tuning
	WorstPercent float64     `json:"worstDeparturePercent"`
}

// SetString is one string of a set.
type SetString struct {
	String       int        `json:"string"`
	Spec         StringSpec `json:"spec"`
	WantedN      float64    `json:"wantedN"`
	PullsN       []float64  `json:"pullsN"` // in each tuning
	BreakPercent float64    `json:"percentOfBreak"`
}

// Design is a string set for one or several tunings.
type Design struct {
	Tunings     []string   `json:"tunings"` // low to high
	ScaleMM     float64    `json:"scaleMM"`
	Reference   float64    `json:"reference"`
	Body        string     `json:"body"` // "" when only a limit is known
	LimitN      float64    `json:"limitN"`
	LimitSource string     `json:"limitSource"`
	Best        StringSet  `json:"best"`
	RunnerUp    *StringSet `json:"runnerUp"`
	// Finding judges the best set's whole pull against the limit, in the tuning
	// that pulls most; "" when no kind of body is known.
	Finding        rig.Finding `json:"finding"`
	Reasons        []string    `json:"reasons"`
	SafetyCautions string      `json:"caution"`
}

// DesignOf puts a design for a wish into figures.
func DesignOf(d *retune.Design, w retune.Requirements) *Design {
	out := &Design{ScaleMM: millimetres(w.Scale), Reference: hertz(w.Reference), LimitN: newtons(w.Limit), LimitSource: w.LimitSource, Body: string(w.Body), Reasons: []string{},
		Best: setOf(d, &d.Best), SafetyCautions: rig.TensionCaution}
	finding, why := d.Judge(w)
	if out.Finding = finding; why != "" {
		out.Reasons = append(out.Reasons, why)
	}
	for _, t := range w.Tunings {
		out.Tunings = append(out.Tunings, retune.TuningText(t))
	}
	if d.RunnerUp != nil {
		s := setOf(d, d.RunnerUp)
		out.RunnerUp = &s
	}
	return out
}

func setOf(d *retune.Design, s *retune.Set) StringSet {
	out := StringSet{WorstPercent: percentTenths(s.Worst)}
	gauges := make([]string, len(s.Strings))
	for i, str := range s.Strings {
		gauges[len(gauges)-1-i] = retune.GaugeText(str)
		e := SetString{String: i + 1, Spec: specOf(str), WantedN: newtons(d.Wanted[i]), BreakPercent: percent(s.Shares[i])}
		for t := range s.Pulls {
			e.PullsN = append(e.PullsN, newtons(s.Pulls[t][i]))
		}
		out.Strings = append(out.Strings, e)
	}
	out.Gauges = strings.Join(gauges, " ")
	for _, t := range s.Totals {
		out.TotalsN = append(out.TotalsN, newtons(t))
	}
	return out
}
