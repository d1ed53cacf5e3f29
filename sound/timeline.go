package sound

import (
	"lapwright/steel"
	"lapwright/tab"
)

// Timing says when everything in a recording made with the same options is
// heard, in seconds from its first sample.
type Timing struct {
	CountIn float64      `json:"countIn"` // seconds of clicks before the music
	End     float64      `json:"end"`     // when the written music is over; the recording rings on
	Total   float64      `json:"total"`   // length of the recording
	Bars    []BarTime    `json:"bars"`    // in sounding order
	Strokes []StrokeTime `json:"strokes"` // in sounding order
	Clicks  []ClickTime  `json:"clicks"`
	// Steel is the way of the steel: between two keys it moves from one place to
	// the next with a gentle start and stop, after the last it stays.
	Steel []SteelTime `json:"steel"`
}

// BarTime is one playing of a written bar.
type BarTime struct {
	BarIndex int     `json:"bar"`    // index into the tune's bars
	Number   int     `json:"number"` // as printed
	At       float64 `json:"at"`
	End      float64 `json:"end"`
	Lacks    float64 `json:"lacks,omitempty"` // seconds of a whole bar that go before it: it is a pickup, or the rest of a bar that a repeat parts
	Yours    bool    `json:"yours,omitempty"` // it is the student's turn: the instrument rests
}

// StrokeTime is one sounding of a stroke.
type StrokeTime struct {
	StrokeIndex int     `json:"stroke"` // index into the tab's strokes
	PassIndex   int     `json:"pass"`   // index into Bars
	At          float64 `json:"at"`
	End         float64 `json:"end"`
	// Strings are those whose notes begin anew; Held are those whose notes are
	// carried on or glided into.
	Strings []int `json:"strings"`
	Held    []int `json:"held,omitempty"`
}

// ClickTime is one click of the count-in or click track.
type ClickTime struct {
	At      float64 `json:"at"`
	First   bool    `json:"first"`             // the first beat of its bar
	Soft    bool    `json:"soft,omitempty"`    // a lesser one
	Between bool    `json:"between,omitempty"` // between the strong beats: on two and four
	Part    bool    `json:"part,omitempty"`    // a part of a beat: only where beats are subdivided
}

// SteelTime is where the steel is at one instant. First and Last are 0 when it is
// lifted.
type SteelTime struct {
	At        float64 `json:"at"`
	Kind      string  `json:"kind"`
	First     int     `json:"first"`
	Last      int     `json:"last"`
	FirstFret float64 `json:"firstFret"`
	LastFret  float64 `json:"lastFret"`
	Angle     float64 `json:"angle"` // degrees from square, forward slants positive
}

// SteelAt returns where the steel is at a time when it lies as p on g's rig.
func SteelAt(g *steel.Geometry, at float64, p steel.Placement) SteelTime {
	out := SteelTime{At: at, Kind: p.Kind.String(), FirstFret: p.FirstFret, LastFret: p.LastFret, Angle: g.Angle(p)}
	if p.Kind != steel.Lifted {
		out.First, out.Last = int(p.First), int(p.Last)
	}
	return out
}

// Timeline returns the timing of what Render makes of the same tab and options.
func Timeline(t *tab.Tab, o Options) (*Timing, error) {
	o, sc, err := o.written(t)
	if err != nil {
		return nil, err
	}
	out := &Timing{
		CountIn: sc.countIn, End: sc.countIn + sc.music, Total: float64(sc.length()) / Rate,
		Bars: []BarTime{}, Strokes: []StrokeTime{}, Clicks: []ClickTime{}, Steel: sc.steelTimes,
	}
	w := newTimekeeper(t, o, sc)
	for k, p := range sc.passes {
		b := &t.Tune.Bars[p.BarIndex]
		out.Bars = append(out.Bars, BarTime{
			BarIndex: p.BarIndex, Number: b.Number, At: w(p.Start), End: w(p.Start + b.Len),
			Lacks: w(p.Start) - w(p.Start-t.Tune.Within(p.BarIndex)), Yours: sc.silent != nil && sc.silent[k],
		})
	}
	for _, s := range sc.sittings {
		st := StrokeTime{StrokeIndex: s.strokeIndex, PassIndex: s.passIndex, At: s.at, End: s.end, Strings: []int{}}
		for _, p := range s.stroke.Plucks {
			if p.Attack == tab.Tied || p.Attack.Carried() {
				st.Held = append(st.Held, p.String)
			} else {
				st.Strings = append(st.Strings, p.String)
			}
		}
		out.Strokes = append(out.Strokes, st)
	}
	for _, b := range sc.beats {
		out.Clicks = append(out.Clicks, ClickTime{At: float64(b.At) / Rate, First: b.Weight == 0, Soft: b.Weight == 2, Between: b.Between, Part: b.Part})
	}
	return out, nil
}
