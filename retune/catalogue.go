package retune

import (
	_ "embed"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/rig/toml"
	"lapwright/wire"
)

// Tuning is one tuning of the catalogue.
type Tuning struct {
	Name    string        // short name used on the command line: "high-open-g"
	Title   string        // what a person calls it
	Family  string        // the kind of chord it makes: "major", "sixth" …
	Pitches []pitch.Name  // string 1 first
	Gauges  []wire.String // usual strings, string 1 first
	Styles  []string
	Source  string // where it is from
}

// Text writes the tuning low to high: "G2 B2 D3 G3 B3 D4".
func (t Tuning) Text() string { return TuningText(t.Pitches) }

// TuningText writes pitches, string 1 first, low to high as players write them.
func TuningText(pitches []pitch.Name) string {
	names := make([]string, len(pitches))
	for i, p := range pitches {
		names[len(names)-1-i] = p.String()
	}
	return strings.Join(names, " ")
}

// ParseTuning reads a tuning written low to high, such as "D2 A2 D3 F#3 A3
// D4"; what it gives is string 1 first.
func ParseTuning(text string) ([]pitch.Name, error) {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return nil, fmt.Errorf("%q is no tuning: write its pitches low to high, such as \"D2 A2 D3 F#3 A3 D4\"", text)
	}
	if len(fields) > rig.MaxStrings {
		return nil, fmt.Errorf("a tuning of %d strings is more than a rig has: %d is the most", len(fields), rig.MaxStrings)
	}
	out := make([]pitch.Name, len(fields))
	for i, f := range fields {
		n, err := pitch.ParseName(f)
		if err != nil {
			return nil, fmt.Errorf("in the tuning %q: %w", text, err)
		}
		if k := n.Key(); k < rig.MinOpen || k > rig.MaxOpen {
			return nil, fmt.Errorf("in the tuning %q: %q is outside %s to %s", text, f, pitch.SpellKey(rig.MinOpen, 0), pitch.SpellKey(rig.MaxOpen, 0))
		}
		out[len(out)-1-i] = n
	}
	return out, nil
}

//go:embed tunings.toml
var tuningsFile []byte

var catalogue = sync.OnceValue(func() []Tuning {
	out, err := readCatalogue(tuningsFile)
	if err != nil {
		panic(fmt.Sprintf("retune: the catalogue of tunings is broken: %v", err))
	}
	return out
})

// Catalogue returns the known tunings, in the order they are listed in. They are the caller's own.
func Catalogue() []Tuning {
	all := slices.Clone(catalogue())
	for i := range all {
		all[i] = all[i].clone()
	}
	return all
}

// FindTuning returns the known tuning of that name, the caller's own.
func FindTuning(name string) (Tuning, bool) {
	for _, t := range catalogue() {
		if t.Name == name {
			return t.clone(), true
		}
	}
	return Tuning{}, false
}

func (t Tuning) clone() Tuning {
	t.Pitches, t.Gauges, t.Styles = slices.Clone(t.Pitches), slices.Clone(t.Gauges), slices.Clone(t.Styles)
	return t
}

func readCatalogue(src []byte) ([]Tuning, error) {
	doc, err := toml.Read(src)
	if err != nil {
		return nil, err
	}
	list, _ := doc.Root["tuning"].([]any)
	if len(doc.Root) != 1 || len(list) == 0 {
		return nil, errors.New("it holds something else than tunings")
	}
	var out []Tuning
	for _, v := range list {
		e, _ := v.(map[string]any)
		t := Tuning{}
		var pitches, gauges string
		texts := map[string]*string{"name": &t.Name, "title": &t.Title, "family": &t.Family, "pitches": &pitches, "gauges": &gauges, "source": &t.Source}
		for key, v := range e {
			text, isText := v.(string)
			if into := texts[key]; into != nil && isText {
				*into = text
				continue
			}
			styles, isList := v.([]any)
			if key != "styles" || !isList {
				return nil, fmt.Errorf("%v: %q is no key of a tuning with that value", e["name"], key)
			}
			for _, s := range styles {
				text, _ := s.(string)
				t.Styles = append(t.Styles, text)
			}
		}
		if t.Pitches, err = ParseTuning(pitches); err != nil {
			return nil, fmt.Errorf("%s: %w", t.Name, err)
		}
		if t.Gauges, err = ParseGauges(gauges); err != nil {
			return nil, fmt.Errorf("%s: %w", t.Name, err)
		}
		if len(t.Gauges) != len(t.Pitches) {
			return nil, fmt.Errorf("%s: %d gauges for %d strings", t.Name, len(t.Gauges), len(t.Pitches))
		}
		out = append(out, t)
	}
	return out, nil
}

// oneGauge takes a gauge as packets print it from the beginning of a text: 14, .014,
// 0.014, 42w, .042 w, 0.36 mm. It returns the number, whether millimetres and a
// wound string are said, and what comes after; ok is false where none begins.
func oneGauge(text string) (number string, mm, wound bool, rest string, ok bool) {
	n := rig.Decimal(text)
	if n == 0 || strings.ContainsAny(text[:n], "+-eE") {
		return "", false, false, text, false
	}
	const space = " \t\n\f\r"
	number = text[:n]
	// What follows is read as far as it goes: "0.36 mm w", "0.36 mm", "42 w", "42".
	inMM, isMM := strings.CutPrefix(strings.TrimLeft(text[n:], space), "mm")
	for _, mm := range []bool{true, false} {
		size := text[n:]
		if mm {
			if !isMM {
				continue
			}
			size = inMM
		}
		letter := strings.TrimLeft(size, space)
		if wound := letter != "" && strings.ContainsRune("wW", rune(letter[0])); wound {
			if rest := strings.TrimLeft(letter[1:], space); rest == "" || len(rest) < len(letter)-1 {
				return number, mm, true, rest, true
			}
		}
		if rest := letter; rest == "" || len(rest) < len(size) {
			return number, mm, false, rest, true
		}
	}
	return "", false, false, text, false
}

// ParseGauges reads gauges written low to high as packets print them, w for
// wound, such as "56w 42w 32w 24w 18 15"; what it gives is string 1 first. A
// number below 1 is in inches, one before mm in millimetres, any other in
// thousandths of an inch: no string is as thin as one of those. Wound strings
// are nickel-plated over a typical core.
func ParseGauges(text string) ([]wire.String, error) {
	out := []wire.String{}
	for rest := strings.TrimSpace(text); rest != ""; {
		number, mm, wound, after, ok := oneGauge(rest)
		if !ok {
			return nil, fmt.Errorf("%q is no gauge: write thousandths of an inch, such as 16 or 42w, inches such as .016, or 0.41 mm", strings.Fields(rest)[0])
		}
		rest = after
		size, err := strconv.ParseFloat(number, 64)
		if err != nil {
			return nil, fmt.Errorf("%q is no gauge", number)
		}
		d := wire.MM(size)
		switch {
		case mm:
		case size < 1:
			d *= 1000 * wire.Thou
		default:
			d *= wire.Thou
		}
		s := wire.Plain(d)
		if wound {
			s = wire.Wound(d, wire.NickelPlated)
		}
		if bad := s.Check(); len(bad) > 0 {
			return nil, bad[0]
		}
		out = append(out, s)
	}
	slices.Reverse(out)
	return out, nil
}

// GaugeText writes a string's gauge in thousandths of an inch, w for wound:
// "16", "11.5", "42w".
func GaugeText(s wire.String) string {
	text := strconv.FormatFloat(float64(s.Diameter/wire.Thou), 'f', 1, 64)
	text = strings.TrimSuffix(text, ".0")
	if s.Wound {
		text += "w"
	}
	return text
}

// Retuned returns the rig with its strings at other pitches, string 1 first, and
// the tuning's name as given, which may be empty. A tuning of fewer strings is
// put on the first ones and leaves the others as they are.
func Retuned(r *rig.Rig, pitches []pitch.Name, name string) (*rig.Rig, error) {
	if len(pitches) > len(r.Strings) {
		return nil, fmt.Errorf("the rig %q has %d strings, and the tuning %q is for %d", r.Name, len(r.Strings), TuningText(pitches), len(pitches))
	}
	out := r.Clone()
	out.Tuning = name
	for i, p := range pitches {
		out.Strings[i].Open = p
	}
	if l := out.Check(); len(l) > 0 {
		return nil, l
	}
	return out, nil
}
