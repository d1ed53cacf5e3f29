package report

import (
	"math"

	"lapwright/arrange"
	"lapwright/arrange/outline"
	"lapwright/arrange/rank"
	"lapwright/arrange/transfer"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Arrangement is what `lapwright arrange --json` prints; docs/formats/arrangement.md
// describes it field by field.
type Arrangement struct {
	Title       string       `json:"title"`
	Rig         ArrangedRig  `json:"rig"`
	Key         string       `json:"key"`
	Transposed  int          `json:"transposed"`
	Difficulty  float64      `json:"difficulty"`
	Cost        float64      `json:"cost"`
	Frets       FretRange    `json:"frets"`
	Slants      int          `json:"slants"`
	Harmony     *Harmonised  `json:"harmony,omitempty"`
	Outline     *Outlined    `json:"outline,omitempty"`
	Rolls       []Roll       `json:"rolls"`
	Capos       []CapoOffer  `json:"capos"`
	Events      []Event      `json:"events"`
	Compromises []Compromise `json:"compromises"`
	Added       []Added      `json:"added"`
	LeftOut     []LeftOut    `json:"leftOut"`
}

// ArrangedRig names the rig and its open strings, string 1 first, the capo
// counted in.
type ArrangedRig struct {
	Name   string   `json:"name"`
	Tuning string   `json:"tuning"` // what the strings are tuned to without the capo, low to high
	Open   []string `json:"open"`   // what they sound open, string 1 first, the capo counted in
	Capo   int      `json:"capo"`
}

// CapoOffer is what a clamp-on capo would save.
type CapoOffer struct {
	Fret       int     `json:"fret"`
	Shapes     string  `json:"shapes"` // the key whose shapes are then played
	Saves      float64 `json:"saves"`  // points a note
	Difficulty float64 `json:"difficulty"`
	Words      string  `json:"words"`
}

func capoOffers(all []arrange.CapoOffer) []CapoOffer {
	out := []CapoOffer{}
	for i := range all {
		o := &all[i]
		out = append(out, CapoOffer{o.Capo, o.Shapes.String(), points(o.Saves), grade(o.Difficulty), o.Words()})
	}
	return out
}

// Outlined is what of the tune the first grade keeps.
type Outlined struct {
	Notes   int      `json:"notes"` // of the melody, a note held on by a tie once
	Kept    int      `json:"kept"`
	Guessed bool     `json:"guessed"` // its harmony is taken from key and melody
	Low     int      `json:"low"`     // the position, in frets; both 0 for none
	High    int      `json:"high"`
	Asleep  []string `json:"asleep"` // pins on notes that are left out
}

func outlinedOf(o *outline.Told) *Outlined {
	if o == nil {
		return nil
	}
	return &Outlined{o.Notes, o.Kept, o.Guessed, o.Low, o.High, list(o.Asleep)}
}

// FretRange is the range of the steel, open strings left out; both 0 when it
// is never laid.
type FretRange struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Roll is a Roll, each written bar once.
type Roll struct {
	Bar     int    `json:"bar"`
	At      string `json:"at"` // from the start of the bar
	Strokes int    `json:"strokes"`
	Name    string `json:"name"`
	Fingers string `json:"fingers"`
}

// Event is one stroke each time that it sounds.
type Event struct {
	Bar       int            `json:"bar"`
	At        string         `json:"at"`
	Length    string         `json:"length"`
	Tied      bool           `json:"tied"`
	Grace     bool           `json:"grace"`
	Placement EventPlacement `json:"placement"`
	Benders   []string       `json:"benders"`
	Plucks    []EventPluck   `json:"plucks"`
	Cost      float64        `json:"cost"`
	Why       []Term         `json:"why"`
}

// EventPlacement is how the steel lies under a stroke.
type EventPlacement struct {
	Placement
	// LowestFret and HighestFret are the frets under the string nearest the
	// player and the string farthest away that the stroke uses; 0 is open.
	LowestFret  float64 `json:"lowestFret"`
	HighestFret float64 `json:"highestFret"`
}

// EventPluck is one note on one string.
type EventPluck struct {
	String   int     `json:"string"`
	Fret     float64 `json:"fret"`
	Sounds   string  `json:"sounds"`
	CentsOff float64 `json:"centsOff"`
	Length   string  `json:"length"`
	Attack   string  `json:"attack"`
	Finger   string  `json:"finger"`
}

// ArrangementOf returns the arrangement in sounding order, repeats unfolded.
func ArrangementOf(r *arrange.Result) Arrangement {
	t := r.Tab
	out := Arrangement{
		Title: t.Tune.Title,
		Rig:   ArrangedRig{Name: t.Rig.Name, Tuning: t.Rig.TuningText(), Capo: t.Rig.Capo.At},
		Key:   r.Key.String(), Transposed: r.Transposed, Difficulty: grade(r.Difficulty), Cost: points(r.Cost),
		Harmony: (*Harmonised)(r.Harmony), Rolls: []Roll{}, Events: []Event{}, Compromises: []Compromise{},
	}
	out.Outline, out.Capos = outlinedOf(r.Outline), capoOffers(r.Capos)
	out.Added, out.LeftOut = account(t)
	out.Slants, _ = t.Slants()
	out.Frets = fretsOf(t)
	for _, s := range t.Rig.Strings {
		out.Rig.Open = append(out.Rig.Open, s.Open.String())
	}
	for _, roll := range r.Rolls() {
		out.Rolls = append(out.Rolls, Roll{roll.BarNumber, roll.At.String(), roll.Strokes, roll.Name, roll.Fingers})
	}
	strokes := map[int][]int{}
	for i := range t.Strokes {
		strokes[t.Strokes[i].BarIndex] = append(strokes[t.Strokes[i].BarIndex], i)
	}
	broken := map[int][]int{}
	for i := range t.Compromises {
		b := t.Compromises[i].Ref.Bar
		broken[b] = append(broken[b], i)
	}
	g := steel.New(t.Rig)
	for _, p := range t.Performance().Passes {
		for _, i := range strokes[p.BarIndex] {
			e := eventOf(t, g, &t.Strokes[i], p.Start)
			e.Cost, e.Why = points(r.Events[i].Cost), []Term{}
			for _, w := range r.Events[i].Terms {
				e.Why = append(e.Why, Term{w.Name, points(w.Cost), w.Words})
			}
			out.Events = append(out.Events, e)
		}
		for _, i := range broken[p.BarIndex] {
			c := &t.Compromises[i]
			out.Compromises = append(out.Compromises, Compromise{c.BarNumber, (p.Start + c.At).String(), c.Wanted, c.Got, c.Why})
		}
	}
	return out
}

func eventOf(t *tab.Tab, g *steel.Geometry, s *tab.Stroke, start tune.Ticks) Event {
	e := Event{
		Bar: t.Tune.Bars[s.BarIndex].Number, At: (start + s.At).String(), Length: s.Len.String(), Grace: s.Grace,
		Placement: EventPlacement{Placement: PlacementOf(s.Placement, g.Angle(s.Placement))},
		Benders:   []string{}, Plucks: []EventPluck{},
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
		name := pitch.SpellKey(whole, t.Tune.Bars[s.BarIndex].Key.Fifths())
		if n := t.Tune.Note(p.Ref); n != nil && n.Name.Key() == whole {
			name = n.Name
		}
		e.Plucks = append(e.Plucks, EventPluck{
			String: p.String, Fret: fret(p.Fret), Sounds: name.String(), CentsOff: cents(100 * (key - float64(whole))),
			Length: p.Len.String(), Attack: p.Attack.String(), Finger: p.Finger.String(),
		})
	}
	if n := len(s.Plucks); n > 0 {
		e.Placement.HighestFret = fret(s.Plucks[0].Fret)
		e.Placement.LowestFret = fret(s.Plucks[n-1].Fret)
	}
	return e
}

func fretsOf(t *tab.Tab) FretRange {
	low, high := t.Frets()
	return FretRange{fret(low), fret(high)}
}

// Term is one part of what an event costs.
type Term struct {
	Name string `json:"term"`
	// Cost is in points; the terms of an event add up to its cost.
	Cost  float64 `json:"cost"`
	Words string  `json:"words"`
}

// Harmonised tells what came of a harmony that was asked for.
type Harmonised struct {
	Notes   int `json:"notes"`   // notes of the melody, graces left out
	Under   int `json:"under"`   // how many of them have notes under them
	Single  int `json:"single"`  // and how many have none
	FromKey int `json:"fromKey"` // how many have theirs from the key, for want of a chord symbol
	// Symbols says that the tune has chord symbols.
	Symbols bool `json:"symbols"`
}

// WithWays is an arrangement with what stands around the tune and the other ways that
// were asked for.
type WithWays struct {
	Arrangement
	Frame []FramePart `json:"frame,omitempty"`
	Ways  []Way       `json:"ways,omitempty"`
}

// Way is another way to play a tune.
type Way struct {
	Name        string    `json:"name"`
	Cost        float64   `json:"cost"`
	Difficulty  float64   `json:"difficulty"`
	Frets       FretRange `json:"frets"`
	Slants      int       `json:"slants"`
	Compromises int       `json:"compromises"`
}

// WaysOf returns the forms of the ways to play a tune.
func WaysOf(all []arrange.Alternative) []Way {
	var out []Way
	for _, a := range all {
		t := a.Result.Tab
		slants, _ := t.Slants()
		out = append(out, Way{a.Name, points(a.Result.Cost), grade(a.Result.Difficulty), fretsOf(t), slants, len(t.Compromises)})
	}
	return out
}

// Transfer is a tab brought to another rig.
type Transfer struct {
	From        string      `json:"from"`
	To          string      `json:"to"`
	Whole       bool        `json:"whole"`
	Kept        int         `json:"kept"`
	Notes       int         `json:"notes"`
	Words       []string    `json:"words"`
	Arrangement Arrangement `json:"arrangement"`
}

// TransferOf returns what came of a transfer between two rigs.
func TransferOf(from, to *rig.Rig, m *transfer.Transferred) Transfer {
	return Transfer{from.Name, to.Name, m.Whole, m.Kept, m.Notes, list(m.Words), ArrangementOf(m.Result)}
}

// RankedRig says how well a tune plays on a rig.
type RankedRig struct {
	Rig         string      `json:"rig"`
	Score       float64     `json:"score"` // points a note
	Difficulty  float64     `json:"difficulty"`
	Key         string      `json:"key"`
	Transposed  int         `json:"transposed"`
	Slants      int         `json:"slants"`
	Travel      float64     `json:"travel"` // mm a note
	Rings       float64     `json:"rings"`  // share of the notes, 0 to 1
	Compromises int         `json:"compromises"`
	Reasons     []string    `json:"reasons"`
	Capos       []CapoOffer `json:"capos"`
}

// RankedRigs returns the forms of rigs in their order.
func RankedRigs(all []rank.Ranked) []RankedRig {
	out := []RankedRig{}
	for _, k := range all {
		out = append(out, RankedRig{
			k.Rig.Name, points(k.Score), grade(k.Difficulty), k.Key.String(), k.Transposed,
			k.Slants, decimals(k.Travel, 1), share(k.Rings), k.Compromises, list(k.Reasons), capoOffers(k.Capos),
		})
	}
	return out
}

// RankedOf returns the form of a studio's rig in its place.
func RankedOf(ref string, k *rank.Ranked) Ranked {
	return Ranked{RigTitle{ref, k.Rig.Title}, grade(k.Difficulty), k.Score, list(k.Reasons)}
}
