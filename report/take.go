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
