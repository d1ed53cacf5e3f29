package form

import (
	"slices"
	"time"

	"lapwright/rig/toml"
)

// Rigs knows which letters the benders of a studio's rigs had, and when.
type Rigs struct {
	byRef map[string][]rigState
}

// rigState is one revision of a rig.
type rigState struct {
	saved   time.Time
	letters []string // by the place of the bender in the rig
}

// builtinLetters are the letters of the built-in rigs with benders, as they
// were while benders were kept by their place (form 1).
var builtinLetters = map[string][]string{
	"bender-open-d": {"A", "B"},
	"pedal10-e9":    {"A", "B", "C", "F", "E", "G", "D"},
}

// Note takes in one revision of a rig: the identity of its item and its text,
// in whatever form. A text that can't be read is passed over.
func (r *Rigs) Note(id string, saved time.Time, body string) {
	file, err := toml.Read([]byte(body))
	if err != nil {
		return
	}
	state := rigState{saved: saved}
	benders, _ := file.Root["bender"].([]any)
	for _, b := range benders {
		bender, _ := b.(map[string]any)
		mark, _ := bender["mark"].(string)
		state.letters = append(state.letters, mark)
	}
	if r.byRef == nil {
		r.byRef = map[string][]rigState{}
	}
	name, _ := file.Root["name"].(string)
	refs := []string{id}
	if _, taken := builtinLetters[name]; !taken && name != "" {
		refs = append(refs, name)
	}
	for _, ref := range refs {
		list := r.byRef[ref]
		at, _ := slices.BinarySearchFunc(list, state, func(a, b rigState) int {
			if a.saved.After(b.saved) {
				return 1
			}
			return -1 // what was saved at the same moment stays in the order of noting
		})
		r.byRef[ref] = slices.Insert(list, at, state)
	}
}

// letters returns the letters that a rig's benders had at a moment: those of its
// revision saved last before it, or of its first one. ref is the identity of
// the rig's item or the name in its text.
func (r *Rigs) letters(ref string, at time.Time) []string {
	if l, ok := builtinLetters[ref]; ok {
		return l
	}
	var out []string
	for i, s := range r.byRef[ref] {
		if i > 0 && s.saved.After(at) {
			break
		}
		out = s.letters
	}
	return out
}
