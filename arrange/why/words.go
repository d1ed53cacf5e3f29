package why

import (
	"fmt"
	"math"

	"lapwright/grip"
	"lapwright/rig"
	"lapwright/steel"
)

// Words says why a move by a step costs something for a part.
func (m *Move) Words(n *grip.Neck, p Part, step *grip.Between) string {
	g, due := m.To, m.Due
	mm := float64(step.Travelled) / 10
	switch p {
	case Slant:
		return fmt.Sprintf("%s, the steel leaning %.0f°", g.Kind, math.Abs(float64(g.Lean))/10)
	case Cents:
		return leaning(g, due)
	case Beside:
		return beside(g)
	case High:
		return fmt.Sprintf("high on the neck, at fret %.0f", math.Max(g.FirstFret, g.LastFret))
	case Thick:
		return "a melody note on a low string"
	case Open:
		return "a long note on an open string, without vibrato"
	case Bender:
		return "with " + benders(n.Rig, g.Benders)
	case Harmonic:
		return "as a harmonic"
	case Gesture:
		return gesture(g, due)
	case Harmony:
		return harmony(g, due)
	case Habit:
		return "played otherwise than elsewhere"
	case Lost:
		return "not as the tune has it"
	case Fingers:
		return "fingers away from their home strings"
	case Travel:
		return fmt.Sprintf("moved %.0f mm in %.2f s", mm, due.Seconds)
	case Speed:
		return fmt.Sprintf("%.0f mm/s, faster than the level's %.0f", mm/due.Seconds, n.Limits.Speed)
	case Contrary:
		return "moved the steel against the melody"
	case Lean:
		return fmt.Sprintf("turned the steel by %.0f°", math.Abs(float64(m.From.Lean-g.Lean))/10)
	case Lift:
		return lifting(m.From, g)
	case BenderMove:
		return bending(n.Rig, m.From.Benders, g.Benders)
	case Again:
		return "plucked on the string that rings, a step away"
	case Ring:
		return ringing(step.Rings)
	case Cut:
		return "a held note let go early"
	case Picking:
		return picking(m.FromHand, m.Hand, due.Seconds)
	}
	panic(fmt.Sprintf("no words for part %d", p))
}

// leaning tells by how much the strings under a slant are off.
func leaning(g *grip.Grip, m *grip.Due) string {
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

// gesture tells how a note comes about that is not plucked, or is plucked where it should not be.
func gesture(g *grip.Grip, m *grip.Due) string {
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

// harmony tells what of an offered harmony is taken.
func harmony(g *grip.Grip, m *grip.Due) string {
	for j := range m.Wants {
		if m.Wants[j].Kind == grip.Offered && g.Strings[j] > 0 {
			return "harmony other than the nearest asked for"
		}
	}
	return "left single where harmony was asked for"
}

// beside tells how the steel keeps off strings.
func beside(g *grip.Grip) string {
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

// benders names the benders of a set.
func benders(r *rig.Rig, set rig.BenderSet) string {
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

// bending tells which benders are taken up and which let go of.
func bending(r *rig.Rig, a, b rig.BenderSet) string {
	on, off := benders(r, b&^a), benders(r, a&^b)
	switch {
	case on == "":
		return "let go of " + off
	case off == "":
		return "engaged " + on
	}
	return "let go of " + off + ", engaged " + on
}

// lifting tells how the steel leaves strings, or comes to them.
func lifting(a, b *grip.Grip) string {
	switch {
	case b.Kind == steel.Lifted:
		return "lifted the steel"
	case a.Kind == steel.Lifted:
		return "laid the steel again"
	}
	return "drew the steel over other strings"
}

// ringing tells what becomes of the note before.
func ringing(r grip.Ringing) string {
	if r == grip.RingsClash {
		return "the note before must be damped, it would clash"
	}
	return "the note before cannot ring on"
}

// picking tells what the fingers do after what they did, seconds before.
func picking(a, b grip.Hand, seconds float64) string {
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
