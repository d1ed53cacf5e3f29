package arrange

import (
	"math"
	"strconv"

	"lapwright/pitch"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Report is what `lapwright arrange --json` prints; docs/formats/arrangement.md
// describes it field by field.
type Report struct {
	Title       string             `json:"title"`
	Rig         ReportRig          `json:"rig"`
	Key         string             `json:"key"`
	Transposed  int                `json:"transposed"`
	Difficulty  float64            `json:"difficulty"`
	Cost        float64            `json:"cost"`
	Frets       ReportFrets        `json:"frets"`
	Slants      int                `json:"slants"`
	Harmony     *Harmonised        `json:"harmony,omitempty"`
	Rolls       []ReportRoll       `json:"rolls"`
	Events      []ReportEvent      `json:"events"`
	Compromises []ReportCompromise `json:"compromises"`
}

// ReportRig names the rig and its open strings, string 1 first, the capo
// counted in.
type ReportRig struct {
	Name   string   `json:"name"`
	Tuning string   `json:"tuning"` // what the strings are tuned to without the capo, low to high
	Open   []string `json:"open"`   // what they sound open, string 1 first, the capo counted in
	Capo   int      `json:"capo"`
}

// ReportFrets is the range of the bar, open strings left out; both 0 when it
// is never laid.
type ReportFrets struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// ReportRoll is a Roll, each written bar once.
type ReportRoll struct {
	Bar     int    `json:"bar"`
	At      string `json:"at"` // from the start of the bar
	Strokes int    `json:"strokes"`
	Name    string `json:"name"`
	Fingers string `json:"fingers"`
}

// ReportEvent is one stroke each time that it sounds.
type ReportEvent struct {
	Bar       int             `json:"bar"`
	At        string          `json:"at"`
	Length    string          `json:"length"`
	Tied      bool            `json:"tied"`
	Grace     bool            `json:"grace"`
	Placement ReportPlacement `json:"placement"`
	Benders   []string        `json:"benders"`
	Plucks    []ReportPluck   `json:"plucks"`
	Cost      float64         `json:"cost"`
	Why       []Term          `json:"why"`
}

// ReportPlacement is how the bar lies.
type ReportPlacement struct {
	Kind string `json:"kind"`
	// LowestFret and HighestFret are the frets under the string nearest the
	// player and the string farthest away that the stroke uses; 0 is open.
	LowestFret  float64 `json:"lowestFret"`
	HighestFret float64 `json:"highestFret"`
	Angle       float64 `json:"angle"`
}

// ReportPluck is one note on one string.
type ReportPluck struct {
	String   int     `json:"string"`
	Fret     float64 `json:"fret"`
	Sounds   string  `json:"sounds"`
	CentsOff float64 `json:"centsOff"`
	Length   string  `json:"length"`
	Attack   string  `json:"attack"`
	Finger   string  `json:"finger"`
}

// ReportCompromise is a tab.Compromise each time that its bar sounds.
type ReportCompromise struct {
	Bar    int    `json:"bar"`
	At     string `json:"at"`
	Wanted string `json:"wanted"`
	Got    string `json:"got"`
	Why    string `json:"why"`
}

// Report returns the arrangement in sounding order, repeats unfolded.
func (r *Result) Report() Report {
	t := r.Tab
	out := Report{
		Title: t.Tune.Title,
		Rig:   ReportRig{Name: t.Rig.Name, Tuning: t.Rig.TuningText(), Capo: t.Rig.Capo.At},
		Key:   r.Key.String(), Transposed: r.Transposed, Difficulty: r.Difficulty, Cost: r.Cost,
		Harmony: r.Harmony, Rolls: []ReportRoll{}, Events: []ReportEvent{}, Compromises: []ReportCompromise{},
	}
	out.Slants, _ = t.Slants()
	out.Frets.Low, out.Frets.High = t.Frets()
	for _, s := range t.Rig.Strings {
		out.Rig.Open = append(out.Rig.Open, s.Open.String())
	}
	for _, roll := range r.Rolls() {
		out.Rolls = append(out.Rolls, ReportRoll{roll.Bar, roll.At.String(), roll.Strokes, roll.Name, roll.Fingers})
	}
	strokes := map[int][]int{}
	for i := range t.Strokes {
		strokes[t.Strokes[i].Bar] = append(strokes[t.Strokes[i].Bar], i)
	}
	broken := map[int][]int{}
	for i := range t.Compromises {
		b := t.Compromises[i].Ref.Bar
		broken[b] = append(broken[b], i)
	}
	g := steel.New(t.Rig)
	for _, p := range t.Performance().Passes {
		for _, i := range strokes[p.Bar] {
			e := r.event(g, &t.Strokes[i], p.Start)
			e.Cost, e.Why = r.Events[i].Cost, r.Events[i].Terms
			if e.Why == nil {
				e.Why = []Term{}
			}
			out.Events = append(out.Events, e)
		}
		for _, i := range broken[p.Bar] {
			c := &t.Compromises[i]
			out.Compromises = append(out.Compromises, ReportCompromise{c.Bar, (p.Start + c.At).String(), c.Wanted, c.Got, c.Why})
		}
	}
	return out
}

func (r *Result) event(g *steel.Geometry, s *tab.Stroke, start tune.Ticks) ReportEvent {
	t := r.Tab
	e := ReportEvent{
		Bar: t.Tune.Bars[s.Bar].Number, At: (start + s.At).String(), Length: s.Len.String(), Grace: s.Grace,
		Placement: ReportPlacement{Kind: s.Placement.Kind.String(), Angle: Round(g.Angle(s.Placement), 1)},
		Benders:   []string{}, Plucks: []ReportPluck{},
	}
	for i := range t.Rig.Benders {
		if s.Benders.Has(i) {
			e.Benders = append(e.Benders, t.Rig.Benders[i].Name)
		}
	}
	e.Tied = len(s.Plucks) > 0
	for i := range s.Plucks {
		p := &s.Plucks[i]
		e.Tied = e.Tied && p.Attack == tab.Tied
		key := tab.Key(g, s, p)
		whole := int(math.Round(key))
		name := pitch.SpellKey(whole, t.Tune.Bars[s.Bar].Key.Fifths())
		if n := t.Tune.Note(p.Ref); n != nil && n.Name.Key() == whole {
			name = n.Name
		}
		e.Plucks = append(e.Plucks, ReportPluck{
			String: p.String, Fret: Round(p.Fret, 3), Sounds: name.String(), CentsOff: Round(100*(key-float64(whole)), 1),
			Length: p.Len.String(), Attack: p.Attack.String(), Finger: p.Finger.String(),
		})
	}
	if n := len(s.Plucks); n > 0 {
		e.Placement.HighestFret = Round(s.Plucks[0].Fret, 3)
		e.Placement.LowestFret = Round(s.Plucks[n-1].Fret, 3)
	}
	return e
}

// Round rounds to a number of decimals, and never to minus nothing.
func Round(x float64, decimals int) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', decimals, 64), 64)
	if y == 0 {
		return 0
	}
	return y
}
