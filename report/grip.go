package report

import (
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// Grips is a search for grips and its result.
type Grips struct {
	Wanted string       `json:"wanted"`
	Rig    string       `json:"rig"`
	Tones  []WantedTone `json:"tones"`
	Grips  []Grip       `json:"grips"` // the best first
}

// WantedTone is one tone that is wanted.
type WantedTone struct {
	Name  string `json:"name"`  // "F#", or "F#4" when the octave is wanted too
	Label string `json:"label"` // "R", "3", "b7"
	Spare bool   `json:"spare"` // may be left out
}

// Grip is one grip.
type Grip struct {
	Bar       GripPlacement `json:"bar"`
	Benders   []string      `json:"benders"` // marks of those engaged
	Notes     []GripNote    `json:"notes"`   // string 1 first
	Missing   []string      `json:"missing"`
	Inversion string        `json:"inversion"` // label of the lowest tone
	CentsOff  float64       `json:"centsOff"`  // of the note farthest off
	More      []int         `json:"more"`      // other strings that would fit
	Cost      float64       `json:"cost"`      // points
}

// GripPlacement is how the steel lies, its lean also under an older name.
type GripPlacement struct {
	Placement
	AngleDegrees float64 `json:"angleDegrees"`
}

// GripNote is one string of a grip.
type GripNote struct {
	String   int     `json:"string"`
	Fret     float64 `json:"fret"`
	Sounds   string  `json:"sounds"` // "F#4"
	Label    string  `json:"label"`
	CentsOff float64 `json:"centsOff"`
}

// NamedGrip is what a grip sounds.
type NamedGrip struct {
	Rig       string        `json:"rig"`
	Bar       GripPlacement `json:"bar"`
	Benders   []string      `json:"benders"`
	Notes     []GripNote    `json:"notes"`
	Chords    []string      `json:"chords"` // names for all of it, the likeliest first
	Missing   []string      `json:"missing"`
	Within    []string      `json:"within"`    // triads that sound inside it
	Intervals []string      `json:"intervals"` // from each note to the next above
}

// GripsOf returns the form of a search and its result.
func GripsOf(r *rig.Rig, w grip.Want, found []grip.Way) Grips {
	out := Grips{Wanted: w.Text, Rig: r.Name, Grips: []Grip{}}
	for _, t := range w.Tones {
		name := t.Class.String()
		if t.Key >= 0 {
			name = t.Label
		}
		out.Tones = append(out.Tones, WantedTone{name, t.Label, t.Spare})
	}
	for _, g := range found {
		out.Grips = append(out.Grips, Grip{
			Bar: gripPlacementOf(g.Placement, g.Angle), Benders: Marks(r, g.Benders), Notes: gripNotes(g.Notes),
			Missing: append([]string{}, g.Missing...), Inversion: g.Inversion, CentsOff: cents(float64(g.CentsOff)),
			More: append([]int{}, g.More...), Cost: points(float64(g.Price.Sum()) / 100),
		})
	}
	return out
}

// NamedGripOf returns the form of what a grip sounds.
func NamedGripOf(r *rig.Rig, n grip.Named) NamedGrip {
	out := NamedGrip{Rig: r.Name, Bar: gripPlacementOf(n.Placement, n.Angle), Benders: Marks(r, n.Benders), Notes: gripNotes(n.Notes),
		Chords: chordNames(n.Chords), Within: chordNames(n.Within), Missing: append([]string{}, n.Missing...), Intervals: []string{}}
	for _, iv := range n.Intervals {
		out.Intervals = append(out.Intervals, iv.String())
	}
	return out
}

func gripPlacementOf(p steel.Placement, angle float64) GripPlacement {
	out := PlacementOf(p, angle)
	return GripPlacement{out, out.Angle}
}

func gripNotes(notes []grip.Sounded) []GripNote {
	out := []GripNote{}
	for _, n := range notes {
		out = append(out, GripNote{n.String, fret(n.Fret), n.Name.String(), n.Label, cents(float64(n.CentsOff))})
	}
	return out
}

func chordNames(cs []pitch.Chord) []string {
	out := []string{}
	for _, c := range cs {
		out = append(out, c.String())
	}
	return out
}
