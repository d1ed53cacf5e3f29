package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/wire"
)

// Bounds of what is taken for an instrument laid flat. They are wide; they
// keep slips of the pen from being computed with.
const (
	MinScale wire.MM = 250
	MaxScale wire.MM = 1000
	MaxFrets         = 48

	// MinOpen and MaxOpen bound an open string's key number, benders
	// and capo included: C1 and C7.
	MinOpen = 24
	MaxOpen = 96

	maxBend = 7 // semitones that one bender moves a string
)

// problem is one thing wrong with a rig, by the path of its TOML key.
type problem struct {
	path, msg, hint string
	str             int
}

// Check returns everything wrong with the rig; it is empty for a rig that the
// other rooms can work with. Parse gives the same faults with their places. The
// part of a fault is the path of its key in a rig file.
func (r *Rig) Check() fault.List {
	var out fault.List
	for _, p := range problemsOf(r) {
		msg := p.msg
		if p.str > 0 {
			msg = fmt.Sprintf("string %d: %s", p.str, msg)
		}
		out.Add(&fault.Fault{Part: p.path, Str: p.str, Msg: msg, Hint: p.hint})
	}
	return out
}

// plainName reports whether a name is of small letters and digits, in words joined
// by single hyphens.
func plainName(name string) bool {
	for word := range strings.SplitSeq(name, "-") {
		if word == "" || strings.Trim(word, "abcdefghijklmnopqrstuvwxyz0123456789") != "" {
			return false
		}
	}
	return true
}

// checking looks a rig over and gathers what is wrong with it.
type checking struct {
	*Rig
	found []problem
}

// problemsOf returns everything wrong with a rig.
func problemsOf(r *Rig) []problem {
	c := &checking{Rig: r}
	c.whole()
	c.strings()
	c.benders()
	return c.found
}

// add adds what is wrong at the path of a key.
func (c *checking) add(path, format string, args ...any) {
	c.found = append(c.found, problem{path: path, msg: fmt.Sprintf(format, args...)})
}

// oneOf says that v is none of what is known at a path, and what is.
func (c *checking) oneOf(path, what, v string, known []string) {
	c.add(path, "unknown %s %q", what, v)
	c.found[len(c.found)-1].hint = "known: " + strings.Join(known, ", ")
}

// within looks whether a length lies between two.
func (c *checking) within(path, what string, v, low, high wire.MM) {
	if !(v >= low && v <= high) {
		c.add(path, "%s of %q is outside %s to %s", what, millimetres(v), millimetres(low), millimetres(high))
	}
}

// whole looks at all but strings and benders.
func (c *checking) whole() {
	r, add, within := c.Rig, c.add, c.within
	if !plainName(r.Name) || len(r.Name) > 40 {
		add("name", "the name %q is not one of small letters, digits and hyphens, at most 40", fault.Clip(r.Name))
	}
	for _, t := range []struct{ path, text string }{{"title", r.Title}, {"tuning", r.Tuning}, {"load_limit_source", r.LoadLimitSource}} {
		if !oneLine(t.text) {
			add(t.path, "the text %q is not one line of at most 200 characters", fault.Clip(t.text))
		}
	}
	if r.Title == "" {
		add("title", "the title is missing or empty")
	}
	if !slices.Contains(Bodies(), r.Body) {
		c.oneOf("body", "body", string(r.Body), bodyNames())
	}
	if o := r.Habits.Open; !slices.Contains([]OpenHabit{"", OpenWelcome, OpenSparing, OpenAvoided}, o) {
		c.oneOf("habits.open", "habit", string(o), []string{"welcome", "sparing", "avoided"})
	}
	if h := r.Habits.Rolls; !slices.Contains([]RollHabit{"", RollsWelcome, RollsAvoided}, h) {
		c.oneOf("habits.rolls", "habit", string(h), []string{"welcome", "avoided"})
	}
	if e := r.Habits.Edge; !slices.Contains([]EdgeHabit{"", SharpEdge, RoundEdge}, e) {
		c.oneOf("habits.edge", "edge", string(e), []string{"sharp", "round"})
	}
	if len(r.Styles) > 20 {
		add("styles", "%d styles, and 20 is the most there are", len(r.Styles))
	}
	for i, s := range r.Styles {
		if s == "" || !oneLine(s) {
			add(fmt.Sprintf("styles[%d]", i+1), "the style %q is empty or not one line of at most 200 characters", fault.Clip(s))
		}
	}
	within("scale", "a scale", r.Scale, MinScale, MaxScale)
	if r.Frets < 1 || r.Frets > MaxFrets {
		add("frets", "\"%d\" frets is outside 1 to %d", r.Frets, MaxFrets)
	}
	within("nut_spread", "a spread", r.NutSpread, 10, 150)
	within("bridge_spread", "a spread", r.BridgeSpread, 10, 150)
	if r.Action != 0 {
		within("action", "an action", r.Action, 1, 40)
	}
	if !(r.Reference >= pitch.MinReference && r.Reference <= pitch.MaxReference) {
		add("reference", "a reference pitch of \"%g\" Hz is outside %g to %g", float64(r.Reference), float64(pitch.MinReference), float64(pitch.MaxReference))
	}
	if r.LoadLimit != 0 && !(r.LoadLimit >= 50 && r.LoadLimit <= 10000) {
		add("load_limit", "a load limit of \"%g N\" is outside 50 to 10000 N", float64(r.LoadLimit))
	}
	if r.LoadLimit == 0 && r.LoadLimitSource != "" {
		add("load_limit_source", "a source %q stands here for a load limit that is not given", r.LoadLimitSource)
	}
	if r.LoadLimit != 0 && r.LoadLimitSource == "" {
		add("load_limit", "the load limit has no source: say whose figure it is in load_limit_source, such as \"maker\"")
	}
	within("steel.length", "a steel length", r.Steel.Length, 20, 200)
	within("steel.diameter", "a steel diameter", r.Steel.Diameter, 5, 50)
	if m := r.Steel.Mass; m != 0 && !(m >= 5 && m <= 1000) {
		add("steel.mass", "a steel of \"%g g\" is outside 5 to 1000 g", m)
	}
	if a := r.Steel.MaxSlant; !(a >= 0 && a <= 60) {
		add("steel.max_slant", "a slant of \"%g\" degrees is outside 0 to 60", a)
	}
	if h := r.Capo.Highest; h < 0 || h > 24 || h >= max(r.Frets+r.Capo.At, 1) {
		add("capo.highest", "a capo that goes to fret \"%d\" is outside 0 to 24 or leaves no frets", h)
	}
	if a := r.Capo.At; a < 0 || a > max(r.Capo.Highest, 0) {
		add("capo.at", "the capo is at fret \"%d\", and goes from 0 to %d", a, r.Capo.Highest)
	}
}

func (c *checking) strings() {
	if n := len(c.Strings); n == 0 {
		c.found = append(c.found, problem{path: "string", msg: "the rig has no strings", hint: "give a [[string]] table for each, string 1 first"})
		return
	} else if n > MaxStrings {
		c.add(fmt.Sprintf("string[%d]", MaxStrings+1), "the rig has \"%d\" strings, and %d is the most a rig may have", n, MaxStrings)
		return
	}
	for i, s := range c.Strings {
		at := func(key string) string { return fmt.Sprintf("string[%d].%s", i+1, key) }
		if k := s.Open.Key(); k < MinOpen || k > MaxOpen {
			c.found = append(c.found, problem{path: at("pitch"), str: i + 1, msg: fmt.Sprintf("a pitch of %q is outside %s to %s",
				s.Open.String(), pitch.SpellKey(MinOpen, 0), pitch.SpellKey(MaxOpen, 0))})
		}
		for _, b := range s.Wire.Check() {
			p := problem{path: at(fieldKeys[b.Field]), str: i + 1, msg: b.Msg}
			if b.Field == wire.MaterialField {
				p.hint = "known: " + strings.Join(materialNames(), ", ")
			}
			c.found = append(c.found, p)
		}
	}
}

// fieldKeys are the TOML keys of the parts of a string.
var fieldKeys = map[wire.Field]string{
	wire.DiameterField:  "gauge",
	wire.MaterialField:  "material",
	wire.CoreRatioField: "core_ratio",
	wire.CoreField:      "core",
	wire.MeasuredField:  "mass_per_length",
}

func (c *checking) benders() {
	r, add := c.Rig, c.add
	if n := len(r.Benders); n > MaxBenders {
		add(fmt.Sprintf("bender[%d]", MaxBenders+1), "the rig has \"%d\" benders, and %d is the most a rig may have", n, MaxBenders)
		return
	}
	marks, names := map[string]bool{}, map[string]bool{}
	for i, b := range r.Benders {
		at := func(key string) string { return fmt.Sprintf("bender[%d].%s", i+1, key) }
		if b.Name == "" || !oneLine(b.Name) {
			add(at("name"), "the name %q is empty or not one line of at most 200 characters", fault.Clip(b.Name))
		} else if names[b.Name] {
			add(at("name"), "two benders are named %q", b.Name)
		}
		names[b.Name] = true
		if len(b.Mark) != 1 || b.Mark[0] < 'A' || b.Mark[0] > 'Z' {
			add(at("mark"), "the mark %q is not one capital letter", fault.Clip(b.Mark))
		} else if marks[b.Mark] {
			add(at("mark"), "two benders are marked %q", b.Mark)
		}
		marks[b.Mark] = true
		if b.Kind != Palm && b.Kind != Pedal && b.Kind != Knee {
			add(at("kind"), "unknown kind of bender %q: it is \"palm\", \"pedal\" or \"knee\"", fault.Clip(string(b.Kind)))
		}
		if len(b.Moves) == 0 {
			add(at("moves"), "the bender %q moves no string", fault.Clip(b.Name))
		}
		moved := map[int]bool{}
		for j, m := range b.Moves {
			mat := func(key string) string { return fmt.Sprintf("bender[%d].moves[%d].%s", i+1, j+1, key) }
			switch {
			case m.String < 1 || m.String > len(r.Strings):
				add(mat("string"), "there is no string \"%d\": the rig has %d", m.String, len(r.Strings))
			case moved[m.String]:
				add(mat("string"), "the bender %q moves string \"%d\" twice", fault.Clip(b.Name), m.String)
			case m.Semitones == 0 || m.Semitones < -maxBend || m.Semitones > maxBend:
				add(mat("semitones"), "a move of \"%d\" semitones is none or more than %d", m.Semitones, maxBend)
			default:
				if k := r.Strings[m.String-1].Open.Key() + m.Semitones; k < MinOpen || k > MaxOpen {
					add(mat("semitones"), "a move of \"%d\" semitones takes string %d outside %s to %s", m.Semitones, m.String,
						pitch.SpellKey(MinOpen, 0), pitch.SpellKey(MaxOpen, 0))
				}
			}
			moved[m.String] = true
		}
	}
}

// Bodies lists the kinds of body.
func Bodies() []Body {
	return []Body{SquareNeckResonator, Tricone, HollowNeckAcoustic, RoundNeckAcoustic, LapSteel, PedalSteel}
}

func bodyNames() []string {
	var out []string
	for _, b := range Bodies() {
		out = append(out, fmt.Sprintf("%q", string(b)))
	}
	return out
}

func materialNames() []string {
	var out []string
	for _, m := range wire.Materials() {
		out = append(out, fmt.Sprintf("%q", string(m)))
	}
	return out
}

func oneLine(s string) bool {
	if len(s) > 200 {
		return false
	}
	return !strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c == 0x7f })
}

func millimetres(v wire.MM) string {
	if math.IsNaN(float64(v)) {
		return "NaN mm"
	}
	return fmt.Sprintf("%.5g mm", float64(v))
}
