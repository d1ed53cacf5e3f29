package web

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/steel"
)

// What is kept says ways of laying the steel in words and benders by their
// letters, so that it means the same when the program counts them otherwise or
// a rig's benders change places. A change of these forms needs a step in
// lapwright/internal/studio/form.

// keptGrip is what a grip's item holds.
type keptGrip struct {
	Rig       string        `json:"rig"` // a built-in rig's name or an identity
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

// text gives a grip as it is kept.
func (b *gripBody) text(g *rig.Rig) (string, error) {
	p := b.Placement
	out, err := json.Marshal(keptGrip{
		Rig: b.Rig, Want: b.Want, Benders: report.Marks(g, b.Benders), Strings: b.Strings,
		Placement: keptPlacement{p.Kind.String(), p.First, p.Last, p.FirstFret, p.LastFret},
	})
	return string(out), err
}

// on reads a kept grip for its rig.
func (k *keptGrip) on(g *rig.Rig) (gripBody, error) {
	b := gripBody{Rig: k.Rig, Want: k.Want, Strings: k.Strings}
	kind, err := steel.ParseKind(k.Placement.Kind)
	if err != nil {
		return b, &fault.Fault{Msg: err.Error()}
	}
	b.Placement = steel.Placement{Kind: kind, First: k.Placement.First, Last: k.Placement.Last, FirstFret: k.Placement.FirstFret, LastFret: k.Placement.LastFret}
	var gone []string
	if b.Benders, gone = bendersOf(g, k.Benders); len(gone) > 0 {
		return b, &fault.Fault{Msg: fmt.Sprintf("this grip needs %s, which %s does not have", benderWords(gone), g.Title)}
	}
	return b, nil
}

// bendersOf gives the set of the benders with some letters, and the letters
// that the rig does not have.
func bendersOf(g *rig.Rig, letters []string) (set rig.BenderSet, gone []string) {
	for _, l := range letters {
		if i := slices.IndexFunc(g.Benders, func(b rig.Bender) bool { return b.Mark == l }); i >= 0 {
			set |= 1 << i
		} else {
			gone = append(gone, l)
		}
	}
	return set, gone
}

// benderWords says "bender B" or "benders B and C". A bender that was kept by
// its place on a rig that is not known goes by that: "the bender no. 2".
func benderWords(letters []string) string {
	if len(letters) == 1 {
		if number, ok := strings.CutPrefix(letters[0], "#"); ok {
			return "bender no. " + number
		}
		return "bender " + letters[0]
	}
	return "benders " + strings.Join(letters, " and ")
}

// keepable refuses what could be saved and not be read again: settings, or the
// body of a grip or lesson, with something of another kind than is expected.
func keepable(kind studio.Kind, c studio.Content) error {
	switch kind {
	case studio.Tune:
		var x report.TuneSettings
		return asExpected(c.Extra, "the settings", &x)
	case studio.Grip:
		var g keptGrip
		return asExpected([]byte(c.Body), "the grip", &g)
	case studio.Lesson:
		var l report.LessonPlan
		return asExpected([]byte(c.Body), "the lesson", &l)
	}
	return nil
}

func asExpected(text []byte, what string, to any) error {
	if len(text) == 0 {
		return nil
	}
	err := json.Unmarshal(text, to)
	if err == nil {
		return nil
	}
	return &fault.Fault{Msg: fmt.Sprintf("%s can't be kept: %s", what, expected(err))}
}

// expected says what is wrong with JSON of another kind than it should be.
func expected(err error) string {
	if kind, ok := err.(*json.UnmarshalTypeError); ok && kind.Field != "" {
		return fmt.Sprintf("a %s is no value for %q", kind.Value, kind.Field)
	}
	return "it is not written as it should be"
}

// extraOf reads a tune's settings. Those of a wrong kind, which no save takes
// but an archive may have brought, are left out, and their names given.
func extraOf(it *studio.Item) (report.TuneSettings, []string, error) {
	var x report.TuneSettings
	if json.Unmarshal(it.Extra, &x) == nil {
		return x, nil, nil
	}
	var all map[string]json.RawMessage
	if err := readKept(it.Extra, "this tune's settings", &all); err != nil {
		return x, nil, err
	}
	x = report.TuneSettings{Wishes: map[string]report.Wishes{}}
	var left []string
	read := func(name string, raw json.RawMessage, to any) bool {
		if len(raw) == 0 || json.Unmarshal(raw, to) == nil {
			return true
		}
		left = append(left, name)
		return false
	}
	if !read("rig", all["rig"], &x.Rig) {
		x.Rig = ""
	}
	if !read("beside", all["beside"], &x.Beside) {
		x.Beside = ""
	}
	if !read("tempo", all["tempo"], &x.Tempo) {
		x.Tempo = 0
	}
	var wishes map[string]json.RawMessage
	read("wishes", all["wishes"], &wishes)
	for name, raw := range wishes {
		var w report.Wishes
		if read("wishes for "+name, raw, &w) {
			x.Wishes[name] = w
		}
	}
	slices.Sort(left)
	return x, left, nil
}
