package report

import (
	"lapwright/arrange"
	"lapwright/arrange/accompany"
	"lapwright/say"
	"lapwright/tab"
)

// Summary is what a teacher wants to know first about a tab.
type Summary struct {
	Rig        string `json:"rig"`
	Title      string `json:"title"`
	Part       string `json:"part"`           // "tune", or "backup" for what accompanies it
	Feel       string `json:"feel,omitempty"` // of a backup
	Tuning     string `json:"tuning"`
	Key        string `json:"key"`
	Transposed int    `json:"transposed"` // semitones from the tune's own key
	Capo       int    `json:"capo,omitempty"`
	// Capos is what a clamp-on capo would save.
	Capos []CapoOffer `json:"capos"`
	// LowFret and HighFret are the lowest and highest fret at which a string is
	// stopped; both 0 when everything is open.
	LowFret    float64 `json:"lowFret"`
	HighFret   float64 `json:"highFret"`
	Slants     int     `json:"slants"` // how often the steel is leaned afresh, splits counted in
	Splits     int     `json:"splits"`
	Difficulty float64 `json:"difficulty"` // 0 to 10
	Notes      int     `json:"notes"`      // written, compromised ones included

	// Harmony tells what came of a harmony that was asked for; "" for none.
	Harmony string `json:"harmony,omitempty"`
	Outline string `json:"outline,omitempty"` // what of the tune the first grade keeps, in words

	Compromises []Compromise `json:"compromises"`
	Added       []Added      `json:"added"`
	LeftOut     []LeftOut    `json:"leftOut"`
	// Account tells what is added and left out, a line a kind.
	Account []string `json:"account"`
}

// Added is one thing that the tab adds to the tune.
type Added struct {
	Kind   string `json:"kind"` // joined, slide-in, vibrato, roll, harmony or bend
	Bar    int    `json:"bar"`  // as printed
	At     string `json:"at"`   // from the start of the bar, a fraction of a whole note
	String int    `json:"string"`
	Pitch  string `json:"pitch"`
}

// LeftOut is one note of the tune that the tab does without.
type LeftOut struct {
	Bar    int    `json:"bar"` // as printed
	At     string `json:"at"`  // from the start of the bar, a fraction of a whole note
	Length string `json:"length"`
	Pitch  string `json:"pitch"`
}

// account returns what a tab adds and leaves out, each written bar once.
func account(t *tab.Tab) ([]Added, []LeftOut) {
	added, left := []Added{}, []LeftOut{}
	for _, a := range t.Added {
		added = append(added, Added{a.Kind.String(), a.BarNumber, a.At.String(), a.String, a.Name.String()})
	}
	for _, l := range t.LeftOut {
		left = append(left, LeftOut{t.Tune.Bars[l.BarIndex].Number, l.At.String(), l.Len.String(), l.Name.String()})
	}
	return added, left
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
		Rig: t.Rig.Name, Title: t.Rig.Title, Part: "tune", Tuning: t.Rig.TuningText(), Key: res.Key.Pretty(), Transposed: res.Transposed,
		Capo: t.Rig.Capo.At, Capos: capoOffers(res.Capos), Difficulty: grade(res.Difficulty), Compromises: []Compromise{},
	}
	s.Slants, s.Splits = t.Slants()
	s.LowFret, s.HighFret = t.Frets()
	for i := range t.Strokes {
		s.Notes += len(t.Strokes[i].Plucks)
	}
	if res.Harmony != nil {
		s.Harmony = res.Harmony.Words()
	}
	if res.Outline != nil {
		s.Outline = res.Outline.Words()
	}
	for _, c := range t.Compromises {
		s.Compromises = append(s.Compromises, Compromise{c.BarNumber, c.At.String(), c.Wanted, c.Got, c.Why})
	}
	s.Added, s.LeftOut = account(t)
	s.Account = list(say.Added(t))
	return s
}

// SummariseBackup looks a part that accompanies over.
func SummariseBackup(res *accompany.Result) Summary {
	s := Summarise(res.Result)
	s.Part, s.Feel = "backup", res.Feel.Name
	return s
}

// BackupTitle is what the part that accompanies on an instrument is called beside the
// tune on it.
func BackupTitle(instrument string) string { return instrument + ": backup" }
