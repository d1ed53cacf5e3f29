package report

import (
	"math"

	"lapwright/retune"
	"lapwright/rig"
)

// SharedShape is one shared shape.
type SharedShape struct {
	A        []int `json:"a"` // strings of the first rig
	B        []int `json:"b"` // strings of the second
	Up       int   `json:"semitonesUp"`
	Together bool  `json:"together"` // no string lies between
}

// ChordStrings is a chord under a straight steel.
type ChordStrings struct {
	Chord   string `json:"chord"` // at the open position
	Strings []int  `json:"strings"`
}

// ComparedRig is one rig of a comparison.
type ComparedRig struct {
	Rig     RigName        `json:"rig"`
	Lowest  string         `json:"lowest"`
	Highest string         `json:"highest"`
	Chord   string         `json:"openChord"` // "" when it has no name
	Tones   string         `json:"tones"`     // of that chord, string by string, low to high
	Chords  []ChordStrings `json:"chords"`
	Travel  float64        `json:"scaleTravelFretsPerStep"`
	Scales  string         `json:"scales"` // "tight" or "spread"
}

// Comparison is what two rigs share.
type Comparison struct {
	A       ComparedRig   `json:"a"`
	B       ComparedRig   `json:"b"`
	Runs    []SharedShape `json:"sharedShapes"`
	TightAt float64       `json:"tightUpToFretsPerStep"`
	Relearn []string      `json:"relearn"`
}

// ComparisonOf puts a comparison into figures.
func ComparisonOf(c *retune.Comparison) *Comparison {
	out := &Comparison{A: comparedOf(&c.A), B: comparedOf(&c.B), Runs: []SharedShape{}, TightAt: retune.TightTravel, Relearn: list(c.Relearn)}
	for _, r := range c.Runs {
		out.Runs = append(out.Runs, SharedShape(r))
	}
	return out
}

func comparedOf(s *retune.Side) ComparedRig {
	out := ComparedRig{Rig: nameOf(s.Rig), Lowest: s.Lowest.String(), Highest: s.Highest.String(), Chord: s.Chord, Tones: s.TonesText(), Chords: []ChordStrings{},
		Travel: decimals(s.Travel, 2), Scales: "spread"}
	if math.IsInf(s.Travel, 0) {
		out.Travel, out.Scales = 0, "no octave of a scale fits"
	} else if s.Tight() {
		out.Scales = "tight"
	}
	for _, c := range s.Chords {
		out.Chords = append(out.Chords, ChordStrings{c.Chord.String(), c.Strings})
	}
	return out
}

// Target is what one string is tuned to.
type Target struct {
	String     int     `json:"string"`
	Pitch      string  `json:"pitch"`
	Tone       string  `json:"tone"` // its place in the chord, or ""
	EqualHz    float64 `json:"equalHz"`
	JustHz     float64 `json:"justHz"`
	JustCents  float64 `json:"justCents"`
	BlendHz    float64 `json:"betweenHz"`
	BlendCents float64 `json:"betweenCents"`
}

// Beat is how two neighbouring strings beat.
type Beat struct {
	Strings  [2]int  `json:"strings"`
	Partials [2]int  `json:"partials"` // those that nearly meet; 0 and 0 when none do
	Equal    float64 `json:"equal"`    // beats a second
	Just     float64 `json:"just"`
	Blend    float64 `json:"between"`
}

// Targets is how to tune a rig.
type Targets struct {
	Rig       RigName  `json:"rig"`
	Chord     string   `json:"chord"`
	Reference float64  `json:"reference"`
	Share     float64  `json:"share"`
	Targets   []Target `json:"targets"` // string 1 first
	Beats     []Beat   `json:"beats"`
}

// Tuner is what a page is told that hears a rig's strings: the rig's file, and for each way of tuning, by its name, the
// cents of the strings from equal temperament, as Asked.Tuned takes them.
type Tuner struct {
	Rig  string            `json:"rig"`
	Ways map[string]string `json:"ways"`
}

// TargetsOf puts what a rig is tuned to into figures.
func TargetsOf(t *retune.Tuned, r *rig.Rig) *Targets {
	out := &Targets{Rig: nameOf(r), Chord: t.Chord.String(), Reference: hertz(t.Reference), Share: t.Share, Beats: []Beat{}}
	for _, x := range t.Targets {
		out.Targets = append(out.Targets, Target{
			x.String, x.Name.String(), x.Tone, hertz(x.Equal), hertz(x.Just), cents(float64(x.JustOff)),
			hertz(x.Blend), cents(float64(x.BlendOff)),
		})
	}
	for _, b := range t.Beats {
		out.Beats = append(out.Beats, Beat{[2]int{b.String, b.String + 1}, [2]int{b.Upper, b.Lower},
			decimals(b.Equal, beatDigits), decimals(b.Just, beatDigits), decimals(b.Blend, beatDigits)})
	}
	return out
}
