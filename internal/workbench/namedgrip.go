package workbench

import (
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/grip"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/steel"
)

// NameGrip says what strings of a rig stopped at frets sound ("1:5, 2:5, 3:4",
// with some benders engaged), and how the steel lies.
func NameGrip(g *rig.Rig, ref, stops string, benders rig.BenderSet) (*report.TouchedGrip, error) {
	if int(benders)>>len(g.Benders) != 0 {
		return nil, &fault.Fault{Msg: "there is no such bender"}
	}
	at, set, err := grip.ParseStops(g, stops)
	if err != nil {
		return nil, told(err)
	}
	named, err := grip.Name(g, at, set|benders)
	if err != nil {
		return nil, told(err)
	}
	p := named.Placement
	b := &Grip{Ref: ref, Rig: g, Placement: p, Benders: named.Benders, Want: wantOf(named)}
	out := &report.TouchedGrip{
		Names: prettyChords(named.Chords), Within: prettyChords(named.Within), Missing: append([]string{}, named.Missing...), Words: lies(b),
		Steel: sound.SteelAt(steel.New(g), 0, p),
	}
	for _, note := range named.Notes {
		b.Strings = append(b.Strings, note.String)
		out.Notes = append(out.Notes, report.Tone{String: note.String, Sounds: note.Name.Pretty(), Label: note.Label})
		out.Stops = append(out.Stops, [2]int{note.String, int(note.Fret + 0.5)})
	}
	out.Body, err = b.Text()
	return out, err
}

// wantOf returns what a touched grip is kept as: its likeliest chord. One that
// makes no chord goes by its notes, low to high.
func wantOf(n grip.Named) string {
	if len(n.Chords) > 0 {
		return n.Chords[0].String()
	}
	var low []pitch.Name
	for _, note := range n.Notes {
		low = append(low, note.Name)
	}
	slices.SortFunc(low, func(x, y pitch.Name) int { return x.Key() - y.Key() })
	var texts []string
	for _, name := range low {
		texts = append(texts, name.String())
	}
	return strings.Join(texts, " ")
}

func prettyChords(list []pitch.Chord) []string {
	out := []string{}
	for _, c := range list {
		out = append(out, c.Pretty())
	}
	return out
}
