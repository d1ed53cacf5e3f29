package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"lapwright/arrange"
	"lapwright/listen"
	"lapwright/notation/tabtext"
	"lapwright/report"
	"lapwright/rig"
	"lapwright/sheet"
	"lapwright/tab"
	"lapwright/tune"
)

// Version is the form of what a page carries.
const Version = 1

// Lesson is a lesson that a page carries. The teacher's own tabs stay as the page
// carries them, as text: a question about one brings it along. The zero Lesson carries none, as a page of the
// workbench does, and answers all but "place".
type Lesson struct {
	Tune   *tune.Tune
	wishes arrange.Options

	steel    *listen.Steel // of the tab that was asked of last, and what that was
	steelTab *tab.Tab
	steelOf  [3]string // rig, tab and tuning
}

// Part is a tab that a page shows, and how its sheet is drawn: of the options the
// layout and the order of strings.
type Part struct {
	Tab   *tab.Tab
	Sheet sheet.Options
	Gain  float64 // decibels by which the lead is turned up
}

// Carry returns what the page of a lesson carries: its tune, the wishes that hold
// for instruments the teacher did not think of, and the tabs as they were made.
// Tabs that tab text can't hold exactly are an error, since the page would show
// another than the teacher's.
// digest names the tune as TuneBytes writes it.
func Carry(t *tune.Tune, o arrange.Options, parts []Part, digest func([]byte) string) ([]byte, error) {
	b, err := TuneBytes(t)
	if err != nil {
		return nil, err
	}
	c := report.Carried{Version: Version, Tune: t, Block: digest(b), Wishes: WishesOf(o), Instruments: []report.CarriedTab{}}
	for _, p := range parts {
		c.Instruments = append(c.Instruments, CarriedTab(p))
	}
	return json.Marshal(c)
}

// CarriedTab returns a tab as a page carries it and asks about it.
func CarriedTab(p Part) report.CarriedTab {
	// The tab's rig has its capo placed, which its file says too.
	return report.CarriedTab{
		Rig: string(rig.Format(p.Tab.Rig)), Tab: string(tabtext.Format(p.Tab)), Layout: string(p.Sheet.Layout), StringOneLow: p.Sheet.StringOneLow, LeftHanded: p.Sheet.LeftHanded, Gain: math.Round(100*p.Gain) / 100,
	}
}

// TuneBytes writes a tune as a page carries it.
func TuneBytes(t *tune.Tune) ([]byte, error) { return json.Marshal(t) }

// Open reads what a page carries.
func Open(b []byte) (*Lesson, error) {
	var c report.Carried
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		return nil, fmt.Errorf("what the page carries can't be read: %w", err)
	}
	if c.Version != Version {
		return nil, fmt.Errorf("what the page carries is of form %d, and this can read form %d", c.Version, Version)
	}
	if c.Tune == nil {
		return nil, fmt.Errorf("the page carries no tune")
	}
	if bad := c.Tune.Check(); len(bad) > 0 {
		return nil, bad
	}
	o, err := Options(c.Wishes)
	if err != nil {
		return nil, err
	}
	return &Lesson{Tune: c.Tune, wishes: o}, nil
}

// readTab reads an instrument's file and a tab for it.
func readTab(instrument, text string) (*tab.Tab, error) {
	r, err := rig.Parse([]byte(instrument), "instrument")
	if err != nil {
		return nil, err
	}
	t, _, err := tabtext.Parse([]byte(text), "tab", r)
	return t, err
}
