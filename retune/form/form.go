package form

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
	"lapwright/say"
	"lapwright/wire"
)

// Instrument is a form that makes an instrument from nothing, as it was filled in.
type Instrument struct {
	Title   string // "" names it by its kind and tuning
	Body    string // "" is a lap steel
	Scale   string // "22.5 in", `22 1/2"`, "572 mm"
	Strings string // how many
	Tuning  string // low to high
	Gauges  string // as packets print them, either way round; "" takes the most even set
	Capo    string // the highest fret of a sliding capo, "7"; "clamp 7" for a clamp-on one; "" is none
	Benders string // one a line: "A palm 3+1 2+2"; "" is none
	// Unknown says what empty Gauges mean: the set that is taken stands in for one
	// that nobody has told, and no tension is told of it (rig.Rig.GaugesUnknown).
	Unknown bool
}

// Read reads such a form's fields.
func Read(field func(name string) string) *Instrument {
	return &Instrument{Title: field("title"), Body: field("body"), Scale: field("scale"), Strings: field("strings"), Tuning: field("tuning"), Gauges: field("gauges"), Capo: field("capo"), Benders: field("benders")}
}

// The fields that faults of an Instrument name as their part.
const (
	titleField   = "title"
	bodyField    = "body"
	scaleField   = "scale"
	stringsField = "strings"
	tuningField  = "tuning"
	gaugesField  = "gauges"
	capoField    = "capo"
	bendersField = "benders"
)

// Rig returns the instrument that the form describes. What the form leaves out (the
// steel, the spread of the strings, how such instruments are played) is that of the
// built-in instrument of its kind. The error is a fault.List whose parts are the
// form's fields; faults of benders have their line.
func (n *Instrument) Rig() (*rig.Rig, error) {
	var wrong fault.List
	bad := func(field string, err error) {
		if err != nil {
			wrong.Add(&fault.Fault{Part: field, Msg: err.Error()})
		}
	}
	g, err := blankRig(rig.Body(n.Body))
	bad(bodyField, err)
	scale, err := parseScale(n.Scale)
	bad(scaleField, err)
	count, err := strconv.Atoi(strings.TrimSpace(n.Strings))
	if err != nil || count < 1 || count > rig.MaxStrings {
		bad(stringsField, fmt.Errorf("an instrument has 1 to %d strings, not %q", rig.MaxStrings, n.Strings))
	}
	tuning, err := parseTuning(n.Tuning)
	if err == nil && len(wrong) == 0 && len(tuning) != count {
		err = fmt.Errorf("%s, and the tuning names %s", say.Count(count, "string"), say.Count(len(tuning), "pitch"))
	}
	bad(tuningField, err)
	capo, err := parseCapo(n.Capo)
	bad(capoField, err)
	if len(wrong) > 0 {
		return nil, wrong
	}
	benders, faults := parseBenders(n.Benders, len(tuning), g.Body)
	wrong = append(wrong, faults...)
	wires, err := n.wires(tuning, scale, g)
	bad(gaugesField, err)
	if len(wrong) > 0 {
		return nil, wrong
	}
	g.GaugesUnknown = n.Unknown && strings.TrimSpace(n.Gauges) == ""
	g.Capo, g.Benders = capo, benders
	n.string(g, tuning, wires, scale)
	title := strings.Join(strings.Fields(n.Title), " ")
	if title == "" {
		title = TitleOf(g)
	}
	g.Title, g.Name = title, nameOf(title)
	for _, f := range g.Check() {
		bad(fieldOf(f), f)
	}
	if len(wrong) > 0 {
		return nil, wrong
	}
	return g, nil
}

// fieldOf returns the field that a fault of the rig's own check belongs to.
func fieldOf(err error) string {
	var f *fault.Fault
	if errors.As(err, &f) {
		switch part, _, _ := strings.Cut(f.Part, "["); part {
		case "bender", "benders":
			return bendersField
		case "capo", "capo.highest":
			return capoField
		}
	}
	return titleField
}

// blankRig returns an instrument of a kind with no strings: all but name, tuning,
// strings and scale is that of the first built-in of the kind, or of its nearest
// kin.
func blankRig(body rig.Body) (*rig.Rig, error) {
	if body == "" {
		body = rig.LapSteel
	}
	if !slices.Contains(rig.Bodies(), body) {
		return nil, fmt.Errorf("%q is no kind of instrument that is known here", body)
	}
	all := rig.Builtins()
	i := slices.IndexFunc(all, func(g *rig.Rig) bool { return g.Body == body })
	if i < 0 { // an acoustic guitar with a raised nut is laid out like one made for it
		i = slices.IndexFunc(all, func(g *rig.Rig) bool { return g.Body == rig.HollowNeckAcoustic })
	}
	g := all[i].Clone()
	g.Body, g.Tuning, g.Styles, g.Benders, g.Capo = body, "", nil, nil, rig.Capo{}
	g.LoadLimit, g.LoadLimitSource = 0, ""
	return g, nil
}

// string puts strings on an instrument. They lie as far from each other as those of
// the instrument that it was begun from.
func (n *Instrument) string(g *rig.Rig, tuning []pitch.Name, wires []wire.String, scale wire.MM) {
	wide := wire.MM(max(len(tuning)-1, 1)) / wire.MM(len(g.Strings)-1)
	within := func(mm wire.MM) wire.MM { return min(max(wire.MM(math.Round(float64(mm*wide))), 10), 150) }
	g.NutSpread, g.BridgeSpread = within(g.NutSpread), within(g.BridgeSpread)
	g.Scale, g.Strings, g.Tuning = scale, nil, TuningName(tuning)
	for i, open := range tuning {
		g.Strings = append(g.Strings, rig.String{Open: open, Wire: wires[i]})
	}
}

// wires returns the strings that the gauges ask for, string 1 first. Packets print
// sets from either end: the thickest goes on the lowest string.
func (n *Instrument) wires(tuning []pitch.Name, scale wire.MM, g *rig.Rig) ([]wire.String, error) {
	if strings.TrimSpace(n.Gauges) == "" {
		limit, _ := g.Limit()
		d, err := retune.NewDesign(retune.Requirements{Tunings: [][]pitch.Name{tuning}, Scale: scale, Reference: g.Reference, Pull: retune.DefaultPull, Limit: limit, Body: g.Body, Sold: wire.Sold(wire.NickelPlated)})
		if err != nil {
			return nil, err
		}
		return d.Best.Strings, nil
	}
	out, err := retune.ParseGauges(strings.NewReplacer(",", " ", "-", " ", "–", " ", "/", " ").Replace(n.Gauges))
	if err != nil {
		return nil, err
	}
	if len(out) != len(tuning) {
		return nil, fmt.Errorf("%s, and there are %s: low to high or high to low, one for each", say.Count(len(tuning), "string"), say.Count(len(out), "gauge"))
	}
	last := len(out) - 1
	if tuning[0].Key() > tuning[last].Key() && out[0].Diameter > out[last].Diameter {
		slices.Reverse(out)
	}
	return out, nil
}

// mostInches is the longest scale in inches: a bare number above it is of
// millimetres.
const mostInches = 60

// parseScale reads a scale length as a teacher writes it. A number without a unit
// is inches when it is small, millimetres when it is large: no instrument's scale
// could be both.
func parseScale(text string) (wire.MM, error) {
	t := strings.TrimSpace(strings.NewReplacer("″", "in", "”", "in", `"`, "in", "½", " 1/2", "¼", " 1/4", "¾", " 3/4", ",", ".").Replace(text))
	t = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(t, "ches"), "inch"))
	if t == "" {
		return 0, fmt.Errorf("the scale length is wanted: from the nut to the bridge, such as 22.5 in or 572 mm")
	}
	bare := strings.TrimSpace(strings.TrimSuffix(t, "in"))
	if v, is := halves(bare); is {
		bare = strconv.FormatFloat(v, 'f', -1, 64)
		t = bare + " in"
	}
	if v, err := strconv.ParseFloat(bare, 64); err == nil && bare == t {
		if v <= mostInches {
			t = bare + " in"
		} else {
			t = bare + " mm"
		}
	}
	mm, err := rig.ParseLength(t)
	if err == nil && !(mm >= rig.MinScale && mm <= rig.MaxScale) {
		err = fmt.Errorf("a scale of %q is outside %.0f mm to %.0f mm", text, float64(rig.MinScale), float64(rig.MaxScale))
	}
	if err != nil {
		return 0, err
	}
	return mm, nil
}

// halves reads a length in inches with a fraction, as rulers are read: 22 1/2.
func halves(text string) (float64, bool) {
	fields := strings.Fields(text)
	if len(fields) != 2 {
		return 0, false
	}
	over, under, _ := strings.Cut(fields[1], "/")
	var n [3]uint64
	for i, t := range []string{fields[0], over, under} {
		v, err := strconv.ParseUint(t, 10, 16)
		if err != nil {
			return 0, false
		}
		n[i] = v
	}
	return float64(n[0]) + float64(n[1])/float64(n[2]), n[2] > 0
}

// usualTop is the pitch near which the highest string of most lap-style
// instruments lies (common practice, no source): D4.
const usualTop = 62

// parseTuning reads a tuning low to high, string 1 first. One that is written
// without octaves climbs from string to string and ends near usualTop.
func parseTuning(text string) ([]pitch.Name, error) {
	text = strings.NewReplacer("♯", "#", "♭", "b", ",", " ", "-", " ").Replace(text)
	fields := strings.Fields(text)
	var classes []pitch.Class
	for _, f := range fields {
		c, err := pitch.ParseClass(f)
		if err != nil {
			return retune.ParseTuning(text)
		}
		classes = append(classes, c)
	}
	slices.Reverse(classes)
	for i, c := range classes {
		// The octave just under the string before; for the first, the nearest to the usual.
		key := usualTop + 6
		if i > 0 {
			key = pitchOf(fields[len(fields)-i]).Key()
		}
		name, octave := c.String(), 9
		for octave > 0 && pitchOf(name+strconv.Itoa(octave)).Key() >= key {
			octave--
		}
		fields[len(fields)-1-i] = name + strconv.Itoa(octave)
	}
	return retune.ParseTuning(strings.Join(fields, " "))
}

// pitchOf reads a pitch that is known to be one.
func pitchOf(text string) pitch.Name {
	n, _ := pitch.ParseName(text)
	return n
}

// TuningName returns what a known tuning of just these pitches, string 1 first, is
// called; "" when none is known.
func TuningName(tuning []pitch.Name) string {
	for _, t := range retune.Catalogue() {
		if slices.EqualFunc(t.Pitches, tuning, func(a, b pitch.Name) bool { return a.Key() == b.Key() }) {
			return t.Title
		}
	}
	return ""
}

// TitleOf returns what an instrument is called that the teacher has given no name:
// its kind and its tuning, which it goes by as it is retuned.
func TitleOf(g *rig.Rig) string {
	return say.Capital(string(g.Body)) + " in " + TuningText(g)
}

// TuningText returns a rig's tuning as its title tells it.
func TuningText(g *rig.Rig) string { return cmp.Or(g.Tuning, g.PrettyTuning()) }

// nameOf returns a rig's short name for a title: small letters, digits, hyphens.
func nameOf(title string) string {
	name := say.Slug(title)
	return strings.Trim(name[:min(len(name), 36)], "-")
}
