package workbench

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/wire"
)

// PlanTo plans the way to a tuning by its name or its pitches, low to high.
func PlanTo(g *rig.Rig, to string) (*retune.Plan, error) {
	if t, ok := retune.FindTuning(to); ok {
		return retune.NewPlan(g, t.Pitches, t.Title, 0)
	}
	pitches, err := retune.ParseTuning(to)
	if err != nil {
		return nil, told(err)
	}
	if len(pitches) != len(g.Strings) {
		return nil, &fault.Fault{Msg: fmt.Sprintf("%q names %s, and the instrument has %s", to, say.Count(len(pitches), "pitch"), say.Count(len(g.Strings), "string"))}
	}
	return retune.NewPlan(g, pitches, "", 0)
}

// TunerOf returns what a page is told that hears a rig's strings against how they are meant to be tuned.
func TunerOf(t *retune.Tuned, g *rig.Rig) *report.Tuner {
	g = g.Clone()
	g.Reference = t.Reference
	out := &report.Tuner{Rig: string(rig.Format(g)), Ways: map[string]string{}}
	for way, w := range ways {
		var cents []string
		for i, tone := range t.Low(w) {
			cents = append(cents, strconv.FormatFloat(float64(pitch.Between(t.Targets[len(t.Targets)-1-i].Equal, tone)), 'f', 2, 64))
		}
		out.Ways[way] = strings.Join(cents, ",")
	}
	return out
}

// StringsFor finds the best strings with some wrap for a rig's tuning, and for
// another with it when also names one.
func StringsFor(g *rig.Rig, also, wrap string) (*report.Design, error) {
	limit, _ := g.Limit()
	wish := retune.Requirements{Tunings: [][]pitch.Name{g.TunedNames()}, Scale: g.Scale, Reference: g.Reference, Pull: retune.DefaultPull, Limit: limit, Body: g.Body, Sold: wire.Sold(wire.Material(wrap))}
	if t, ok := retune.FindTuning(also); ok {
		wish.Tunings = append(wish.Tunings, t.Pitches)
	}
	design, err := retune.NewDesign(wish)
	if err != nil {
		return nil, err
	}
	return report.DesignOf(design, wish), nil
}

// SameStrings lists the known tunings for as many strings as a rig has.
func SameStrings(g *rig.Rig) []retune.Tuning {
	var out []retune.Tuning
	for _, t := range retune.Catalogue() {
		if len(t.Pitches) == len(g.Strings) {
			out = append(out, t)
		}
	}
	return out
}

// TuneTo is how a rig is to be tuned.
type TuneTo struct {
	Chord     string
	Reference float64 // hertz
	Share     float64 // from 0, equal, to 1, just
	Seventh   string  // "9/5" or "7/4"
}

// ReadTuneTo reads how to tune a rig from the fields of a form; what they leave
// empty is the rig's own reference, its open chord and halfway.
func ReadTuneTo(g *rig.Rig, field func(name string) string) (TuneTo, *retune.Tuned, error) {
	a := TuneTo{Chord: field("chord"), Reference: float64(g.Reference), Share: 0.5, Seventh: "9/5"}
	for _, f := range []struct {
		name, what string
		to         *float64
	}{{"reference", "reference pitch", &a.Reference}, {"share", "share", &a.Share}} {
		if text := field(f.name); text != "" {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return a, nil, &fault.Fault{Msg: fmt.Sprintf("a %s of %q is no number", f.what, text)}
			}
			*f.to = v
		}
	}
	sevenths := pitch.FiveLimit
	switch field("seventh") {
	case "", "9/5":
	case "7/4":
		a.Seventh, sevenths = "7/4", pitch.Harmonic
	default:
		return a, nil, &fault.Fault{Msg: fmt.Sprintf("a seventh of %q is not 9/5 or 7/4", field("seventh"))}
	}
	chord, err := retune.OpenChordOf(g)
	if a.Chord != "" {
		chord, err = pitch.ParseChord(a.Chord)
	}
	if err != nil {
		return a, nil, told(err)
	}
	a.Chord = chord.String()
	t, err := retune.NewTuned(g, chord, pitch.Hz(a.Reference), a.Share, sevenths)
	return a, t, told(err)
}

var ways = map[string]retune.Way{"equal": retune.Equal, "just": retune.Just, "between": retune.Between}

// ToneOf returns what one string of a rig is tuned to, one way.
func ToneOf(t *retune.Tuned, g *rig.Rig, way string, str int) (pitch.Hz, error) {
	w, known := ways[way]
	if !known || str < 1 || str > len(g.Strings) {
		return 0, &fault.Fault{Msg: "there is no such string or way of tuning"}
	}
	// Low has the last string first.
	return t.Low(w)[len(g.Strings)-str], nil
}
