package picture

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lapwright/listen"
	"lapwright/say"
)

// Tell says in a line what a take did about a note.
func Tell(n *listen.Note) string {
	fret := "open"
	if n.Fret > 0 {
		fret = "fret " + strconv.FormatFloat(math.Round(100*n.Fret)/100, 'f', -1, 64)
	}
	s := fmt.Sprintf("Bar %d, string %d, %s: ", n.BarNumber, n.String, fret)
	var parts []string
	switch {
	case n.Status == listen.Missed:
		return s + "not heard"
	case n.Status == listen.Wrong:
		parts = append(parts, "another note sounded")
	case math.IsNaN(n.Cents):
		parts = append(parts, "played; its pitch can't be told from what else sounds")
	default:
		parts = append(parts, cents(n.Cents-n.Meant))
		if apart(n) {
			parts = append(parts, cents(n.CentsJust)+" against the just chord")
		}
	}
	if mm := n.SteelMM; math.Abs(mm) >= 0.3 { // NaN, of an open string, is not
		way := "bridge"
		if mm < 0 {
			way = "nut"
		}
		parts = append(parts, fmt.Sprintf("the steel %.1f mm towards the %s", math.Abs(mm), way))
	}
	if isLate(n) {
		way := "late"
		if n.Late < 0 {
			way = "early"
		}
		parts = append(parts, fmt.Sprintf("%.0f ms %s", 1000*math.Abs(n.Late), way))
	}
	if n.Vibrato > 0 {
		parts = append(parts, fmt.Sprintf("vibrato of %.1f a second, %.0f cents to each side", n.Vibrato, n.Width))
	}
	if !n.Sure && !math.IsNaN(n.Cents) {
		parts = append(parts, "not sure")
	}
	return s + strings.Join(parts, ", ")
}

// cents says how far off a pitch is.
func cents(c float64) string {
	way := "sharp"
	if c < 0 {
		way = "flat"
	}
	n := int(math.Round(math.Abs(c)))
	if n == 0 {
		return "in tune"
	}
	return say.Count(n, "cent") + " " + way
}

// Summary says in a line how much of a take could be judged, and its tempo.
func Summary(v *listen.Reviewed) string {
	told, sure := 0, 0
	for i := range v.Notes {
		n := &v.Notes[i]
		if !math.IsNaN(n.Cents) {
			told++
		}
		if n.Sure {
			sure++
		}
	}
	s := fmt.Sprintf("%s: the pitch of %d is told, of %d for sure", say.Count(len(v.Notes), "note"), told, sure)
	if v.Tempo > 0 {
		s += fmt.Sprintf("; %.0f quarters a minute", v.Tempo)
	}
	return s + "; " + Against(v)
}

// Against says what notes are late and early against.
func Against(v *listen.Reviewed) string {
	switch v.Against {
	case listen.AgainstClick:
		return "late and early are against the click"
	case listen.AgainstDifferences:
		return "late and early are against the click, less what all notes have in common, as the device's delay is not measured"
	}
	return "late and early are against your own tempo"
}

// Strings says how the strings are tuned.
func Strings(v *listen.Reviewed) string {
	s := ""
	for _, t := range v.Strings {
		how := "can't be told"
		if t.Told {
			how = fmt.Sprintf("%s ± %.0f cents", say.SignedTo(t.Cents, 0), max(1, t.Doubt))
		}
		name := "; string"
		if s == "" {
			name = "String"
		}
		s += fmt.Sprintf("%s %d: %s", name, t.String, how)
	}
	return s + "."
}
