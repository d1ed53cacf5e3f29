package report

// KeptTake is a student's recording as the studio keeps it: what was played, on what and
// by whom, where its sound lies, what the ear made of it, and what the teacher said.
type KeptTake struct {
	Tune         string     `json:"tune"`         // its item
	TuneRevision int        `json:"tuneRevision"` // that was played
	Rig          string     `json:"rig"`          // a ref
	RigText      string     `json:"rigText"`      // the instrument as it was
	Player       string     `json:"player"`       // a first name, or none
	Played       string     `json:"played"`       // when it came, RFC 3339
	Tuned        string     `json:"tuned"`        // how the open strings were meant to be: equal, just or between
	Sound        string     `json:"sound"`        // its sum; "" when it was cleared
	Seconds      float64    `json:"seconds"`
	Said         []TakeNote `json:"said"` // by the teacher
	Review       Review     `json:"review"`
	// Tab is the exact tab text that was played, where it came with the take's file and not from
	// the tune as it is placed here.
	Tab string `json:"tab,omitempty"`
	// Along is what was sounded while it was recorded; nil for nothing.
	Along *Along `json:"along,omitempty"`
}

// TakeNote is what a teacher said about one note of a take.
type TakeNote struct {
	At     string `json:"at"` // of a whole note, from the tune's start, repeats unfolded
	String int    `json:"string"`
	Right  bool   `json:"right"` // it was right as it was played
	Word   string `json:"word"`
}

// AskedTakeNote is what a teacher says about one note of a take.
type AskedTakeNote struct {
	Base int `json:"base"` // the revision that it was said of
	Note int `json:"note"` // index into the review's notes
	TakeNote
}

// BroughtTake says where a take that was brought is shown.
type BroughtTake struct {
	Go string `json:"go"`
}

// TakeFigures are how far off the notes of one take were: medians without sign of what is sure,
// null where nothing was told.
type TakeFigures struct {
	Label   string     `json:"label"`   // such as its day
	Wanted  int        `json:"wanted"`  // notes
	Played  int        `json:"played"`  // of them
	Cents   *float64   `json:"cents"`   // from the pitch, or the just chord when that is nearer
	Late    *float64   `json:"late"`    // milliseconds out of time, early or late
	Against string     `json:"against"` // what that is against, as in Review; "" before that was told: the player's own tempo
	Tempo   *float64   `json:"tempo"`   // quarters a minute
	Strings []*float64 `json:"strings"` // cents by string, string 1 first
	Regions []*float64 `json:"regions"` // cents by region of the neck, from the nut up
}

// TakesCompared is takes of one tab side by side, in the order given.
type TakesCompared struct {
	Takes   []TakeLine `json:"takes"`
	Picture string     `json:"picture"` // how strings and regions went from take to take, as SVG; "" of fewer than two that could be judged
}

// TakeLine is one take's figures in words; what was not told is "".
type TakeLine struct {
	Judged bool   `json:"judged"`
	Notes  string `json:"notes"` // played, of those wanted
	Off    string `json:"off"`
	Late   string `json:"late"`
	Tempo  string `json:"tempo"` // quarters a minute
}

// HeardTake is what a take did against a tab, told and drawn for a page.
type HeardTake struct {
	Review  Review       `json:"review"`
	Refused string       `json:"refused,omitempty"` // why it can't be judged; what stands below is then empty
	Summary string       `json:"summary"`
	Strings string       `json:"strings"`         // how they are tuned
	Told    []string     `json:"told"`            // each of the review's notes in a line
	Sheet   *ScreenSheet `json:"sheet,omitempty"` // with a lane over each line; there unless refused
	Marks   []TakeMark   `json:"marks"`
	Drills  []string     `json:"drills"`            // what the exercise of each of the review's pieces of advice is, in a line; "" for none
	Caution string       `json:"caution,omitempty"` // that stands with exercises
	Figures TakeFigures  `json:"figures"`
}

// TakeMark is a mark that can stand in a lane.
type TakeMark struct {
	Mark  string `json:"mark"`  // a letter of the same shape
	Class string `json:"class"` // of its colour: tune, sharp, flat, wrong or ""
	Means string `json:"means"`
}

// SavedTake is what a student's page says of a take that it saves as a file: docs/formats/take.md.
type SavedTake struct {
	Version int     `json:"version"`
	Lesson  string  `json:"lesson"`         // digests: of all that the page carries,
	Block   string  `json:"block"`          // of the tune,
	Tab     string  `json:"tab"`            // and of the exact tab text
	Rig     string  `json:"rig"`            // the instrument's file
	Tuned   string  `json:"tuned"`          // how its open strings are meant to be: equal, just or between
	Bars    *[2]int `json:"bars,omitempty"` // the first and last that were looped, as numbered; absent for all
	Speed   int     `json:"speed"`          // per cent of the written tempo
	Grade   string  `json:"grade"`
	Day     string  `json:"day"`             // 2026-11-30
	Name    string  `json:"name,omitempty"`  // the player's, only if typed
	Along   *Along  `json:"along,omitempty"` // what was sounded while it was recorded; absent for nothing
}
