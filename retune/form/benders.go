package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/rig"
	"lapwright/say"
)

// mostBytes bounds a field of several lines.
const mostBytes = 4096

// parseCapo reads the highest fret of a capo, "7" or "sliding 7" of a sliding one and
// "clamp 7" of one that clamps on; "" is none.
func parseCapo(text string) (rig.Capo, error) {
	words := strings.Fields(strings.ToLower(text))
	var out rig.Capo
	if len(words) == 0 {
		return out, nil
	}
	highest := words
	switch words[0] {
	case rig.ClampOnCapo:
		out.Clamp, highest = true, words[1:]
	case rig.SlidingCapo:
		highest = words[1:]
	}
	if len(highest) == 1 {
		if n, err := strconv.Atoi(highest[0]); err == nil && n >= 0 {
			out.Highest = n
			return out, nil
		}
	}
	return rig.Capo{}, fmt.Errorf("a capo is told by its highest fret, 7, or clamp 7 for one that clamps on, not %q; leave it empty when there is none", fault.Clip(strings.TrimSpace(text)))
}

// parseBenders reads benders, one a line: a mark, what works it, and by how many
// semitones it moves which strings, such as "A palm 3+1 2+2". The mark and what
// works it may be left out.
func parseBenders(text string, stringCount int, body rig.Body) ([]rig.Bender, fault.List) {
	var wrong fault.List
	if len(text) > mostBytes {
		return nil, fault.List{{Part: bendersField, Msg: fmt.Sprintf("the benders take %d bytes, and %d are the most", len(text), mostBytes)}}
	}
	var out []rig.Bender
	line := 0
	for l := range strings.SplitSeq(text, "\n") {
		line++
		if strings.TrimSpace(l) == "" {
			continue
		}
		b, err := parseBender(l, stringCount)
		if err != nil {
			wrong.Add(&fault.Fault{Part: bendersField, Line: line, Msg: err.Error()})
			continue
		}
		if b.Kind == "" {
			b.Kind = rig.Palm
			if body == rig.PedalSteel {
				b.Kind = rig.Pedal
			}
		}
		out = append(out, b)
	}
	for i := range out {
		if out[i].Mark == "" {
			out[i].Mark = freeMark(out)
		}
		out[i].Name = string(out[i].Kind) + " " + out[i].Mark
	}
	return out, wrong
}

// freeMark returns the first letter that marks no bender yet; "" when all do, which
// is more than a rig may have.
func freeMark(benders []rig.Bender) string {
	for c := 'A'; c <= 'Z'; c++ {
		if !slices.ContainsFunc(benders, func(b rig.Bender) bool { return b.Mark == string(c) }) {
			return string(c)
		}
	}
	return ""
}

// parseBender reads one line.
func parseBender(line string, stringCount int) (rig.Bender, error) {
	var out rig.Bender
	text := strings.NewReplacer("−", "-", "–", "-", ",", " ", ";", " ", ":", " ").Replace(line)
	for _, sign := range []string{"+", "-"} { // "3 + 1" is "3+1"
		for _, loose := range []string{" " + sign, sign + " "} {
			for strings.Contains(text, loose) {
				text = strings.ReplaceAll(text, loose, sign)
			}
		}
	}
	for _, w := range strings.Fields(text) {
		kind := rig.BenderKind(strings.ToLower(w))
		switch {
		case kind == rig.Palm || kind == rig.Pedal || kind == rig.Knee:
			out.Kind = kind
		case len(w) == 1 && strings.ToUpper(w) != strings.ToLower(w) && out.Mark == "" && len(out.Moves) == 0:
			out.Mark = strings.ToUpper(w)
		default:
			m, err := parseMove(w, stringCount)
			if err != nil {
				return out, err
			}
			out.Moves = append(out.Moves, m)
		}
	}
	if len(out.Moves) == 0 {
		return out, fmt.Errorf("%q moves no string: write which string by how many semitones, such as A palm 3+1 2+2", fault.Clip(strings.TrimSpace(line)))
	}
	return out, nil
}

// parseMove reads "3+1": string 3 up by a semitone.
func parseMove(word string, stringCount int) (rig.Move, error) {
	at := strings.IndexAny(word, "+-")
	if at < 0 {
		return rig.Move{}, fmt.Errorf("%q is neither a string with its semitones, such as 3+1, nor palm, pedal or knee", fault.Clip(word))
	}
	s, err := strconv.Atoi(word[:at])
	if err != nil || s < 1 || s > stringCount {
		return rig.Move{}, fmt.Errorf("%q names no string: there are %s", fault.Clip(word), say.Count(stringCount, "string"))
	}
	n, err := strconv.Atoi(word[at:])
	if err != nil {
		return rig.Move{}, fmt.Errorf("%q has no whole number of semitones", fault.Clip(word))
	}
	return rig.Move{String: s, Semitones: n}, nil
}
