package report

import (
	"lapwright/arrange"
	"lapwright/rig"
	"lapwright/sheet"
)

// TuneSettings is what is kept beside a tune's text: how it is shown and played.
type TuneSettings struct {
	Rig    string `json:"rig,omitempty"`    // shown last
	Beside string `json:"beside,omitempty"` // shown beside it
	Tempo  int    `json:"tempo,omitempty"`  // beats a minute in place of the tune's own; 0 leaves it
	Touch  string `json:"touch,omitempty"`  // for rigs whose wishes name none; tunes kept before there were grades have plain
	// Intro, Turnaround and Ending are phrases set around the tune: a name, "any" or "" for
	// none. Pins go by the numbers that bars have without an intro.
	Intro      string            `json:"intro,omitempty"`
	Turnaround string            `json:"turnaround,omitempty"`
	Ending     string            `json:"ending,omitempty"`
	Wishes     map[string]Wishes `json:"wishes,omitempty"` // for each rig, by its name
}

// Wishes is what is asked of the tab on one rig; what is absent is left free.
type Wishes struct {
	Key     string `json:"key,omitempty"` // tonic
	Octave  *int   `json:"octave,omitempty"`
	Grade   string `json:"grade,omitempty"` // first, second or third; "" is second
	Whole   bool   `json:"whole,omitempty"` // no outline in the first grade
	Closed  bool   `json:"closed,omitempty"`
	Square  bool   `json:"square,omitempty"`
	Vibrato bool   `json:"vibrato,omitempty"` // marked on long stopped notes
	Touch   string `json:"touch,omitempty"`   // plain, light, full, or graded: as the grade has it; "" is TuneSettings.Touch
	Capo    *int   `json:"capo,omitempty"`    // fret, 0 is off
	Harmony string `json:"harmony,omitempty"` // none, thirds, sixths, chord or full; "" is as the grade has it
	Pins    []Pin  `json:"pins,omitempty"`
	// Part is "backup" for what accompanies in place of the tune, in the feel named; ""
	// is the tune, and the usual feel.
	Part string `json:"part,omitempty"`
	Feel string `json:"feel,omitempty"`
}

// Pin is a choice that was made for one moment.
type Pin struct {
	Bar     int       `json:"bar"`  // as printed where no intro stands before the tune
	At      string    `json:"at"`   // from the start of the bar, a fraction of a whole note
	Grip    [][2]int  `json:"grip"` // strings and frets
	Benders *[]string `json:"benders,omitempty"`
	Words   string    `json:"words"`
	Whole   bool      `json:"whole,omitempty"` // every string of Grip is in use
	// In is the key, octave and capo that it was made in and holds in; pins of older
	// studios have none and hold in all.
	In *PinSetting `json:"in,omitempty"`
}

// PinSetting is the key and octave, in semitones from the tune's own, and the
// capo's fret that a pin was made in.
type PinSetting struct {
	Semitones int `json:"semitones"`
	Capo      int `json:"capo"`
}

// MomentWay is one way to play a moment.
type MomentWay struct {
	Words string  `json:"words"` // "string 2 at fret 5"
	Extra float64 `json:"extra"` // points more than the cheapest way
	Now   bool    `json:"now"`   // it is part of the cheapest way
}

// MomentWayOf returns the form of a choice.
func MomentWayOf(c *arrange.Choice) MomentWay { return MomentWay{c.Words, points(c.Extra), c.Now} }

// Choice is one way to play a moment, as a page takes it.
type Choice struct {
	MomentWay
	Pin    Pin  `json:"pin"`    // what to pin to have it
	Pinned bool `json:"pinned"` // it is what is pinned there
}

// Choices is what could be played at one place of a tab.
type Choices struct {
	Bar     int      `json:"bar"` // as printed
	At      string   `json:"at"`
	Before  int      `json:"before,omitempty"` // by how much an intro makes the bars' numbers higher than those of pins
	Choices []Choice `json:"choices"`          // the cheapest first
}

// LessonPlan is what a lesson is made from, as it is kept.
type LessonPlan struct {
	Tune  string   `json:"tune"` // identity of the tune's item
	Rigs  []string `json:"rigs"` // built-in names or identities
	Words string   `json:"words"`
	Paper string   `json:"paper,omitempty"` // "" is A4
	// Layout is which parts its sheets have; "" is staff over tablature.
	Layout sheet.Layout `json:"layout,omitempty"`
	// StringOneLow and LeftHanded turn its sheets and their pictures of necks.
	StringOneLow bool `json:"stringOneLow,omitempty"`
	LeftHanded   bool `json:"leftHanded,omitempty"`
	// Backup sets what accompanies beside the tune on each instrument.
	Backup bool `json:"backup,omitempty"`
}

// Setup is what a rig's page edits beside the strings.
type Setup struct {
	Body    rig.Body `json:"body"`
	Capo    Capo     `json:"capo"`
	Benders []Bender `json:"benders"`
}

// Capo is a rig's capo, in frets from the nut.
type Capo struct {
	Clamp   bool `json:"clamp"`   // it clamps on; else it slides
	Highest int  `json:"highest"` // 0 when the rig has none
	At      int  `json:"at"`      // 0 when it is off
}

// Bender is one bender as a row of the page's table.
type Bender struct {
	Name string         `json:"name"`
	Mark string         `json:"mark"`
	Kind rig.BenderKind `json:"kind"`
	// Moves has one figure for each string, string 1 first: semitones up, 0 for
	// a string that stays.
	Moves []int `json:"moves"`
}

// SetupOf returns what a rig is beside its strings.
func SetupOf(r *rig.Rig) *Setup {
	out := &Setup{Body: r.Body, Capo: Capo(r.Capo), Benders: []Bender{}}
	for _, b := range r.Benders {
		v := Bender{b.Name, b.Mark, b.Kind, make([]int, len(r.Strings))}
		for _, m := range b.Moves {
			v.Moves[m.String-1] = m.Semitones
		}
		out.Benders = append(out.Benders, v)
	}
	return out
}

// StringEdit is what a rig's page edits of one string.
type StringEdit struct {
	Number int    `json:"number"`
	Open   string `json:"open"` // what it is tuned to, without the capo
	Gauge  string `json:"gauge"`
}
