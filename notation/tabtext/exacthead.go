package tabtext

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/notation/columns"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/tune"
)

// headings are what the header says that is settled when all of it is read.
type headings struct {
	capo   int
	tuning columns.TextLine
}

// header reads the lines up to the first blank one.
func (r *reader) header() {
	u := r.grid.Tune
	r.at = 1 // past the magic line
	var h headings
	seen := map[string]bool{}
	for ; r.at < len(r.lines) && r.lines[r.at].Text != ""; r.at++ {
		l := r.lines[r.at]
		key, value, ok := strings.Cut(l.Text, ":")
		if !ok {
			r.fail(l, 0, "a heading such as \"title: …\" expected, and a blank line before the first system")
			continue
		}
		at := len(key) + 1
		for at < len(l.Text) && l.Text[at] == ' ' {
			at++
		}
		value = strings.TrimSpace(value)
		if strings.HasPrefix(value, `"`) && key != "voices" && key != "tempo" {
			text, n, ok := columns.ScanQuoted(value)
			if !ok || n != len(value) {
				r.fail(l, at, "one quoted text expected")
				continue
			}
			value = text
		}
		many := key == "subtitle" || key == "note" || key == "words"
		if seen[key] && !many {
			r.fail(l, 0, "the heading %q stands twice", fault.Clip(key))
			continue
		}
		seen[key] = true
		err := r.heading(&h, l, key, value)
		if err != nil {
			r.fail(l, at, "%s: %v", key, err)
		}
	}
	if len(u.Voices) == 0 {
		u.Voices = []tune.Voice{columns.OnlyVoice}
	}
	for _, need := range []string{"tuning", "key", "meter"} {
		if !seen[need] && len(r.faults) == 0 {
			r.fail(r.lines[0], 0, "the heading %q is missing", need)
		}
	}
	if len(r.faults) > 0 {
		return
	}
	placed := r.rig
	if h.capo != r.rig.Capo.At {
		var err error
		if placed, err = r.rig.WithCapo(h.capo); err != nil {
			r.fail(h.tuning, 0, "%v", err)
			return
		}
	}
	r.grid.Rig = placed
	if at, msg := tuningDiffers(h.tuning, placed); msg != "" {
		r.fail(h.tuning, at, "%s", msg)
	}
}

// heading keeps one line of the header.
func (r *reader) heading(h *headings, l columns.TextLine, key, value string) (err error) {
	u := r.grid.Tune
	switch key {
	case "title":
		u.Title = value
	case "subtitle":
		u.Subtitles = append(u.Subtitles, value)
	case "composer":
		u.Composer = value
	case "origin":
		u.Origin = value
	case "rhythm":
		u.Rhythm = value
	case "source":
		u.Source = value
	case "note":
		u.Notes = append(u.Notes, value)
	case "words":
		u.Words = append(u.Words, value)
	case "number":
		u.Index, err = wholeNumber(value)
	case "swing":
		u.Swing, err = tune.ParseSwing(value)
	case "parts":
		u.PartOrder = value
	case "voices":
		err = r.voices(value)
	case "rig":
		// The name is for people: the tuning is what must agree.
	case "tuning":
		h.tuning = l
	case "capo":
		h.capo, err = wholeNumber(value)
	case "transposed":
		r.trans, err = wholeNumber(value)
	case "key":
		r.key, err = pitch.ParseKey(value)
	case "meter":
		r.meter, err = columns.ParseMeter(value)
	case "tempo":
		var x tune.Tempo
		if x, err = columns.ParseTempo(value); err == nil {
			r.tempo = &x
		}
	default:
		r.fail(l, 0, "unknown heading %q", fault.Clip(key))
	}
	return err
}

func wholeNumber(value string) (int, error) {
	n, err := strconv.Atoi(value)
	if err != nil {
		return 0, fmt.Errorf("%q is not a whole number", fault.Clip(value))
	}
	return n, nil
}

// tuningDiffers compares the heading of the tuning with a rig. The strings are
// named as they are tuned; texts from before that named them with the capo
// counted in, and are still read.
func tuningDiffers(l columns.TextLine, rg *rig.Rig) (int, string) {
	words := l.Words(len("tuning:"), len(l.Text))
	if len(words) != len(rg.Strings) {
		return 0, fmt.Sprintf("the text is for %d strings, and the rig %q has %d", len(words), rg.Name, len(rg.Strings))
	}
	tuned := rg.TunedNames()
	at, msg, counted := 0, "", true
	for i, w := range words {
		n, err := pitch.ParseName(w.Text)
		if err != nil {
			return w.Byte, err.Error()
		}
		s := len(words) - i
		counted = counted && rg.Strings[s-1].Open.Key() == n.Key()
		if msg == "" && tuned[s-1].Key() != n.Key() {
			at, msg = w.Byte, fmt.Sprintf("string %d is %q here, and %q on the rig %q", s, w.Text, tuned[s-1], rg.Name)
		}
	}
	if counted {
		return 0, ""
	}
	return at, msg
}

// voices reads the heading of the voices: pairs of quoted id and name.
func (r *reader) voices(value string) error {
	rest := value
	for rest != "" {
		id, n, ok := columns.ScanQuoted(rest)
		if !ok {
			return fmt.Errorf("%q: a quoted name expected", fault.Clip(rest))
		}
		rest = strings.TrimLeft(rest[n:], " ")
		name, n, ok := columns.ScanQuoted(rest)
		if !ok {
			return fmt.Errorf("%q: a second quoted name expected", fault.Clip(rest))
		}
		rest = strings.TrimLeft(rest[n:], " ")
		r.grid.Tune.Voices = append(r.grid.Tune.Voices, tune.Voice{ID: id, Name: name})
		if len(r.grid.Tune.Voices) > 64 {
			return fmt.Errorf("more than 64 voices")
		}
		if rest == "" {
			break
		}
		if rest[0] != ',' {
			return fmt.Errorf("%q: a comma expected", fault.Clip(rest))
		}
		rest = strings.TrimLeft(rest[1:], " ")
	}
	return nil
}
