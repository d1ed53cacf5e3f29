package lesson

import (
	"math"

	"lapwright/arrange"
	"lapwright/steel"
)

// Summary is what a teacher wants to know first about a tab.
type Summary struct {
	Rig        string `json:"rig"`
	Title      string `json:"title"`
	Tuning     string `json:"tuning"`
	Key        string `json:"key"`
	Transposed int    `json:"transposed"` // semitones from the tune's own key
	Capo       int    `json:"capo,omitempty"`
	// LowFret and HighFret are the lowest and highest bar position; both 0 when
	// everything is open.
	LowFret    float64 `json:"lowFret"`
	HighFret   float64 `json:"highFret"`
	Slants     int     `json:"slants"` // strokes with a leaning bar, each as written
	Splits     int     `json:"splits"`
	Difficulty float64 `json:"difficulty"` // 0 to 10
	Notes      int     `json:"notes"`      // written, compromised ones included

	// Harmony tells what came of a harmony that was asked for; "" for none.
	Harmony string `json:"harmony,omitempty"`

	Compromises []Compromise `json:"compromises"`
}

// Compromise is one place where the tab does not sound what the tune says.
type Compromise struct {
	Bar    int    `json:"bar"` // as printed
	At     string `json:"at"`  // from the start of the bar, a fraction of a whole note
	Wanted string `json:"wanted"`
	Got    string `json:"got"`
	Why    string `json:"why"`
}

// Summarise looks a result over.
func Summarise(res *arrange.Result) Summary {
	t := res.Tab
	s := Summary{
		Rig: t.Rig.Name, Title: t.Rig.Title, Tuning: t.Rig.TuningText(), Key: res.Key.Pretty(), Transposed: res.Transposed,
		Capo: t.Rig.Capo.At, Difficulty: math.Round(res.Difficulty*10) / 10, Compromises: []Compromise{},
	}
	low, high := math.Inf(1), 0.0
	for i := range t.Strokes {
		p := t.Strokes[i].Placement
		s.Notes += len(t.Strokes[i].Plucks)
		switch p.Kind {
		case steel.Lifted:
			continue
		case steel.Forward, steel.Reverse:
			s.Slants++
		case steel.Split:
			s.Splits++
		}
		low = min(low, p.FirstFret, p.LastFret)
		high = max(high, p.FirstFret, p.LastFret)
	}
	if high > 0 {
		s.LowFret, s.HighFret = low, high
	}
	if res.Harmony != nil {
		s.Harmony = res.Harmony.Words()
	}
	for _, c := range t.Compromises {
		s.Compromises = append(s.Compromises, Compromise{c.Bar, c.At.String(), c.Wanted, c.Got, c.Why})
	}
	return s
}
