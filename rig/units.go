package rig

import (
	"fmt"
	"regexp"
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

var quantity = regexp.MustCompile(`^([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*([a-zA-Z/]+)$`)

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
	m := quantity.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return 0, fmt.Errorf("%q is not %s: write a number with its unit, such as %q or %q", s, what, like, orLike)
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return 0, fmt.Errorf("%q is not %s: the number is out of range", s, what)
	}
	for _, u := range units {
		if u.name == m[2] {
			return v * u.size, nil
		}
	}
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.name
	}
	return 0, fmt.Errorf("%q has the unit %q, and %s is in %s", s, m[2], what, strings.Join(names, ", "))
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
