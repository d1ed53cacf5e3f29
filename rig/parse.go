package rig

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/rig/toml"
	"lapwright/wire"
)

// The keys of each table, in the order Format writes them.
var tableKeys = map[string][]string{
	"": {"name", "title", "tuning", "body", "styles", "scale", "frets", "nut_spread", "bridge_spread", "action",
		"reference", "load_limit", "load_limit_source", "gauges_unknown", "steel", "habits", "capo", "string", "bender"},
	"steel":        {"length", "diameter", "mass", "bullet", "max_slant"},
	"habits":       {"open", "edge", "rolls"},
	"capo":         {"kind", "highest", "at"},
	"string":       {"pitch", "gauge", "wound", "material", "core_ratio", "core_diameter", "core", "mass_per_length"},
	"bender":       {"name", "mark", "kind", "moves"},
	"bender.moves": {"string", "semitones"},
}

// oldSteel is what the table "steel" was once called; it is read for good.
const oldSteel = "bar"

// Parse reads a rig in the TOML format of docs/formats/rig.md. file is named
// in errors. The error is a fault.List with the line and column of each thing
// wrong, one for each line; the rig is then nil.
func Parse(src []byte, file string) (*Rig, error) {
	r, _, err := Read(src, file)
	return r, err
}

// Read is Parse with warnings: what is read and yet looks like a slip, each
// with its line and column.
func Read(src []byte, file string) (*Rig, fault.List, error) {
	d, err := read(src, file)
	if err != nil {
		return nil, nil, err
	}
	for table, keys := range tableKeys {
		for _, k := range keys {
			d.asked[toml.Join(table, k)] = true
			if table == "steel" {
				d.asked[toml.Join(oldSteel, k)] = true
			}
		}
	}
	d.asked[oldSteel] = true
	d.unknown(func(table string) []string {
		if table == oldSteel {
			table = "steel"
		}
		return tableKeys[table]
	})
	r := d.rig()
	if len(d.faults) == 0 {
		for _, p := range problemsOf(r) {
			path := d.coreKey(d.steelKey(p.path))
			d.faultOn(path, d.asTyped(path, p.msg), p.hint)
		}
	}
	if len(d.faults) > 0 {
		return nil, nil, d.faults.FirstPerLine()
	}
	return r, d.doubts(r), nil
}

// doubts lists what is read and yet looks like a slip.
func (d *document) doubts(r *Rig) fault.List {
	var out fault.List
	doubt := func(path, msg, hint string) {
		w := d.where(path)
		out.Add(&fault.Fault{File: d.file, Line: w.Line, Col: w.Col, Msg: msg, Hint: hint})
	}
	if msg := r.misnamed(); msg != "" {
		doubt("tuning", msg, "")
	}
	if _, old := d.Values[oldSteel]; old {
		doubt(oldSteel, `"bar" is read as the steel`, "it is now written [steel]")
	}
	out.Sort()
	return out
}

// steelKey points a fault about the steel at the name that the file gives it.
func (d *document) steelKey(path string) string {
	if rest, ok := strings.CutPrefix(path, "steel."); ok {
		if _, old := d.Values[oldSteel]; old {
			return toml.Join(oldSteel, rest)
		}
	}
	return path
}

// coreKey points a fault about a core ratio at the core diameter when that is
// what the file gives.
func (d *document) coreKey(path string) string {
	const ratio, diameter = ".core_ratio", ".core_diameter"
	if n := len(path) - len(ratio); n > 0 && path[n:] == ratio {
		if _, ok := d.Values[path[:n]+diameter]; ok {
			return path[:n] + diameter
		}
	}
	return path
}

// figure finds a quoted number in a message, with the unit that it was turned into:
// where it begins and ends, quotes included.
func figure(msg string) (from, to int, ok bool) {
	for from = range msg {
		if msg[from] != '"' {
			continue
		}
		inside, _, closed := strings.Cut(msg[from+1:], `"`)
		number, unit, hasUnit := strings.Cut(inside, " ")
		if !closed || number == "" || hasUnit && (unit == "" || strings.ContainsFunc(unit, func(r rune) bool { return !isLetter(r) && r != '/' })) {
			continue
		}
		if bare := strings.TrimLeft(number, "+-"); number == "NaN" || bare == "Inf" && len(number) <= 4 || strings.Trim(number, "-+0123456789.e") == "" {
			return from, from + len(inside) + 2, true
		}
	}
	return 0, 0, false
}

// asTyped quotes in a message about a figure what the file says, rather than
// what it was turned into.
func (d *document) asTyped(path, msg string) string {
	typed, ok := d.Typed[path]
	from, to, found := figure(msg)
	if !ok || !found {
		return msg
	}
	return msg[:from] + strconv.Quote(fault.Clip(typed)) + msg[to:]
}

// rig reads the document's values. Faults are noted; what is at fault is left
// zero.
func (d *document) rig() *Rig {
	root := node{d, "", d.Root}
	r := &Rig{
		Name:            root.text("name", need),
		Title:           root.text("title", need),
		Tuning:          root.text("tuning", may),
		Body:            Body(root.text("body", need)),
		Scale:           root.length("scale", need),
		Frets:           root.whole("frets", need),
		NutSpread:       root.length("nut_spread", need),
		BridgeSpread:    root.length("bridge_spread", need),
		Action:          root.length("action", may),
		Reference:       pitch.Hz(root.number("reference", float64(pitch.StandardA))),
		LoadLimit:       wire.Newtons(root.quantity("load_limit", may, "a load", "900 N", "200 lb", loadUnits)),
		LoadLimitSource: root.text("load_limit_source", may),
		GaugesUnknown:   root.truth("gauges_unknown"),
	}
	for _, n := range root.list("styles") {
		if s, ok := n.value.(string); ok {
			r.Styles = append(r.Styles, s)
		} else {
			n.wrong("a style is a text in quotes")
		}
	}
	called := "steel"
	_, isNew := root.has(called)
	if _, isOld := root.has(oldSteel); isOld && isNew {
		root.child(oldSteel).wrong("the steel is given twice, as [steel] and as [bar]")
	} else if isOld {
		called = oldSteel
	}
	if steel, ok := root.table(called, need); ok {
		r.Steel = Steel{
			Length:   steel.length("length", need),
			Diameter: steel.length("diameter", need),
			Mass:     steel.quantity("mass", may, "a mass", "190 g", "6.7 oz", massUnits),
			Bullet:   steel.truth("bullet"),
			MaxSlant: steel.number("max_slant", usualMaxSlant),
		}
	}
	if h, ok := root.table("habits", may); ok {
		r.Habits = Habits{Open: OpenHabit(h.text("open", may)), Edge: EdgeHabit(h.text("edge", may)), Rolls: RollHabit(h.text("rolls", may))}
	}
	if capo, ok := root.table("capo", may); ok {
		r.Capo = Capo{Clamp: capo.clamps(), Highest: capo.whole("highest", need), At: capo.whole("at", may)}
	}
	for _, n := range root.list("string") {
		if n.isTable() {
			r.Strings = append(r.Strings, n.string())
		}
	}
	for _, n := range root.list("bender") {
		if n.isTable() {
			r.Benders = append(r.Benders, n.bender())
		}
	}
	return r
}

// usualMaxSlant is how far a player leans the steel when the rig does not say,
// in degrees: what a one-fret slant over three strings takes at the fifth fret,
// from where on players use it (common practice, no source).
const usualMaxSlant = 55

func (n node) string() String {
	var s String
	if text := n.text("pitch", need); text != "" {
		name, err := pitch.ParseName(text)
		if err != nil {
			n.child("pitch").wrong(err.Error())
		}
		s.Open = name
	}
	s.Wire = wire.String{
		Diameter: n.length("gauge", need),
		Wound:    n.truth("wound"),
		Material: wire.Material(n.text("material", need)),
		Core:     wire.Core(n.text("core", may)),
		Measured: n.quantity("mass_per_length", may, "a mass per length", "7.9 g/m", "0.00044 lb/in", linearUnits),
	}
	_, byRatio := n.has("core_ratio")
	_, byDiameter := n.has("core_diameter")
	switch {
	case byRatio && byDiameter:
		n.child("core_diameter").wrong("the core is given twice, as a ratio and as a diameter")
	case byRatio:
		s.Wire.CoreRatio = n.number("core_ratio", 0)
	case byDiameter:
		if dc := n.length("core_diameter", need); s.Wire.Diameter > 0 {
			s.Wire.CoreRatio = float64(dc / s.Wire.Diameter)
		}
	case s.Wire.Wound:
		n.wrong("a wound string needs its core: core_ratio (core over gauge, 0.4 is typical) or core_diameter")
	}
	if s.Wire.Wound && s.Wire.Core == "" {
		if _, given := n.has("core"); !given {
			s.Wire.Core = wire.HexCore
		}
	}
	return s
}

// clamps reads the kind of a capo; one without the word slides.
func (n node) clamps() bool {
	switch kind := n.text("kind", may); kind {
	case "", SlidingCapo:
	case ClampOnCapo:
		return true
	default:
		n.child("kind").wrong(fmt.Sprintf("unknown kind of capo %q: it is %q or %q", kind, SlidingCapo, ClampOnCapo))
	}
	return false
}

func (n node) bender() Bender {
	b := Bender{Name: n.text("name", need), Mark: n.text("mark", need), Kind: BenderKind(n.text("kind", need))}
	for _, m := range n.list("moves") {
		if m.isTable() {
			b.Moves = append(b.Moves, Move{String: m.whole("string", need), Semitones: m.whole("semitones", need)})
		}
	}
	return b
}

// presence reports whether a key must be there.
type presence bool

const (
	need presence = true
	may  presence = false
)

// node is one value of a document, with its path.
type node struct {
	doc   *document
	path  string
	value any
}

func (n node) wrong(msg string) { n.doc.faultOn(n.path, msg, "") }

func (n node) child(key string) node { return node{n.doc, toml.Join(n.path, key), nil} }

func (n node) has(key string) (any, bool) {
	m, _ := n.value.(map[string]any)
	v, ok := m[key]
	return v, ok
}

// get finds a key; a missing one that must be there is a fault on its table.
func (n node) get(key string, p presence) (node, bool) {
	v, ok := n.has(key)
	if !ok && p == need {
		what := "the rig"
		if n.path != "" {
			what = "[" + n.path + "]"
		}
		n.doc.faultAt(n.doc.where(n.path), fmt.Sprintf("%s has no key %q", what, key), "")
	}
	return node{n.doc, toml.Join(n.path, key), v}, ok
}

func (n node) isTable() bool {
	if _, ok := n.value.(map[string]any); ok {
		return true
	}
	n.wrong(fmt.Sprintf("%s is not a table", n.path))
	return false
}

func (n node) table(key string, p presence) (node, bool) {
	c, ok := n.get(key, p)
	return c, ok && c.isTable()
}

func (n node) list(key string) []node {
	c, ok := n.get(key, may)
	if !ok {
		return nil
	}
	vs, ok := c.value.([]any)
	if !ok {
		c.wrong(fmt.Sprintf("%s is not a list", key))
		return nil
	}
	out := make([]node, len(vs))
	for i, v := range vs {
		out[i] = node{n.doc, fmt.Sprintf("%s[%d]", c.path, i+1), v}
	}
	return out
}

func (n node) text(key string, p presence) string {
	c, ok := n.get(key, p)
	if !ok {
		return ""
	}
	s, ok := c.value.(string)
	if !ok {
		c.wrong(fmt.Sprintf("%s is a text in quotes, and \"%v\" is not", key, c.value))
	}
	return s
}

func (n node) truth(key string) bool {
	c, ok := n.get(key, may)
	if !ok {
		return false
	}
	b, ok := c.value.(bool)
	if !ok {
		c.wrong(fmt.Sprintf("%s is true or false, and \"%v\" is not", key, c.value))
	}
	return b
}

func (n node) whole(key string, p presence) int {
	c, ok := n.get(key, p)
	if !ok {
		return 0
	}
	v, ok := c.value.(int64)
	if !ok || v < -1_000_000 || v > 1_000_000 {
		c.wrong(fmt.Sprintf("%s is a whole number, and \"%v\" is not one that can be used", key, c.value))
		return 0
	}
	return int(v)
}

func (n node) number(key string, otherwise float64) float64 {
	c, ok := n.get(key, may)
	if !ok {
		return otherwise
	}
	switch v := c.value.(type) {
	case int64:
		return float64(v)
	case float64:
		return v
	}
	c.wrong(fmt.Sprintf("%s is a number, and \"%v\" is not", key, c.value))
	return otherwise
}

func (n node) length(key string, p presence) wire.MM {
	return wire.MM(n.quantity(key, p, "a length", "25 in", "635 mm", lengthUnits))
}

func (n node) quantity(key string, p presence, what, like, orLike string, units []unit) float64 {
	c, ok := n.get(key, p)
	if !ok {
		return 0
	}
	s, ok := c.value.(string)
	if !ok {
		c.wrong(fmt.Sprintf("%s is %s in quotes with its unit, such as %q or %q, and \"%v\" is not", key, what, like, orLike, c.value))
		return 0
	}
	v, err := parseQuantity(s, what, like, orLike, units)
	if err != nil {
		c.wrong(err.Error())
		return 0
	}
	return v
}
