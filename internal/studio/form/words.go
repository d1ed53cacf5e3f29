package form

import (
	"encoding/json"
	"fmt"
	"time"
)

// kindWords are the ways of laying the steel by the numbers of form 1.
var kindWords = []string{"open", "straight", "forward slant", "reverse slant", "split", "nose"}

// words leads from form 1 to form 2. In form 1 a grip kept its placement under
// the code's own names with the way of laying the steel as a number, and
// benders were a number whose bit i was the rig's bender i. In form 2 the way
// is a word and benders are a list of letters.
func words(r *Revision, rigs *Rigs) {
	switch r.Kind {
	case "grip":
		r.Body = gripWords(r.Body, r.Saved, rigs)
	case "tune":
		r.Extra = pinWords(r.Extra, r.Saved, rigs)
	}
}

func gripWords(body string, saved time.Time, rigs *Rigs) string {
	var old struct {
		Rig       string `json:"rig"`
		Want      string `json:"want"`
		Placement *struct {
			Kind                *int
			First, Last         int
			FirstFret, LastFret float64
		} `json:"placement"`
		Benders uint16 `json:"benders"`
		Strings []int  `json:"strings"`
	}
	if json.Unmarshal([]byte(body), &old) != nil || old.Placement == nil || old.Placement.Kind == nil ||
		*old.Placement.Kind < 0 || *old.Placement.Kind >= len(kindWords) {
		return body
	}
	type placement struct {
		Kind      string  `json:"kind"`
		First     int     `json:"first,omitempty"`
		Last      int     `json:"last,omitempty"`
		FirstFret float64 `json:"firstFret,omitempty"`
		LastFret  float64 `json:"lastFret,omitempty"`
	}
	p := old.Placement
	out, err := json.Marshal(struct {
		Rig       string    `json:"rig"`
		Want      string    `json:"want"`
		Placement placement `json:"placement"`
		Benders   []string  `json:"benders,omitempty"`
		Strings   []int     `json:"strings"`
	}{old.Rig, old.Want, placement{kindWords[*p.Kind], p.First, p.Last, p.FirstFret, p.LastFret}, letters(old.Benders, rigs.letters(old.Rig, saved)), old.Strings})
	if err != nil {
		return body
	}
	return string(out)
}

// pinWords rewrites the benders of every pin in a tune's settings and leaves
// all else as it is, keys that are not known here included.
func pinWords(extra json.RawMessage, saved time.Time, rigs *Rigs) json.RawMessage {
	var all, wishes map[string]json.RawMessage
	if json.Unmarshal(extra, &all) != nil || json.Unmarshal(all["wishes"], &wishes) != nil {
		return extra
	}
	changed := false
	for rig, raw := range wishes {
		var wish map[string]json.RawMessage
		var pins []map[string]json.RawMessage
		if json.Unmarshal(raw, &wish) != nil || json.Unmarshal(wish["pins"], &pins) != nil {
			continue
		}
		mine := false
		for _, p := range pins {
			var set uint16
			if p == nil || p["benders"] == nil || string(p["benders"]) == "null" || json.Unmarshal(p["benders"], &set) != nil {
				continue
			}
			p["benders"], mine = encode(letters(set, rigs.letters(rig, saved))), true
		}
		if mine {
			wish["pins"], changed = encode(pins), true
			wishes[rig] = encode(wish)
		}
	}
	if !changed {
		return extra
	}
	all["wishes"] = encode(wishes)
	return encode(all)
}

// letters returns the letters of the benders in a set. A bender that no rig known
// here had is called by its number, "#3", which no letter matches: what needs
// it says so.
func letters(set uint16, marks []string) []string {
	out := []string{}
	for i := range 16 {
		switch {
		case set>>i&1 == 0:
		case i < len(marks) && marks[i] != "":
			out = append(out, marks[i])
		default:
			out = append(out, fmt.Sprintf("#%d", i+1))
		}
	}
	return out
}

// encode writes what was read as JSON and so can be written as JSON.
func encode(v any) json.RawMessage {
	b, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return b
}
