package rig

import (
	"bytes"
	"fmt"
	"strings"

	"lapwright/wire"
)

// Format writes a rig as Parse reads it: Parse(Format(r)) is r again, field
// for field. The rig must pass Check.
func Format(r *Rig) []byte {
	var b bytes.Buffer
	text := func(key, v string) {
		if v != "" {
			fmt.Fprintf(&b, "%s = %s\n", key, quote(v))
		}
	}
	length := func(key string, v wire.MM) {
		if v != 0 {
			text(key, formatQuantity(float64(v), lengthUnits[:2]))
		}
	}
	text("name", r.Name)
	text("title", r.Title)
	text("tuning", r.Tuning)
	text("body", string(r.Body))
	if len(r.Styles) > 0 {
		quoted := make([]string, len(r.Styles))
		for i, s := range r.Styles {
			quoted[i] = quote(s)
		}
		fmt.Fprintf(&b, "styles = [%s]\n", strings.Join(quoted, ", "))
	}
	length("scale", r.Scale)
	fmt.Fprintf(&b, "frets = %d\n", r.Frets)
	length("nut_spread", r.NutSpread)
	length("bridge_spread", r.BridgeSpread)
	length("action", r.Action)
	fmt.Fprintf(&b, "reference = %s\n", formatNumber(float64(r.Reference)))
	if r.LoadLimit != 0 {
		text("load_limit", formatQuantity(float64(r.LoadLimit), loadUnits))
		text("load_limit_source", r.LoadLimitSource)
	}
	if r.GaugesUnknown {
		b.WriteString("gauges_unknown = true\n")
	}

	b.WriteString("\n[steel]\n")
	length("length", r.Steel.Length)
	length("diameter", r.Steel.Diameter)
	if r.Steel.Mass != 0 {
		text("mass", formatQuantity(r.Steel.Mass, massUnits))
	}
	fmt.Fprintf(&b, "bullet = %t\n", r.Steel.Bullet)
	fmt.Fprintf(&b, "max_slant = %s\n", formatNumber(r.Steel.MaxSlant))

	if r.Habits != (Habits{}) {
		b.WriteString("\n[habits]\n")
		text("open", string(r.Habits.Open))
		text("edge", string(r.Habits.Edge))
		text("rolls", string(r.Habits.Rolls))
	}
	if r.Capo != (Capo{}) {
		b.WriteString("\n[capo]\n")
		if r.Capo.Clamp {
			text("kind", ClampOnCapo)
		}
		fmt.Fprintf(&b, "highest = %d\n", r.Capo.Highest)
		if r.Capo.At != 0 {
			fmt.Fprintf(&b, "at = %d\n", r.Capo.At)
		}
	}
	for _, s := range r.Strings {
		b.WriteString("\n[[string]]\n")
		text("pitch", s.Open.String())
		length("gauge", s.Wire.Diameter)
		if s.Wire.Wound {
			b.WriteString("wound = true\n")
		}
		text("material", string(s.Wire.Material))
		if s.Wire.Wound {
			fmt.Fprintf(&b, "core_ratio = %s\n", formatNumber(s.Wire.CoreRatio))
			text("core", string(s.Wire.Core))
		}
		if s.Wire.Measured != 0 {
			text("mass_per_length", formatQuantity(s.Wire.Measured, linearUnits))
		}
	}
	for _, d := range r.Benders {
		b.WriteString("\n[[bender]]\n")
		text("name", d.Name)
		text("mark", d.Mark)
		text("kind", string(d.Kind))
		moves := make([]string, len(d.Moves))
		for i, m := range d.Moves {
			moves[i] = fmt.Sprintf("{ string = %d, semitones = %d }", m.String, m.Semitones)
		}
		fmt.Fprintf(&b, "moves = [%s]\n", strings.Join(moves, ", "))
	}
	return b.Bytes()
}

// quote writes a TOML basic string. Check has refused control characters.
func quote(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
