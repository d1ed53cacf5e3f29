// Package why puts into words what the parts of a stroke's cost are for: what the
// steel, the benders and the picking hand do.
//
// Entry points: Leaning, Gesture, Harmony, Beside, Benders, Bending, Lifting, Ringing, Picking.
package why

import (
	"fmt"

	"lapwright/grip"
	"lapwright/rig"
	"lapwright/steel"
)

// Leaning tells by how much the strings under a slant are off.
func Leaning(g *grip.Grip, m *grip.Due) string {
	words := ""
	for j := range m.Wants {
		str := g.Strings[j]
		if str == 0 || g.Frets[j] == 0 {
			continue
		}
		c := g.Cents[str-1]
		if grip.WholeCents(c) == 0 {
			continue
		}
		if words != "" {
			words += ", "
		}
		way := "sharp"
		if c < 0 {
			way = "flat"
		}
		words += fmt.Sprintf("string %d leans %d cents %s", str, grip.WholeCents(c), way)
	}
	return words
}

// Gesture tells how a note comes about that is not plucked, or is plucked where it should not be.
func Gesture(g *grip.Grip, m *grip.Due) string {
	for j := range m.Wants {
		switch {
		case g.Acts[j] == grip.Glide && m.Wants[j].Kind != grip.Glided:
			return "slid to"
		case g.Acts[j] == grip.Hammer:
			return "hammered on"
		case g.Acts[j] == grip.Pull:
			return "pulled off"
		case g.Acts[j] == grip.Glide:
			return "reached by a glide"
		}
	}
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Graced {
			return "plucked after its grace"
		}
	}
	return "plucked under a slur"
}

// Harmony tells what of an offered harmony is taken.
func Harmony(g *grip.Grip, m *grip.Due) string {
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Offered && g.Strings[j] > 0 {
			return "harmony other than the nearest asked for"
		}
	}
	return "left single where harmony was asked for"
}

// Beside tells how the steel keeps off strings.
func Beside(g *grip.Grip) string {
	switch {
	case g.Kind == steel.Nose:
		return "the tip of the steel alone, the other strings open"
	case g.Slanted():
		return "open strings beside the slant"
	case g.First > 1:
		return "the steel drawn back from open strings on the far side"
	}
	return "the heel of the steel held off open strings"
}

// Benders names the benders of a set.
func Benders(r *rig.Rig, set rig.BenderSet) string {
	words := ""
	for i := range r.Benders {
		if set.Has(i) {
			if words != "" {
				words += " and "
			}
			words += r.Benders[i].Name
		}
	}
	return words
}

// Bending tells which benders are taken up and which let go of.
func Bending(r *rig.Rig, a, b rig.BenderSet) string {
	on, off := Benders(r, b&^a), Benders(r, a&^b)
	switch {
	case on == "":
		return "let go of " + off
	case off == "":
		return "engaged " + on
	}
	return "let go of " + off + ", engaged " + on
}

// Lifting tells how the steel leaves strings, or comes to them.
func Lifting(a, b *grip.Grip) string {
	switch {
	case b.Kind == steel.Lifted:
		return "lifted the steel"
	case a.Kind == steel.Lifted:
		return "laid the steel again"
	}
	return "drew the steel over other strings"
}

// Ringing tells what becomes of the note before.
func Ringing(r grip.Ringing) string {
	if r == grip.RingsClash {
		return "the note before must be damped, it would clash"
	}
	return "the note before cannot ring on"
}

// Picking tells what the fingers do after what they did, seconds before.
func Picking(a, b grip.Hand, seconds float64) string {
	words := ""
	add := func(w string) {
		if words != "" {
			words += ", "
		}
		words += w
	}
	for _, f := range [3]struct {
		again bool
		name  string
	}{{a.Thumb > 0 && b.Thumb > 0, "thumb"}, {a.Index > 0 && b.Index > 0, "index"}, {a.Middle > 0 && b.Middle > 0, "middle"}} {
		if f.again {
			add(fmt.Sprintf("%s again after %.2f s", f.name, seconds))
		}
	}
	if grip.Crosses(a, b) || grip.Crosses(b, a) {
		add("fingers cross")
	}
	if la, lb := grip.Lead(a), grip.Lead(b); la > 0 && lb > 0 && max(la-lb, lb-la) > 2 {
		add(fmt.Sprintf("skipped from string %d to %d", la, lb))
	}
	return words
}
