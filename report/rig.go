package report

import (
	"lapwright/rig"
	"lapwright/wire"
)

// RigEntry is one rig of a list.
type RigEntry struct {
	Name    string   `json:"name"`
	Title   string   `json:"title"`
	Tuning  string   `json:"tuning"`  // its name
	Pitches string   `json:"pitches"` // low to high
	Body    string   `json:"body"`
	Styles  []string `json:"styles"`
	ScaleMM float64  `json:"scaleMM"`
	Strings int      `json:"strings"`
	Benders int      `json:"benders"`
}

// Rig is one rig in full.
type Rig struct {
	RigEntry
	Frets          int         `json:"frets"`
	NutSpreadMM    float64     `json:"nutSpreadMM"`
	BridgeSpreadMM float64     `json:"bridgeSpreadMM"`
	ActionMM       float64     `json:"actionMM"` // 0 when unknown
	Reference      float64     `json:"reference"`
	LimitN         float64     `json:"limitN"`
	LimitSource    string      `json:"limitSource"`
	Steel          Steel       `json:"steel"`
	CapoKind       string      `json:"capoKind"`    // sliding or clamp; "" for no capo
	CapoHighest    int         `json:"capoHighest"` // 0 for no capo
	CapoAt         int         `json:"capoAt"`      // where it is; every other figure is without it
	StringList     []RigString `json:"stringList"`  // string 1 first
	BenderList     []RigBender `json:"benderList"`
}

// Steel is the steel that a rig is played with.
type Steel struct {
	LengthMM   float64 `json:"lengthMM"`
	DiameterMM float64 `json:"diameterMM"`
	MassG      float64 `json:"massG"` // 0 when unknown
	Bullet     bool    `json:"bullet"`
	MaxSlant   float64 `json:"maxSlantDegrees"`
}

// RigString is one string of a rig.
type RigString struct {
	String int    `json:"string"`
	Pitch  string `json:"pitch"`
	Wire
}

// RigBender is one bender of a rig, with the strings that it moves.
type RigBender struct {
	Name  string       `json:"name"`
	Mark  string       `json:"mark"`
	Kind  string       `json:"kind"`
	Moves []BenderMove `json:"moves"`
}

// BenderMove is what a bender does to one string.
type BenderMove struct {
	String    int `json:"string"`
	Semitones int `json:"semitones"`
}

// RigEntryOf returns a rig as a list has it.
func RigEntryOf(r *rig.Rig) RigEntry {
	return RigEntry{r.Name, r.Title, r.Tuning, r.TuningText(), string(r.Body), list(r.Styles), millimetres(r.Scale), len(r.Strings), len(r.Benders)}
}

// RigOf returns a rig in full.
func RigOf(r *rig.Rig) Rig {
	limit, source := r.Limit()
	at := r.Capo.At
	r = r.WithoutCapo()
	b := r.Steel
	out := Rig{
		RigEntry: RigEntryOf(r), Frets: r.Frets, NutSpreadMM: millimetres(r.NutSpread), BridgeSpreadMM: millimetres(r.BridgeSpread),
		ActionMM: millimetres(r.Action), Reference: hertz(r.Reference), LimitN: newtons(limit), LimitSource: source,
		Steel:    Steel{millimetres(b.Length), millimetres(b.Diameter), decimals(b.Mass, 0), b.Bullet, degrees(b.MaxSlant)},
		CapoKind: r.Capo.Kind(), CapoHighest: r.Capo.Highest, CapoAt: at, BenderList: []RigBender{},
	}
	for i, s := range r.Strings {
		out.StringList = append(out.StringList, RigString{i + 1, s.Open.String(), wireOf(s.Wire)})
	}
	for _, b := range r.Benders {
		e := RigBender{Name: b.Name, Mark: b.Mark, Kind: string(b.Kind)}
		for _, m := range b.Moves {
			e.Moves = append(e.Moves, BenderMove(m))
		}
		out.BenderList = append(out.BenderList, e)
	}
	return out
}

// Wire is what a string is made of.
type Wire struct {
	GaugeMM   float64 `json:"gaugeMM"`
	GaugeIn   float64 `json:"gaugeIn"`
	Wound     bool    `json:"wound"`
	Material  string  `json:"material"`
	CoreRatio float64 `json:"coreRatio,omitempty"`
	Core      string  `json:"core,omitempty"`
}

func wireOf(s wire.String) Wire {
	return Wire{
		GaugeMM: gauge(s.Diameter), GaugeIn: inches(s.Diameter), Wound: s.Wound,
		Material: string(s.Material), CoreRatio: share(s.CoreRatio), Core: string(s.Core),
	}
}
