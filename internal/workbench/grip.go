package workbench

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Grip is a grip on its rig.
type Grip struct {
	Ref       string // the rig's
	Rig       *rig.Rig
	Want      string // the chord, interval or notes that it was found for
	Placement steel.Placement
	Benders   rig.BenderSet
	Strings   []int
}

// keptGrip is what a grip's item holds.
type keptGrip struct {
	Rig       string        `json:"rig"` // a ref
	Want      string        `json:"want"`
	Placement keptPlacement `json:"placement"`
	Benders   []string      `json:"benders,omitempty"` // letters
	Strings   []int         `json:"strings"`
}

// keptPlacement is a steel.Placement.
type keptPlacement struct {
	Kind      string  `json:"kind"` // steel.Kind's words
	First     int8    `json:"first,omitempty"`
	Last      int8    `json:"last,omitempty"`
	FirstFret float64 `json:"firstFret,omitempty"`
	LastFret  float64 `json:"lastFret,omitempty"`
}

// Text returns a grip as it is kept.
func (b *Grip) Text() (string, error) {
	p := b.Placement
	out, err := json.Marshal(keptGrip{
		Rig: b.Ref, Want: b.Want, Benders: report.Marks(b.Rig, b.Benders), Strings: b.Strings,
		Placement: keptPlacement{p.Kind.String(), p.First, p.Last, p.FirstFret, p.LastFret},
	})
	return string(out), err
}

// Title returns the title that a grip is kept under.
func (b *Grip) Title() string { return b.Want + " on " + b.Rig.Title }

// Chord returns the chord that a grip was found for, nil when it was another thing.
func (b *Grip) Chord() *pitch.Chord {
	w, err := grip.ParseWant(b.Want)
	if err != nil {
		return nil
	}
	return w.Chord
}

// ReadGrip reads a grip that a page sends or that was kept; find gives its rig.
func ReadGrip(text string, find func(ref string) (*rig.Rig, error)) (*Grip, error) {
	var kept keptGrip
	if err := json.Unmarshal([]byte(text), &kept); err != nil {
		return nil, &fault.Fault{Msg: "this is no grip"}
	}
	g, err := find(kept.Rig)
	if err != nil {
		return nil, err
	}
	b, err := kept.on(g)
	if err != nil {
		return nil, err
	}
	if err := steel.New(g).Check(b.Placement); err != nil {
		return nil, told(err)
	}
	for _, str := range b.Strings {
		if str < 1 || str > len(g.Strings) {
			return nil, &fault.Fault{Msg: fmt.Sprintf("%s has no string %d", g.Title, str)}
		}
	}
	if len(b.Strings) == 0 {
		return nil, &fault.Fault{Msg: "this is no grip of that instrument"}
	}
	return b, nil
}

// on reads a kept grip for its rig.
func (k *keptGrip) on(g *rig.Rig) (*Grip, error) {
	b := &Grip{Ref: k.Rig, Rig: g, Want: k.Want, Strings: k.Strings}
	kind, err := steel.ParseKind(k.Placement.Kind)
	if err != nil {
		return nil, told(err)
	}
	b.Placement = steel.Placement{Kind: kind, First: k.Placement.First, Last: k.Placement.Last, FirstFret: k.Placement.FirstFret, LastFret: k.Placement.LastFret}
	var gone []string
	if b.Benders, gone = bendersOf(g, k.Benders); len(gone) > 0 {
		return nil, &fault.Fault{Msg: fmt.Sprintf("this grip needs %s, which %s does not have", benderWords(gone), g.Title)}
	}
	return b, nil
}

// Tab writes a grip down as a tab of one bar: its strings one after another
// from the lowest up, an eighth each, then all of them for a half.
func (b *Grip) Tab() *tab.Tab {
	geo := steel.New(b.Rig)
	strs := slices.Clone(b.Strings)
	key := func(str int) float64 { return geo.Key(b.Placement, str, b.Benders) }
	slices.SortFunc(strs, func(x, y int) int { return cmp.Compare(key(x), key(y)) })
	t := &tab.Tab{Rig: b.Rig}
	var line []tune.Event
	at := tune.Ticks(0)
	add := func(length tune.Ticks, log2 int8, strs []int) {
		e := tune.Event{At: at, Len: length, Value: tune.Value{Log2: log2}}
		st := tab.Stroke{At: at, Len: length, Placement: b.Placement, Benders: b.Benders}
		for i, str := range strs {
			e.Notes = append(e.Notes, tune.Note{Name: pitch.SpellKey(int(math.Round(key(str))), 0)})
			ref := tune.Ref{Event: len(line), Note: i, Grace: -1}
			st.Plucks = append(st.Plucks, tab.Pluck{Ref: ref, String: str, Fret: geo.Contact(b.Placement, str), Len: length})
		}
		slices.SortFunc(st.Plucks, func(x, y tab.Pluck) int { return cmp.Compare(x.String, y.String) })
		line = append(line, e)
		t.Strokes = append(t.Strokes, st)
		at += length
	}
	for i := range strs {
		add(tune.Whole/8, 3, strs[i:i+1])
	}
	add(tune.Whole/2, 1, strs)
	t.Tune = &tune.Tune{Title: b.Want, Voices: []tune.Voice{{ID: "1"}}, Bars: []tune.Bar{{
		Number: 1, Meter: tune.Meter{Beats: len(strs) + 4, Unit: 8}, Len: at, Lines: [][]tune.Event{line},
	}}}
	return t
}

// lies says how the steel lies and which benders are engaged: "straight at 5",
// "forward slant from 4 to 5, knee lever".
func lies(b *Grip) string {
	var out string
	switch p := b.Placement; {
	case p.Kind == steel.Lifted:
		out = "open"
	case p.FirstFret == p.LastFret:
		out = fmt.Sprintf("%s at %g", p.Kind, p.FirstFret)
	default:
		out = fmt.Sprintf("%s from %g to %g", p.Kind, min(p.FirstFret, p.LastFret), max(p.FirstFret, p.LastFret))
	}
	for i, bend := range b.Rig.Benders {
		if b.Benders.Has(i) {
			out += ", " + bend.Name
		}
	}
	return out
}
