package report

import (
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// RigName says which rig a report is of.
type RigName struct {
	Name   string `json:"name"`
	Title  string `json:"title"`
	Tuning string `json:"tuning"` // low to high
}

func nameOf(r *rig.Rig) RigName { return RigName{r.Name, r.Title, r.TuningWords()} }

// StringSpec is a string as it is bought, with what it weighs.
type StringSpec struct {
	Wire
	GramsPerM  float64 `json:"massGramsPerMetre"`
	MassSource string  `json:"massSource"` // "model" or "measured"
}

func specOf(s wire.String) StringSpec {
	out := StringSpec{Wire: wireOf(s), GramsPerM: significant(1000*float64(s.MassPerLength()), 3), MassSource: "model"}
	if s.Measured > 0 {
		out.MassSource = "measured"
	}
	return out
}

// StringTension is one string of a Tension.
type StringTension struct {
	String        int         `json:"string"`
	Pitch         string      `json:"pitch"`
	Spec          StringSpec  `json:"spec"`
	PullN         float64     `json:"pullN"`
	PullLb        float64     `json:"pullLb"`
	PullPercent   float64     `json:"pullUncertaintyPercent"`
	BreakPercent  float64     `json:"percentOfBreak"`
	BreakSpread   float64     `json:"percentOfBreakUncertainty"` // in points
	Bent          *BentString `json:"bent,omitempty"`
	Stiffness     string      `json:"stiffness"`
	Finding       rig.Finding `json:"finding"`
	Reasons       []string    `json:"reasons"`
	StretchMM     float64     `json:"stretchMM"`
	SemitoneMM    float64     `json:"semitoneTravelMM"`
	Sharp5Cents   float64     `json:"partial5SharpCents"`
	Sharp10Cents  float64     `json:"partial10SharpCents"`
	Inharmonicity float64     `json:"inharmonicity"`
	PressedCents  float64     `json:"pressedCents"` // by PressedMM, at the octave
}

// BentString is a string at its highest bend.
type BentString struct {
	Pitch        string  `json:"pitch"`
	PullN        float64 `json:"pullN"`
	PullLb       float64 `json:"pullLb"`
	BreakPercent float64 `json:"percentOfBreak"`
}

// Bend is what one bender does to one string.
type Bend struct {
	Bender       string  `json:"bender"`
	Mark         string  `json:"mark"`
	String       int     `json:"string"`
	From         string  `json:"from"`
	To           string  `json:"to"`
	PullN        float64 `json:"pullN"`
	BreakPercent float64 `json:"percentOfBreak"`
	TravelMM     float64 `json:"travelMM"` // negative when it lets the string out
}

// Tension is what the strings of a rig ask of themselves and of it.
type Tension struct {
	Rig            RigName         `json:"rig"`
	Body           string          `json:"body"`
	ScaleMM        float64         `json:"scaleMM"`
	Reference      float64         `json:"reference"`
	PressedMM      float64         `json:"pressedMM"`
	Strings        []StringTension `json:"strings"` // string 1 first
	Bends          []Bend          `json:"bends"`   // by bender
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

// TensionOf judges a rig. depth is how far down the steel presses a string
// for the figure of pressed strings.
func TensionOf(r *rig.Rig, depth wire.MM) *Tension {
	r = r.WithoutCapo() // a string is judged over its whole length
	l := r.Load()
	out := &Tension{
		Rig: nameOf(r), Body: string(r.Body), ScaleMM: millimetres(r.Scale), Reference: hertz(r.Reference),
		PressedMM: millimetres(depth), Bends: []Bend{},
		TotalN: newtons(l.Total), TotalLb: pounds(l.Total), UncertaintyN: newtons(l.Total * wire.Newtons(l.Spread)),
		MostN: newtons(l.Most), LimitN: newtons(l.Limit), LimitLb: pounds(l.Limit), LimitSource: l.LimitSource,
		Finding: l.Finding, Reasons: list(l.Reasons), SafetyCautions: rig.TensionCaution,
	}
	for i, s := range l.Strings {
		str := r.Strings[i]
		b := r.Behaviour(i+1, depth)
		e := StringTension{
			String: i + 1, Pitch: str.Open.String(), Spec: specOf(str.Wire), PullN: newtons(s.Pull), PullLb: pounds(s.Pull),
			PullPercent: percentTenths(s.Spread), BreakPercent: percent(s.Share), BreakSpread: percentTenths(s.Share * s.ShareSpread),
			Stiffness: rig.StiffnessText(s.Stiffness), Finding: s.Finding, Reasons: list(s.Reasons),
			StretchMM: travel(b.Stretch), SemitoneMM: travel(b.Semitone),
			Sharp5Cents: cents(float64(b.Sharp5)), Sharp10Cents: cents(float64(b.Sharp10)),
			Inharmonicity: significant(b.B, 2), PressedCents: cents(float64(b.Pressed)),
		}
		if open := r.OpenKey(i+1, 0); s.BentKey != open {
			e.Bent = &BentString{
				Pitch: spell(r, s.BentKey), PullN: newtons(s.BentPull), PullLb: pounds(s.BentPull),
				BreakPercent: percent(s.BentShare),
			}
		}
		out.Strings = append(out.Strings, e)
	}
	for _, b := range r.Bends() {
		d := r.Benders[b.BenderIndex]
		out.Bends = append(out.Bends, Bend{
			Bender: d.Name, Mark: d.Mark, String: b.String, From: r.Strings[b.String-1].Open.String(), To: spell(r, b.Key),
			PullN: newtons(b.Pull), BreakPercent: percent(b.Share), TravelMM: travel(b.Travel),
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
