package form

import "encoding/json"

// levels are the players of form 2, with what form 3 says for each. The whole tune is
// kept, as it was.
var levels = map[string]struct {
	grade string
	whole bool
}{
	"first-year": {"first", true}, "first year": {"first", true}, "steady": {"", false}, "seasoned": {"third", false},
}

// grades leads from form 2 to form 3. In form 2 the wishes for a rig named a player's
// level, and who named no touch had every note plucked. In form 3 they name a grade, with
// which outlines, touches and harmony go; so that no sheet changes unasked, tunes that
// are kept have the plain touch, the whole tune and the harmony that they had.
func grades(r *Revision, _ *Rigs) {
	if r.Kind != "tune" {
		return
	}
	all := map[string]json.RawMessage{}
	if len(r.Extra) > 0 && json.Unmarshal(r.Extra, &all) != nil || all == nil {
		return
	}
	if all["touch"] == nil {
		all["touch"] = encode("plain")
	}
	var wishes map[string]json.RawMessage
	if json.Unmarshal(all["wishes"], &wishes) == nil {
		for rig, raw := range wishes {
			var wish map[string]json.RawMessage
			var level string
			if json.Unmarshal(raw, &wish) != nil || json.Unmarshal(wish["level"], &level) != nil {
				continue
			}
			now, known := levels[level]
			if !known {
				continue
			}
			delete(wish, "level")
			if now.grade != "" {
				wish["grade"] = encode(now.grade)
			}
			if now.whole {
				wish["whole"] = encode(true)
			}
			if now.grade == "third" && wish["harmony"] == nil {
				wish["harmony"] = encode("none")
			}
			wishes[rig] = encode(wish)
		}
		all["wishes"] = encode(wishes)
	}
	r.Extra = encode(all)
}
