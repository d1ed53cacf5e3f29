package report

import (
	"encoding/json"

	"lapwright/sound"
)

// The forms in this file answer one page each.

// Text is a text that a page asked to have changed.
type Text struct {
	Text string `json:"text"`
}

// Said is what was found in a text, which is not kept for that.
type Said struct {
	Said []Fault `json:"said"`
}

// Words is a tab in plain words, in lines.
type Words struct {
	Words string `json:"words"`
}

// SheetPages is a sheet as it prints, each page as SVG.
type SheetPages struct {
	Pages []string `json:"pages"`
}

// Item is a revision of what is kept, from which a page goes on.
type Item struct {
	ID       string          `json:"id"`
	Revision int             `json:"revision"`
	Title    string          `json:"title"`
	Body     string          `json:"body"`
	Extra    json.RawMessage `json:"extra"` // the settings kept beside it
	CanUndo  bool            `json:"canUndo"`
	CanRedo  bool            `json:"canRedo"`
	Why      string          `json:"why"` // what was changed
}

// Refusal is the answer to what can't be done.
type Refusal struct {
	Error string `json:"error"` // a sentence or two
	// Current is the newest revision, when what was sent was made from an older one.
	Current int `json:"current,omitempty"`
}

// RigTitle is a rig as a list to choose from shows it.
type RigTitle struct {
	Ref   string `json:"ref"` // a built-in rig's name or an identity
	Title string `json:"title"`
}

// Ranked says how well a tune plays on one of a studio's rigs.
type Ranked struct {
	RigTitle
	Difficulty float64  `json:"difficulty"` // 0 to 10
	Score      float64  `json:"score"`      // points a note; what has less comes first
	Reasons    []string `json:"reasons"`
}

// Ranking is a studio's rigs, the one first on which a tune plays best.
type Ranking struct {
	Ranked []Ranked `json:"ranked"`
}

// TypedTab is what was found in tab text. Body, Wishes and Name, of the rig that it
// is for, keep it; they are left out when it can't be read.
type TypedTab struct {
	Said
	Body   string  `json:"body,omitempty"`
	Wishes *Wishes `json:"wishes,omitempty"`
	Name   string  `json:"name,omitempty"`
}

// BroughtTunes says what came of files with tunes: where they are now, or what is
// in them to choose from.
type BroughtTunes struct {
	Go    string        `json:"go,omitempty"` // the page to go to; "" when nothing is kept yet
	Count int           `json:"count"`
	Notes []string      `json:"notes"` // what was dropped or guessed
	Tunes []BroughtTune `json:"tunes,omitempty"`
}

// BroughtTune is one tune of a file, before it is kept.
type BroughtTune struct {
	Title string `json:"title"`
	About string `json:"about"` // its kind, key and length, in a few words
}

// BroughtTab says what came of a file with tab text: where it is now, or what is
// to be asked first.
type BroughtTab struct {
	Go       string     `json:"go,omitempty"`
	Rig      string     `json:"rig"` // "" when the text names none that is here
	Rigs     []RigTitle `json:"rigs"`
	Said     []Fault    `json:"said"`
	Readable bool       `json:"readable"`
}

// StringRow is one line of a rig's table of strings, as it is read by people.
type StringRow struct {
	Number  int    `json:"number"`
	Open    string `json:"open"`
	Gauge   string `json:"gauge"`
	Short   string `json:"short"` // the gauge as sets are written: "36w"
	Wire    string `json:"wire"`
	Tension string `json:"tension"`
	Share   string `json:"share"` // of breaking load, at the highest pitch its benders take it to
	Finding string `json:"finding"`
}

// CheckedRig is what was found in a rig's text; all but Said is left out when it
// can't be read.
type CheckedRig struct {
	Said
	Strings []StringRow `json:"strings,omitempty"` // string 1 first
	Load    string      `json:"load,omitempty"`
	Reasons []string    `json:"reasons,omitempty"`
	Title   string      `json:"title,omitempty"`
	Setup   *Setup      `json:"setup,omitempty"`
}

// GripNeck is what is needed to touch a rig's neck: the neck and its benders.
type GripNeck struct {
	Shown   Tab      `json:"shown"`
	Benders []Bender `json:"benders"`
}

// TouchedGrip is a touched grip as a page shows it.
type TouchedGrip struct {
	Names   []string        `json:"names"`  // of all of it, the likeliest first
	Within  []string        `json:"within"` // triads that sound inside it
	Notes   []Tone          `json:"notes"`  // string 1 first
	Words   string          `json:"words"`  // how the steel lies
	Missing []string        `json:"missing"`
	Steel   sound.SteelTime `json:"steel"`
	Stops   [][2]int        `json:"stops"` // string and nearest fret
	Body    string          `json:"body"`  // as it is kept
}

// Tone is one string of a touched grip, with the tone's place in the chord.
type Tone struct {
	String int    `json:"string"`
	Sounds string `json:"sounds"`
	Label  string `json:"label"`
}

// LessonJob says where to follow the making of a lesson, and which pins sleep.
type LessonJob struct {
	Progress string   `json:"progress"`
	File     string   `json:"file"`
	Cancel   string   `json:"cancel"`
	Asleep   []string `json:"asleep"`
}

// Progress says how far long work has come.
type Progress struct {
	Done  int    `json:"done"`
	Total int    `json:"total"`
	What  string `json:"what"`
	Ready bool   `json:"ready,omitempty"`
	Error string `json:"error,omitempty"`
}
