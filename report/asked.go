package report

import (
	"encoding/json"

	"lapwright/retune/form"
	"lapwright/rig"
)

// What the pages' scripts send. A ref names a rig: a built-in one by its name, one
// of the studio by its item.

// AskedChange is what is to be kept of an item; what is absent stays.
type AskedChange struct {
	Base  int             `json:"base"` // the revision that it was made from
	Title *string         `json:"title,omitempty"`
	Body  *string         `json:"body,omitempty"`
	Extra json.RawMessage `json:"extra,omitempty"`
	Why   string          `json:"why"`
}

// AskedStep is a move along an item's revisions.
type AskedStep struct {
	Base   int `json:"base"`             // the revision that it was made from
	Number int `json:"number,omitempty"` // the revision to restore
}

// AskedNote is a touch of the neck that adds a note to a tune's text.
type AskedNote struct {
	Text   string `json:"text"`
	Rig    string `json:"rig"` // a ref
	String int    `json:"string"`
	Fret   int    `json:"fret"`
	Length string `json:"length"` // a fraction of a whole note
	Higher int    `json:"higher"` // octaves above what the string sounds
}

// AskedText is a text of a page's editor.
type AskedText struct {
	Text string `json:"text"`
	Rig  string `json:"rig,omitempty"` // a ref, of a tab's rig
}

// AskedFile is a dropped file of tab text.
type AskedFile struct {
	Name string `json:"name"`
	Text string `json:"text"`
	Rig  string `json:"rig"`  // a ref; "" for the rig that the text names
	Keep bool   `json:"keep"` // although there are guesses
}

// AskedGrip is a grip that was touched on a rig's neck.
type AskedGrip struct {
	Rig     string        `json:"rig"`     // a ref
	Stops   string        `json:"stops"`   // "1:5, 2:5, 3:4"
	Benders rig.BenderSet `json:"benders"` // a bit a bender, the first lowest
}

// AskedRigEdit changes one string, or all beside the strings, in a rig's text.
type AskedRigEdit struct {
	Text   string      `json:"text"`
	String *StringEdit `json:"string,omitempty"`
	Setup  *Setup      `json:"setup,omitempty"`
}

// AskedInstrument is a form for an instrument as somebody has filled it in.
type AskedInstrument struct {
	Title   string `json:"title"`
	Body    string `json:"body"`
	Scale   string `json:"scale"`
	Strings string `json:"strings"` // how many
	Tuning  string `json:"tuning"`  // low to high
	Gauges  string `json:"gauges"`
	Capo    string `json:"capo"`    // the highest fret of a sliding capo; "clamp 7" for one that clamps on
	Benders string `json:"benders"` // one a line
}

// Form returns it as the room that reads such forms takes it.
func (a *AskedInstrument) Form() *form.Instrument {
	return &form.Instrument{Title: a.Title, Body: a.Body, Scale: a.Scale, Strings: a.Strings, Tuning: a.Tuning, Gauges: a.Gauges, Capo: a.Capo, Benders: a.Benders}
}
