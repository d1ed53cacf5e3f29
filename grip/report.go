package grip

import (
	"math"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
)

// Report is a search and its result, ready for JSON.
type Report struct {
	Wanted string       `json:"wanted"`
	Rig    string       `json:"rig"`
	Tones  []ToneReport `json:"tones"`
	Grips  []GripReport `json:"grips"` // the best first
}

// ToneReport is one tone that is wanted.
type ToneReport struct {
	Name  string `json:"name"`  // "F#", or "F#4" when the octave is wanted too
	Label string `json:"label"` // "R", "3", "b7"
	Spare bool   `json:"spare"` // may be left out
}

// GripReport is one grip.
type GripReport struct {
	Bar       BarReport    `json:"bar"`
	Benders   []string     `json:"benders"` // marks of those engaged
	Notes     []NoteReport `json:"notes"`   // string 1 first
	Missing   []string     `json:"missing"`
	Inversion string       `json:"inversion"` // label of the lowest tone
	CentsOff  float64      `json:"centsOff"`  // of the note farthest off
	More      []int        `json:"more"`      // other strings that would fit
	Cost      float64      `json:"cost"`      // points
}

// BarReport is how the steel lies.
type BarReport struct {
	Kind         string  `json:"kind"`
	First        int     `json:"first"` // strings under its ends, 0 when lifted
	Last         int     `json:"last"`
	FirstFret    float64 `json:"firstFret"`
	LastFret     float64 `json:"lastFret"`
	AngleDegrees float64 `json:"angleDegrees"` // forward slants positive
}

// NoteReport is one string of a grip.
type NoteReport struct {
	String   int     `json:"string"`
	Fret     float64 `json:"fret"`
	Sounds   string  `json:"sounds"` // "F#4"
	Label    string  `json:"label"`
	CentsOff float64 `json:"centsOff"`
}

// NamedReport is what a grip sounds.
type NamedReport struct {
	Rig       string       `json:"rig"`
	Bar       BarReport    `json:"bar"`
	Benders   []string     `json:"benders"`
	Notes     []NoteReport `json:"notes"`
	Chords    []string     `json:"chords"` // names for all of it, the likeliest first
	Missing   []string     `json:"missing"`
	Within    []string     `json:"within"`    // triads that sound inside it
	Intervals []string     `json:"intervals"` // from each note to the next above
}

// ReportOf puts a search and its result into the form for JSON.
func ReportOf(r *rig.Rig, w Want, found []Way) Report {
	out := Report{Wanted: w.Text, Rig: r.Name, Grips: []GripReport{}}
	for _, t := range w.Tones {
		name := t.Class.String()
		if t.Key >= 0 {
			name = t.Label
		}
		out.Tones = append(out.Tones, ToneReport{name, t.Label, t.Spare})
	}
	for _, g := range found {
		out.Grips = append(out.Grips, GripReport{
			Bar: barReport(g.Placement, g.Angle), Benders: marks(r, g.Benders), Notes: noteReports(g.Notes),
			Missing: append([]string{}, g.Missing...), Inversion: g.Inversion, CentsOff: round(float64(g.CentsOff), 2),
			More: append([]int{}, g.More...), Cost: round(float64(g.Price.Sum())/100, 2),
		})
	}
	return out
}

// ReportNamed puts what a grip sounds into the form for JSON.
func ReportNamed(r *rig.Rig, n Named) NamedReport {
	out := NamedReport{Rig: r.Name, Bar: barReport(n.Placement, n.Angle), Benders: marks(r, n.Benders), Notes: noteReports(n.Notes),
		Chords: chordNames(n.Chords), Within: chordNames(n.Within), Missing: append([]string{}, n.Missing...), Intervals: []string{}}
	for _, iv := range n.Intervals {
		out.Intervals = append(out.Intervals, iv.String())
	}
	return out
}

func barReport(p steel.Placement, angle float64) BarReport {
	return BarReport{p.Kind.String(), int(p.First), int(p.Last), round(p.FirstFret, 4), round(p.LastFret, 4), round(angle, 1)}
}

func marks(r *rig.Rig, set rig.BenderSet) []string {
	out := []string{}
	for i, b := range r.Benders {
		if set.Has(i) {
			out = append(out, b.Mark)
		}
	}
	return out
}

func noteReports(notes []Sounded) []NoteReport {
	out := []NoteReport{}
	for _, n := range notes {
		out = append(out, NoteReport{n.String, round(n.Fret, 4), n.Name.String(), n.Label, round(float64(n.CentsOff), 2)})
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

// round keeps figures short; −0 becomes 0.
func round(f float64, digits int) float64 {
	p := math.Pow10(digits)
	return math.Round(f*p)/p + 0
}
