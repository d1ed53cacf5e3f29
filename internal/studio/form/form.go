package form

import (
	"encoding/json"
	"time"
)

// Revision is what a step may look at, and the two fields it may rewrite.
type Revision struct {
	Kind  string    // "rig", "grip", "tune", "lesson"
	Saved time.Time // when it was saved; never changed
	Body  string
	Extra json.RawMessage // a JSON object of settings
}

// step rewrites a revision from the form before into its own.
type step func(*Revision, *Rigs)

// steps are the changes of form in order: steps[0] leads from form 1 to form 2.
var steps = []step{
	words,  // ways of laying the steel by word, benders by letter
	grades, // grades in place of players, the plain touch for what is kept
}

// Now is the form in which things are kept today. The first was 1.
var Now = 1 + len(steps)

// Touches reports whether any step may rewrite items of a kind; others need not
// be read.
func Touches(kind string) bool { return kind == "grip" || kind == "tune" }

// Upcast brings a revision that was written in an earlier form into today's.
// rigs must know the rigs kept in the same studio.
func Upcast(from int, r *Revision, rigs *Rigs) {
	for _, s := range steps[min(max(from, 1)-1, len(steps)):] {
		s(r, rigs)
	}
}
