package retune

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// The reports are what commands and pages show: figures rounded to what they
// are worth, with units in their names.

// round returns v to so many significant digits.
func round(v float64, digits int) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return v
	}
	return out
}

// decimals returns v to so many decimals.
func decimals(v float64, n int) float64 {
	p := math.Pow10(n)
	out := math.Round(v*p) / p
	if out == 0 {
		return 0 // no minus zero
	}
	return out
}

func newtons(n wire.Newtons) float64       { return math.Round(float64(n)) }
func pounds(n wire.Newtons) float64        { return decimals(float64(n/wire.PoundForce), 1) }
func percent(share float64) float64        { return math.Round(100 * share) }
func millimetres(l wire.MM, n int) float64 { return decimals(float64(l), n) }

// RigName says which rig a report is of.
type RigName struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	Tuning string `json:"tuning"` // low to high
}

func nameOf(r *rig.Rig) RigName { return RigName{r.Name, r.Title, r.TuningWords()} }

// StringSpec is a string as it is bought.
type StringSpec struct {
	GaugeMM    float64 `json:"gaugeMM"`
	GaugeIn    float64 `json:"gaugeIn"`
	Wound      bool    `json:"wound"`
	Material   string  `json:"material"`
	CoreRatio  float64 `json:"coreRatio,omitempty"`
	Core       string  `json:"core,omitempty"`
	GramsPerM  float64 `json:"massGramsPerMetre"`
	MassSource string  `json:"massSource"` // "model" or "measured"
}

func specOf(s wire.String) StringSpec {
	out := StringSpec{
		GaugeMM: millimetres(s.Diameter, 3), GaugeIn: decimals(float64(s.Diameter/wire.Inch), 4), Wound: s.Wound,
		Material: string(s.Material), CoreRatio: decimals(s.CoreRatio, 3), Core: string(s.Core),
		GramsPerM: round(1000*float64(s.MassPerLength()), 3), MassSource: "model",
	}
	if s.Measured > 0 {
		out.MassSource = "measured"
	}
	return out
}

// StringTension is one string of a TensionReport.
type StringTension struct {
	String        int         `json:"string"`
	Pitch         string      `json:"pitch"`
	Spec          StringSpec  `json:"spec"`
	PullN         float64     `json:"pullN"`
	PullLb        float64     `json:"pullLb"`
	PullPercent   float64     `json:"pullUncertaintyPercent"`
	BreakPercent  float64     `json:"percentOfBreak"`
	BreakSpread   float64     `json:"percentOfBreakUncertainty"` // in points
	Bent          *BentReport `json:"bent,omitempty"`
	Feel          string      `json:"feel"`
	Finding       rig.Finding `json:"finding"`
	Reasons       []string    `json:"reasons"`
	StretchMM     float64     `json:"stretchMM"`
	SemitoneMM    float64     `json:"semitoneTravelMM"`
	Sharp5Cents   float64     `json:"partial5SharpCents"`
	Sharp10Cents  float64     `json:"partial10SharpCents"`
	Inharmonicity float64     `json:"inharmonicity"`
	PressedCents  float64     `json:"pressedCents"` // by PressedMM, at the octave
}

// BentReport is a string at its highest bend.
type BentReport struct {
	Pitch        string  `json:"pitch"`
	PullN        float64 `json:"pullN"`
	PullLb       float64 `json:"pullLb"`
	BreakPercent float64 `json:"percentOfBreak"`
}

// BendReport is what one bender does to one string.
type BendReport struct {
	Bender       string  `json:"bender"`
	Mark         string  `json:"mark"`
	String       int     `json:"string"`
	From         string  `json:"from"`
	To           string  `json:"to"`
	PullN        float64 `json:"pullN"`
	BreakPercent float64 `json:"percentOfBreak"`
	TravelMM     float64 `json:"travelMM"` // negative when it lets the string out
}

// TensionReport is what the strings of a rig ask of themselves and of it.
type TensionReport struct {
	Rig            RigName         `json:"rig"`
	Body           string          `json:"body"`
	ScaleMM        float64         `json:"scaleMM"`
	Reference      float64         `json:"reference"`
	PressedMM      float64         `json:"pressedMM"`
	Strings        []StringTension `json:"strings"` // string 1 first
	Bends          []BendReport    `json:"bends"`   // by bender
	TotalN         float64         `json:"totalN"`
	TotalLb        float64         `json:"totalLb"`
	UncertaintyN   float64         `json:"totalUncertaintyN"`
	MostN          float64         `json:"mostBentN"` // with the benders that pull most
	LimitN         float64         `json:"limitN"`
	LimitLb        float64         `json:"limitLb"`
	LimitSource    string          `json:"limitSource"`
	Finding        rig.Finding     `json:"finding"`
	Reasons        []string        `json:"reasons"`
	SafetyCautions string          `json:"caution"`
}

// NewTensionReport judges a rig. depth is how far down the bar presses a string
// for the figure of pressed strings.
func NewTensionReport(r *rig.Rig, depth wire.MM) *TensionReport {
	r = r.WithoutCapo() // a string is judged over its whole length
	l := r.Load()
	out := &TensionReport{
		Rig: nameOf(r), Body: string(r.Body), ScaleMM: millimetres(r.Scale, 1), Reference: decimals(float64(r.Reference), 2),
		PressedMM: millimetres(depth, 2), Bends: []BendReport{},
		TotalN: newtons(l.Total), TotalLb: pounds(l.Total), UncertaintyN: newtons(l.Total * wire.Newtons(l.Spread)),
		MostN: newtons(l.Most), LimitN: newtons(l.Limit), LimitLb: pounds(l.Limit), LimitSource: l.LimitSource,
		Finding: l.Finding, Reasons: list(l.Reasons), SafetyCautions: rig.TensionCaution,
	}
	for i, s := range l.Strings {
		str := r.Strings[i]
		b := r.Behaviour(i+1, depth)
		e := StringTension{
			String: i + 1, Pitch: str.Open.String(), Spec: specOf(str.Wire), PullN: newtons(s.Pull), PullLb: pounds(s.Pull),
			PullPercent: decimals(100*s.Spread, 1), BreakPercent: percent(s.Share), BreakSpread: decimals(100*s.Share*s.ShareSpread, 1),
			Feel: rig.FeelText(s.Feel), Finding: s.Finding, Reasons: list(s.Reasons),
			StretchMM: round(float64(b.Stretch), 2), SemitoneMM: round(float64(b.Semitone), 2),
			Sharp5Cents: decimals(float64(b.Sharp5), 1), Sharp10Cents: decimals(float64(b.Sharp10), 1),
			Inharmonicity: round(b.B, 2), PressedCents: decimals(float64(b.Pressed), 1),
		}
		if open := r.OpenKey(i+1, 0); s.BentKey != open {
			e.Bent = &BentReport{
				Pitch: spell(r, s.BentKey), PullN: newtons(s.BentPull), PullLb: pounds(s.BentPull),
				BreakPercent: percent(s.BentShare),
			}
		}
		out.Strings = append(out.Strings, e)
	}
	for _, b := range r.Bends() {
		d := r.Benders[b.BenderIndex]
		out.Bends = append(out.Bends, BendReport{
			Bender: d.Name, Mark: d.Mark, String: b.String, From: r.Strings[b.String-1].Open.String(), To: spell(r, b.Key),
			PullN: newtons(b.Pull), BreakPercent: percent(b.Share), TravelMM: round(float64(b.Travel), 2),
		})
	}
	return out
}

// spell names a key number as the rig's own tuning would: with sharps when it
// has sharps, with flats when it has flats.
func spell(r *rig.Rig, key int) string {
	fifths := 0
	for _, s := range r.Strings {
		fifths += int(s.Open.Alter)
	}
	return pitch.SpellKey(key, max(-2, min(fifths, 2))).String()
}

// list makes an empty list of none, so that JSON has [] and not null.
func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

// MoveReport is one string of a PlanReport.
type MoveReport struct {
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

// StepReport is one step on the way.
type StepReport struct {
	String int     `json:"string"`
	From   string  `json:"from"`
	To     string  `json:"to"`
	LoadN  float64 `json:"loadAfterN"`
}

// PlanReport is the way from one tuning to another.
type PlanReport struct {
	Rig          RigName      `json:"rig"`
	To           string       `json:"to"` // low to high
	ToName       string       `json:"toName,omitempty"`
	Reference    float64      `json:"reference"`
	Kept         int          `json:"stringsLeftAsTheyAre"`
	Moves        []MoveReport `json:"moves"` // string 1 first
	Order        []StepReport `json:"order"`
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
	Changed        *ChangedReport `json:"withStringsChanged,omitempty"`
	SafetyCautions string         `json:"caution"`
}

// ChangedReport is what a plan comes to with its strings changed.
type ChangedReport struct {
	TotalN  float64     `json:"totalN"`
	Finding rig.Finding `json:"finding"`
	Reasons []string    `json:"reasons"`
}

// Report puts a plan into figures to show.
func (p *Plan) Report() *PlanReport {
	_, source := p.To.Limit()
	out := &PlanReport{
		Rig: nameOf(p.From), To: p.To.TuningText(), ToName: p.To.Tuning, Reference: decimals(float64(p.To.Reference), 2), Kept: p.Kept,
		Order:  []StepReport{},
		StartN: newtons(p.Start), EndN: newtons(p.End), PeakN: newtons(p.Peak), LimitN: newtons(p.Limit), LimitSource: source,
		Passes: p.Passes, PassesSource: "an estimate from how much this kind of body gives (" + rig.Practice + ")",
		Finding: p.Finding, Reasons: list(p.Reasons), SafetyCautions: rig.TensionCaution,
	}
	for _, m := range p.Moves {
		e := MoveReport{
			String: m.String, From: m.From.String(), To: m.To.String(), Semitones: m.Semitones, Cents: decimals(float64(m.Cents), 0),
			BeforeN: newtons(m.Before.Pull), AfterN: newtons(m.After.Pull), BreakPercent: percent(m.After.BentShare),
			Finding: m.After.Finding, Why: m.Why,
		}
		if m.Instead != nil {
			spec := specOf(*m.Instead)
			e.Change, e.Gauge = &spec, GaugeText(*m.Instead)
		}
		out.Moves = append(out.Moves, e)
	}
	if c := p.Changed; c != nil {
		out.Changed = &ChangedReport{newtons(c.Total), c.Finding, list(c.Reasons)}
	}
	for _, s := range p.Steps {
		out.Order = append(out.Order, StepReport{s.String, s.From.String(), s.To.String(), newtons(s.Load)})
	}
	return out
}

// TuningReport is one tuning of the catalogue.
type TuningReport struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Family  string   `json:"family"`
	Strings int      `json:"strings"`
	Pitches string   `json:"pitches"` // low to high
	Gauges  string   `json:"usualGauges"`
	Styles  []string `json:"styles"`
	Source  string   `json:"source"`
}

// Report puts a tuning into words to show.
func (t Tuning) Report() TuningReport {
	gauges := make([]string, len(t.Gauges))
	for i, g := range t.Gauges {
		gauges[len(gauges)-1-i] = GaugeText(g)
	}
	return TuningReport{t.Name, t.Title, t.Family, len(t.Pitches), t.Text(), strings.Join(gauges, " "), t.Styles, t.Source}
}

// ReachedReport is one tuning within reach, or not.
type ReachedReport struct {
	Tuning  TuningReport `json:"tuning"`
	Up      int          `json:"semitonesUp"`
	Down    int          `json:"semitonesDown"`
	TotalN  float64      `json:"totalN"`
	Finding rig.Finding  `json:"finding"`
	Reasons []string     `json:"reasons"`
}

// ReachReport says which known tunings a rig's strings reach.
type ReachReport struct {
	Rig            RigName         `json:"rig"`
	LimitN         float64         `json:"limitN"`
	LimitSource    string          `json:"limitSource"`
	FineMeans      string          `json:"fineMeans"` // what a tuning must keep to
	Tunings        []ReachedReport `json:"tunings"`
	SafetyCautions string          `json:"caution"`
}

// NewReachReport tries every known tuning on a rig's strings.
func NewReachReport(r *rig.Rig) (*ReachReport, error) {
	reached, err := Reach(r)
	if err != nil {
		return nil, err
	}
	limit, source := r.Limit()
	out := &ReachReport{Rig: nameOf(r), LimitN: newtons(limit), LimitSource: source, FineMeans: r.FineMeans(), Tunings: []ReachedReport{}, SafetyCautions: rig.TensionCaution}
	for _, e := range reached {
		out.Tunings = append(out.Tunings, ReachedReport{e.Tuning.Report(), e.Up, e.Down, newtons(e.Load.Total), e.Finding, list(e.Reasons)})
	}
	return out, nil
}

// SetReport is one string set.
type SetReport struct {
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

// DesignReport is a string set for one or several tunings.
type DesignReport struct {
	Tunings     []string   `json:"tunings"` // low to high
	ScaleMM     float64    `json:"scaleMM"`
	Reference   float64    `json:"reference"`
	Body        string     `json:"body"` // "" when only a limit is known
	LimitN      float64    `json:"limitN"`
	LimitSource string     `json:"limitSource"`
	Best        SetReport  `json:"best"`
	RunnerUp    *SetReport `json:"runnerUp"`
	// Finding judges the best set's whole pull against the limit, in the tuning
	// that pulls most; "" when no kind of body is known.
	Finding        rig.Finding `json:"finding"`
	Reasons        []string    `json:"reasons"`
	SafetyCautions string      `json:"caution"`
}

// Report puts a design into figures to show.
func (d *Design) Report(w Wish) *DesignReport {
	out := &DesignReport{ScaleMM: millimetres(w.Scale, 1), Reference: decimals(float64(w.Reference), 2), LimitN: newtons(w.Limit), LimitSource: w.LimitSource, Body: string(w.Body), Reasons: []string{},
		Best: d.setReport(d.Best), SafetyCautions: rig.TensionCaution}
	if w.Body != "" {
		whose := "the limit given for it"
		if w.Limit == rig.UsualLimit(w.Body) {
			whose = "the limit for a " + string(w.Body) + " (" + rig.Practice + ")"
		}
		var why string
		if out.Finding, why = w.Body.Judge(slices.Max(d.Best.Loads), w.Limit, whose); why != "" {
			out.Reasons = append(out.Reasons, why)
		}
	}
	for _, t := range w.Tunings {
		out.Tunings = append(out.Tunings, TuningText(t))
	}
	if d.RunnerUp != nil {
		s := d.setReport(*d.RunnerUp)
		out.RunnerUp = &s
	}
	return out
}

func (d *Design) setReport(s Set) SetReport {
	out := SetReport{WorstPercent: decimals(100*s.Worst, 1)}
	gauges := make([]string, len(s.Strings))
	for i, str := range s.Strings {
		gauges[len(gauges)-1-i] = GaugeText(str)
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

// RunReport is one shared shape.
type RunReport struct {
	A        []int `json:"a"` // strings of the first rig
	B        []int `json:"b"` // strings of the second
	Up       int   `json:"semitonesUp"`
	Together bool  `json:"together"` // no string lies between
}

// ChordReport is a chord under a straight bar.
type ChordReport struct {
	Chord   string `json:"chord"` // at the open position
	Strings []int  `json:"strings"`
}

// SideReport is one rig of a comparison.
type SideReport struct {
	Rig     RigName       `json:"rig"`
	Lowest  string        `json:"lowest"`
	Highest string        `json:"highest"`
	Chord   string        `json:"openChord"` // "" when it has no name
	Tones   string        `json:"tones"`     // of that chord, string by string, low to high
	Chords  []ChordReport `json:"chords"`
	Travel  float64       `json:"scaleTravelFretsPerStep"`
	Scales  string        `json:"scales"` // "tight" or "spread"
}

// CompareReport is what two rigs share.
type CompareReport struct {
	A       SideReport  `json:"a"`
	B       SideReport  `json:"b"`
	Runs    []RunReport `json:"sharedShapes"`
	TightAt float64     `json:"tightUpToFretsPerStep"`
	Relearn []string    `json:"relearn"`
}

// Report puts a comparison into figures to show.
func (c *Comparison) Report() *CompareReport {
	out := &CompareReport{A: c.A.report(), B: c.B.report(), Runs: []RunReport{}, TightAt: tightTravel, Relearn: list(c.Relearn)}
	for _, r := range c.Runs {
		out.Runs = append(out.Runs, RunReport(r))
	}
	return out
}

func (s Side) report() SideReport {
	out := SideReport{Rig: nameOf(s.Rig), Lowest: s.Lowest.String(), Highest: s.Highest.String(), Chord: s.Chord, Tones: s.tonesText(), Chords: []ChordReport{},
		Travel: decimals(s.Travel, 2), Scales: "spread"}
	if math.IsInf(s.Travel, 0) {
		out.Travel, out.Scales = 0, "no octave of a scale fits"
	} else if s.Tight() {
		out.Scales = "tight"
	}
	for _, c := range s.Chords {
		out.Chords = append(out.Chords, ChordReport{c.Chord.String(), c.Strings})
	}
	return out
}

// TargetReport is what one string is tuned to.
type TargetReport struct {
	String     int     `json:"string"`
	Pitch      string  `json:"pitch"`
	Tone       string  `json:"tone"` // its place in the chord, or ""
	EqualHz    float64 `json:"equalHz"`
	JustHz     float64 `json:"justHz"`
	JustCents  float64 `json:"justCents"`
	BlendHz    float64 `json:"betweenHz"`
	BlendCents float64 `json:"betweenCents"`
}

// BeatReport is how two neighbouring strings beat.
type BeatReport struct {
	Strings  [2]int  `json:"strings"`
	Partials [2]int  `json:"partials"` // those that nearly meet; 0 and 0 when none do
	Equal    float64 `json:"equal"`    // beats a second
	Just     float64 `json:"just"`
	Blend    float64 `json:"between"`
}

// TunedReport is how to tune a rig.
type TunedReport struct {
	Rig       RigName        `json:"rig"`
	Chord     string         `json:"chord"`
	Reference float64        `json:"reference"`
	Share     float64        `json:"share"`
	Targets   []TargetReport `json:"targets"` // string 1 first
	Beats     []BeatReport   `json:"beats"`
}

// Report puts targets into figures to show: to a hundredth of a hertz, which at
// C2 is a quarter of a cent.
func (t *Tuned) Report(r *rig.Rig) *TunedReport {
	out := &TunedReport{Rig: nameOf(r), Chord: t.Chord.String(), Reference: decimals(float64(t.Reference), 2), Share: t.Share, Beats: []BeatReport{}}
	for _, x := range t.Targets {
		out.Targets = append(out.Targets, TargetReport{
			x.String, x.Name.String(), x.Tone, decimals(float64(x.Equal), 2), decimals(float64(x.Just), 2), decimals(float64(x.JustOff), 1),
			decimals(float64(x.Blend), 2), decimals(float64(x.BlendOff), 1),
		})
	}
	for _, b := range t.Beats {
		out.Beats = append(out.Beats, BeatReport{[2]int{b.String, b.String + 1}, [2]int{b.Upper, b.Lower},
			decimals(b.Equal, 1), decimals(b.Just, 1), decimals(b.Blend, 1)})
	}
	return out
}

// Signed writes a whole number with its sign: "+2", "-1", "0".
func Signed(n int) string {
	if n == 0 {
		return "0"
	}
	return fmt.Sprintf("%+d", n)
}
