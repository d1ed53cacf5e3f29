package report

import (
	"lapwright/rig"
	"lapwright/tune"
)

// Carried is what a lesson's page carries: docs/formats/page.md describes it.
type Carried struct {
	Version     int          `json:"version"`
	Tune        *tune.Tune   `json:"tune"`
	Block       string       `json:"block"`  // the tune's digest
	Wishes      Wishes       `json:"wishes"` // for any instrument
	Instruments []CarriedTab `json:"instruments"`
}

// CarriedTab is a lesson for one instrument as the teacher has it.
type CarriedTab struct {
	Rig    string `json:"rig"` // the instrument's file
	Tab    string `json:"tab"` // as exact tab text
	Layout string `json:"layout,omitempty"`
	// StringOneLow tells that the teacher's sheet has string 1 at the bottom.
	StringOneLow bool `json:"stringOneLow,omitempty"`
	// LeftHanded tells that its pictures of necks have the nut to the right.
	LeftHanded bool    `json:"leftHanded,omitempty"`
	Gain       float64 `json:"gain"` // by how many decibels it is turned up when it is sounded
}

// Asked is one question of a page to the core that runs in it: of a lesson's page, or of one of the workbench.
type Asked struct {
	// What is "instruments", "instrument", "form", "place", "sheet", "review", "takes", "strings", "now",
	// "landing", "delay" or "steel".
	What string `json:"what"`
	// Form is an instrument as somebody describes it, for "form", which is answered
	// as "instrument" is.
	Form *AskedInstrument `json:"form,omitempty"`
	// Rig is an instrument's file, for all but "instruments", "form" and "takes".
	Rig string `json:"rig,omitempty"`
	// Tab is exact tab text for that instrument, for "sheet", "review", "now" and "steel".
	Tab string `json:"tab,omitempty"`
	// Layout is that of a sheet, "" the usual one; StringOneLow draws string 1 at its
	// bottom, LeftHanded its pictures of necks with the nut to the right. For "place"
	// and "sheet".
	Layout       string `json:"layout,omitempty"`
	StringOneLow bool   `json:"stringOneLow,omitempty"`
	LeftHanded   bool   `json:"leftHanded,omitempty"`
	// Window is "wide" or "narrow" where the sheet is wanted for such a window alone: the other has no drawings. For
	// "place" and "sheet".
	Window string `json:"window,omitempty"`
	// Tuned says how the instrument is tuned, for "review", "strings" and "now": "equal",
	// "just" or "between".
	Tuned string `json:"tuned,omitempty"`
	// String and Fret are where the steel is to land, for "landing".
	String int `json:"string,omitempty"`
	Fret   int `json:"fret,omitempty"`
	// Glides are how many times as long as usual glides take, and Speed what the tempo is scaled by, for "steel": a list of
	// SteelTime.
	Glides float64 `json:"glides,omitempty"`
	Speed  float64 `json:"speed,omitempty"`
	// Stroke is which of the tab's strokes is to sound, from 0, for "now": its places come before others.
	Stroke *int `json:"stroke,omitempty"`
	// Takes are takes of one tab, the oldest first, for "takes", which needs no instrument.
	Takes []TakeFigures `json:"takes,omitempty"`
	// Along is what was sounded while a take was recorded, for "review".
	Along *Along `json:"along,omitempty"`
}

// Refused is the answer where there is no other: what is wrong with the question.
type Refused struct {
	Faults []Fault `json:"faults"`
}

// Instruments are the built-in instruments that a player can choose.
type Instruments struct {
	Instruments []InstrumentFile `json:"instruments"`
	Bodies      []string         `json:"bodies"`  // the kinds that a form can be of
	Tunings     []NamedTuning    `json:"tunings"` // the usual ones
}

// NamedTuning is a tuning that has a name.
type NamedTuning struct {
	Title string `json:"title"`
	Text  string `json:"text"` // low to high
}

// InstrumentFile is an instrument that can be played on, with its file.
type InstrumentFile struct {
	Title  string `json:"title"`
	Tuning string `json:"tuning"` // low to high
	Rig    string `json:"rig"`    // the file
}

// CheckedInstrument is what is said of an instrument before a tune is placed on
// it. Safety stands first: what its strings ask of it.
type CheckedInstrument struct {
	InstrumentFile
	Finding rig.Finding `json:"finding"` // of the load and of every string; fine where the gauges are not known
	Reasons []string    `json:"reasons"`
	Caution string      `json:"caution"` // the usual one, where Finding is not fine
	Doubts  []Fault     `json:"doubts"`  // what looks like a slip in the file
	Strings []StringRow `json:"strings"` // string 1 first; none where the gauges are not known
	Load    string      `json:"load"`    // of all strings together; "" where the gauges are not known
}

// Where is a place in a piece as it sounds.
type Where struct {
	Pass int     `json:"pass"` // index into the bars in sounding order
	Past float64 `json:"past"` // seconds from its start, at the written tempo
}

// Wished says what of a piece a page wants to hear, and how.
type Wished struct {
	Rig   string  `json:"rig"`   // an instrument's file
	Tab   string  `json:"tab"`   // exact tab text for it
	Speed float64 `json:"speed"` // scales the tempo
	Where
	Loop *[2]int  `json:"loop,omitempty"` // passes that come round, the last not included
	Gain *float64 `json:"gain,omitempty"` // by how many decibels the lead is turned up; left out it is foretold
	// Phrases are rows of passes, the last not included, of which each is played and then left to the student; with
	// them Where and Loop count the passes of what comes of it.
	Phrases [][2]int `json:"phrases,omitempty"`
	Glides  float64  `json:"glides,omitempty"` // how many times as long as usual glides take
	Band    bool     `json:"band,omitempty"`   // a band plays along, in a part of its own
}

// InWords is a tab in words: what it is, then a line a written bar.
type InWords struct {
	Head []string `json:"head"`
	Bars []string `json:"bars"`
}

// OnInstrument is the lesson's tune on an instrument that the page was not made
// for.
type OnInstrument struct {
	Placed  Placed  `json:"placed"`
	InWords InWords `json:"inWords"`
	Rig     string  `json:"rig"` // the instrument's file, its capo placed
	Tab     string  `json:"tab"` // as exact tab text
}

// Landing is where the steel lies against the place that it was to land on.
type Landing struct {
	Cents  *float64 `json:"cents"`  // sharp is positive; null when nothing sounds near the wanted pitch
	MM     *float64 `json:"mm"`     // along the string, positive towards the bridge
	Steady bool     `json:"steady"` // it has come to rest there
}

// LandingOf returns a figure of each as far as it is worth telling.
func LandingOf(cents, mm float64, steady bool) *Landing {
	return &Landing{Cents: known(cents, 1), MM: known(mm, 2), Steady: steady}
}
