package report

import (
	"fmt"
	"math"

	"lapwright/pitch"
	"lapwright/sound"
	"lapwright/sound/band"
	"lapwright/steel"
	"lapwright/tab"
)

// Tab is a tab as a page follows it while it sounds.
type Tab struct {
	Rig     string        `json:"rig"`
	Title   string        `json:"title"`
	Part    string        `json:"part,omitempty"` // "backup" for what accompanies, "" for the tune
	Timing  *sound.Timing `json:"timing"`
	Strokes []Stroke      `json:"strokes"` // as Timing counts them
	Neck    Neck          `json:"neck"`
	// Drone is what a drone of tonic and fifth holds, in hertz, the tonic first: of the key that the tune begins in.
	Drone []float64 `json:"drone"`
	// Band tells that a band can play along: there are chord symbols, and a beat.
	Band bool `json:"band,omitempty"`
}

// Stroke is one stroke of the tab.
type Stroke struct {
	BarIndex int     `json:"bar"` // index into the tune's bars
	At       string  `json:"at"`  // from the start of the bar, a fraction of a whole note
	Kind     string  `json:"kind"`
	Plucks   []Pluck `json:"plucks"`
	// Benders are the letters of those that are engaged.
	Benders []string `json:"benders,omitempty"`
}

// Pluck is one note of a stroke.
type Pluck struct {
	String int     `json:"string"`
	Fret   float64 `json:"fret"`
	Sounds string  `json:"sounds"`
}

// Neck is what the picture of the neck needs.
type Neck struct {
	Open  []string  `json:"open"` // what the strings are tuned to, without a capo; string 1 first
	Hz    []float64 `json:"hz"`   // the same as frequencies, to a hundredth
	Frets int       `json:"frets"`
	Capo  int       `json:"capo,omitempty"` // the fret at which the capo is; tabs count from it
	// Benders are the instrument's palm levers, pedals and knee levers.
	Benders []NeckBender `json:"benders,omitempty"`
}

// NeckBender is one of an instrument's benders.
type NeckBender struct {
	Mark string `json:"mark"` // the letter after a fret number
	Name string `json:"name"` // "palm 1"
}

// TabOf returns a tab as a page follows it; a tab of no strokes shows its neck.
func TabOf(t *tab.Tab, timing *sound.Timing) Tab {
	out := Tab{Rig: t.Rig.Name, Title: t.Rig.Title, Timing: timing, Strokes: []Stroke{}, Drone: []float64{}, Band: band.Plays(t.Tune)}
	if len(t.Tune.Bars) > 0 {
		for _, hz := range band.Hold(t.Tune.Bars[0].Key.Tonic, band.TonicFifth, t.Rig.Reference) {
			out.Drone = append(out.Drone, hertz(hz))
		}
	}
	for _, n := range t.Rig.TunedNames() {
		out.Neck.Open = append(out.Neck.Open, n.String())
	}
	for _, x := range t.Rig.Strings {
		out.Neck.Hz = append(out.Neck.Hz, math.Round(100*float64(pitch.Equal(float64(x.Open.Key()), t.Rig.Reference)))/100)
	}
	out.Neck.Frets, out.Neck.Capo = t.Rig.Frets, t.Rig.Capo.At
	for _, b := range t.Rig.Benders {
		out.Neck.Benders = append(out.Neck.Benders, NeckBender{b.Mark, b.Name})
	}
	g := steel.New(t.Rig)
	for i := range t.Strokes {
		s := &t.Strokes[i]
		st := Stroke{BarIndex: s.BarIndex, At: s.At.String(), Kind: s.Placement.Kind.String(), Plucks: []Pluck{}}
		for j, b := range t.Rig.Benders {
			if s.Benders.Has(j) {
				st.Benders = append(st.Benders, b.Mark)
			}
		}
		fifths := t.Tune.Bars[s.BarIndex].Key.Fifths()
		for j := range s.Plucks {
			p := &s.Plucks[j]
			st.Plucks = append(st.Plucks, Pluck{p.String, p.Fret, soundsAs(tab.Key(g, s, p), fifths)})
		}
		out.Strokes = append(out.Strokes, st)
	}
	return out
}

// soundsAs names a key number that may lie between two keys: "F#4", "F#4 +12"
// for 12 cents above it.
func soundsAs(key float64, fifths int) string {
	whole := math.Round(key)
	name := pitch.SpellKey(int(whole), fifths).String()
	if cents := math.Round(100 * (key - whole)); cents != 0 {
		name += fmt.Sprintf(" %+.0f", cents)
	}
	return name
}

// ScreenSheet is a sheet as screens show it, in SVG.
type ScreenSheet struct {
	Pages  []string `json:"pages"`
	Narrow string   `json:"narrow"` // for a narrow screen, in one piece
}

// Placed is a tune placed on a rig, as the workbench draws it.
type Placed struct {
	// Blank tells that the tune has no notes yet: only its neck is shown.
	Blank bool `json:"blank,omitempty"`
	// Revision is the one that is shown; Trouble tells why it is not the one that
	// was asked for.
	Revision int    `json:"revision,omitempty"`
	Trouble  string `json:"trouble,omitempty"`
	Shown    Tab    `json:"shown"`
	ScreenSheet
	About Summary `json:"about"`
	// Asleep are the pins that need what the rig has no more, in words.
	Asleep []string `json:"asleep,omitempty"`
}
