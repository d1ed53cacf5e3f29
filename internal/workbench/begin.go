package workbench

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/internal/studio"
	"lapwright/notation"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sound"
	"lapwright/tab"
	"lapwright/tune"
)

// BeginKeys and BeginMeters are what a new tune can be begun in; its text can say
// any other.
var (
	BeginKeys   = []string{"C", "G", "D", "A", "E", "B", "F", "Bb", "Eb", "Ab", "Am", "Em", "Bm", "F#m", "Dm", "Gm", "Cm", "Fm"}
	BeginMeters = []string{"4/4", "3/4", "2/4", "2/2", "6/8", "9/8", "12/8"}
)

// Begin returns a tune that has a head and no notes, to be written by touching the
// neck of the rig that ref names.
func Begin(title, key, meter, ref string, g *rig.Rig) (studio.Content, error) {
	var none studio.Content
	title = strings.Join(strings.Fields(title), " ")
	switch {
	case title == "" || len(title) > studio.MaxTitle:
		return none, &fault.Fault{Msg: fmt.Sprintf("a title of 1 to %d letters is needed", studio.MaxTitle)}
	case !slices.Contains(BeginKeys, key):
		return none, &fault.Fault{Msg: fmt.Sprintf("%q is not one of the keys to begin in", key)}
	case !slices.Contains(BeginMeters, meter):
		return none, &fault.Fault{Msg: fmt.Sprintf("%q is not one of the meters to begin in", meter)}
	}
	body, err := notation.Retitle("X:1\nM:"+meter+"\nL:1/8\nK:"+key+"\n", title)
	if err != nil {
		return none, err
	}
	// What is touched should sound as it was touched: the tune is not moved.
	as := 0
	extra, err := json.Marshal(report.TuneSettings{Rig: ref, Wishes: map[string]report.Wishes{g.Name: {Octave: &as}}})
	return studio.Content{Title: title, Body: body, Extra: extra}, err
}

// Blank reads a text that has a head and no notes yet: the tune with one bar of
// rest, or nil when the text has notes or can't be read.
func Blank(body string) *tune.Tune {
	t, _, err := ReadTune(strings.TrimRight(body, " \t\n") + "\nz\n")
	if err != nil {
		return nil
	}
	for i := range t.Bars {
		for _, line := range t.Bars[i].Lines {
			for j := range line {
				if line[j].Kind == tune.Sounding {
					return nil
				}
			}
		}
	}
	return t
}

// ShowBlank returns what a page is shown of a tune that has no notes yet.
func ShowBlank(t *tune.Tune, g *rig.Rig) *report.Placed {
	return &report.Placed{
		Blank: true, ScreenSheet: report.ScreenSheet{Pages: []string{}}, Shown: neckOf(&tab.Tab{Tune: t, Rig: g}),
		About: report.Summary{Rig: g.Name, Title: g.Title, Tuning: g.TuningText(), Key: t.Bars[0].Key.Pretty(), Capo: g.Capo.At, Capos: []report.CapoOffer{}, Compromises: []report.Compromise{}, Added: []report.Added{}, LeftOut: []report.LeftOut{}, Account: []string{}},
	}
}

// Neck returns what a page needs to touch a rig's neck.
func Neck(g *rig.Rig) report.Tab { return neckOf(&tab.Tab{Tune: &tune.Tune{}, Rig: g}) }

// neckOf shows a tab of no strokes.
func neckOf(t *tab.Tab) report.Tab {
	return report.TabOf(t, &sound.Timing{Bars: []sound.BarTime{}, Strokes: []sound.StrokeTime{}, Clicks: []sound.ClickTime{}, Steel: []sound.SteelTime{}})
}

// Touch is a touch of the neck that adds a note to a tune's text.
type Touch struct{ report.AskedNote }

// On returns the text with the note under the touch, spelled in the text's key.
func (t *Touch) On(g *rig.Rig) (string, error) {
	length, err := ticksOf(t.Length)
	if err != nil || t.String < 1 || t.String > len(g.Strings) || t.Fret < 0 || t.Fret > g.Frets || t.Higher < -3 || t.Higher > 3 {
		return "", &fault.Fault{Msg: "that is no place on this instrument"}
	}
	fifths := 0
	if read, _, err := ReadTune(t.Text); err == nil && len(read.Bars) > 0 {
		fifths = read.Bars[len(read.Bars)-1].Key.Fifths()
	}
	return notation.Append(t.Text, pitch.SpellKey(g.OpenKey(t.String, 0)+t.Fret+12*t.Higher, fifths), length)
}
