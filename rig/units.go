package rig

import (
	"fmt"
	"strconv"
	"strings"

	"lapwright/wire"
)

// unit is one unit that a quantity may be given in: so many of the base unit.
type unit struct {
	name string
	size float64
}

// The units of each quantity, the base unit first. A pound of load is a
// pound-force, a kilogram of load the weight of one (9.80665 m/s², exact by
// the third General Conference on Weights and Measures, 1901).
var (
	lengthUnits = []unit{{"mm", 1}, {"in", float64(wire.Inch)}, {"cm", 10}}
	massUnits   = []unit{{"g", 1}, {"oz", 28.349523125}}
	loadUnits   = []unit{{"N", 1}, {"lb", float64(wire.PoundForce)}, {"kg", 9.80665}}
	linearUnits = []unit{{"kg/m", 1}, {"g/m", 1e-3}, {"lb/in", float64(wire.PoundPerInch)}}
)

// quantity takes a text such as "0.016 in" or "-1e3mm" apart: a decimal number and
// its unit, letters and strokes. It reports false for any other text. A browser
// carries this room, so the scanning is done without regular expressions.
func quantity(s string) (number, unit string, ok bool) {
	n := Decimal(s)
	if n == 0 {
		return "", "", false
	}
	unit = strings.TrimLeft(s[n:], " \t\n\f\r")
	for _, r := range unit {
		if !isLetter(r) && r != '/' {
			return "", "", false
		}
	}
	return s[:n], unit, unit != ""
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// Decimal returns how many bytes at the beginning of s are a decimal number: a sign
// or none, digits with a point or none among them, and an exponent of at most three
// digits or none. It is 0 when s begins with no number.
func Decimal(s string) int {
	sign := 0
	if s != "" && (s[0] == '+' || s[0] == '-') {
		sign = 1
	}
	whole := digits(s[sign:])
	n := sign + whole
	part := 0
	if n < len(s) && s[n] == '.' {
		part = digits(s[n+1:])
		if whole+part > 0 {
			n += 1 + part
		}
	}
	if whole+part == 0 {
		return 0
	}
	if n < len(s) && (s[n] == 'e' || s[n] == 'E') {
		at := n + 1
		if at < len(s) && (s[at] == '+' || s[at] == '-') {
			at++
		}
		if d := min(digits(s[at:]), 3); d > 0 {
			n = at + d
		}
	}
	return n
}

// digits returns how many digits s begins with.
func digits(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }

// ParseLength reads a length such as "25 in", "0.016in" or "635 mm".
func ParseLength(s string) (wire.MM, error) {
	v, err := parseQuantity(s, "a length", "25 in", "635 mm", lengthUnits)
	return wire.MM(v), err
}

// ParseLoad reads a force such as "900 N" or "200 lb".
func ParseLoad(s string) (wire.Newtons, error) {
	v, err := parseQuantity(s, "a load", "900 N", "200 lb", loadUnits)
	return wire.Newtons(v), err
}

func parseQuantity(s, what, like, orLike string, units []unit) (float64, error) {
	number, name, ok := quantity(strings.TrimSpace(s))
	if !ok {
		return 0, fmt.Errorf("%q is not %s: write a number with its unit, such as %q or %q", s, what, like, orLike)
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not %s: the number is out of range", s, what)
	}
	for _, u := range units {
		if u.name == name {
			return v * u.size, nil
		}
	}
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.name
	}
	return 0, fmt.Errorf("%q has the unit %q, and %s is in %s", s, name, what, strings.Join(names, ", "))
}

// formatQuantity returns the shortest text that parseQuantity reads back as
// exactly v; among equals the unit listed first.
func formatQuantity(v float64, units []unit) string {
	best := ""
	for _, u := range units {
		for prec := 0; prec <= 17; prec++ {
			text := strconv.FormatFloat(v/u.size, 'f', prec, 64)
			got, err := strconv.ParseFloat(text, 64)
			if err == nil && got*u.size == v {
				if text += " " + u.name; best == "" || len(text) < len(best) {
					best = text
				}
				break
			}
		}
	}
	if best == "" {
		// Only values beyond all use come here; the base unit is exact for any.
		best = strconv.FormatFloat(v, 'g', -1, 64) + " " + units[0].name
	}
	return best
}

// formatNumber returns the shortest TOML float that reads back as exactly v.
func formatNumber(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}
