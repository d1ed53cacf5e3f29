package workbench

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/report"
	"lapwright/retune"
	"lapwright/retune/form"
	"lapwright/rig"
)

// setUp sets a rig up so. Where the capo is moved the strings stay as they are
// tuned, and what is counted from the capo moves with it.
func setUp(g *rig.Rig, s *report.Setup) error {
	if s.Capo.At != g.Capo.At {
		bare := g.WithoutCapo()
		bare.Capo.Highest, bare.Capo.Clamp = s.Capo.Highest, s.Capo.Clamp
		moved, err := bare.WithCapo(s.Capo.At)
		if err != nil {
			return told(err)
		}
		*g = *moved
	}
	g.Body, g.Capo.Highest, g.Capo.Clamp, g.Benders = s.Body, s.Capo.Highest, s.Capo.Clamp, nil
	for _, v := range s.Benders {
		b := rig.Bender{Name: strings.TrimSpace(v.Name), Mark: strings.ToUpper(strings.TrimSpace(v.Mark)), Kind: v.Kind}
		for i, n := range v.Moves {
			if n != 0 {
				b.Moves = append(b.Moves, rig.Move{String: i + 1, Semitones: n})
			}
		}
		g.Benders = append(g.Benders, b)
	}
	return nil
}

// editString changes one string of a rig so.
func editString(g *rig.Rig, e *report.StringEdit) error {
	if e.Number < 1 || e.Number > len(g.Strings) {
		return &fault.Fault{Msg: fmt.Sprintf("there is no string %d", e.Number)}
	}
	str := &g.Strings[e.Number-1]
	open, err := pitch.ParseName(strings.NewReplacer("♯", "#", "♭", "b").Replace(strings.TrimSpace(e.Open)))
	if err != nil {
		return told(err)
	}
	// Another tuning goes by another name.
	if tuned := g.TunedNames()[e.Number-1]; open != tuned {
		str.Open = open.Up(pitch.From(tuned, str.Open))
		g.Tuning = form.TuningName(g.TunedNames())
	}
	if e.Gauge != retune.GaugeText(str.Wire) {
		gauges, err := retune.ParseGauges(e.Gauge)
		if err != nil {
			return told(err)
		}
		if len(gauges) != 1 {
			return &fault.Fault{Msg: fmt.Sprintf("%q is not one gauge", e.Gauge)}
		}
		str.Wire = gauges[0]
	}
	return nil
}

// RigEdit changes one string, or all beside the strings, in a rig's text.
type RigEdit struct{ report.AskedRigEdit }

// Apply returns the text with the change made.
func (e *RigEdit) Apply() (string, error) {
	g, err := rig.Parse([]byte(e.Text), "rig")
	if err != nil {
		return "", err
	}
	was := form.TuningText(g)
	if e.String != nil {
		if err := editString(g, e.String); err != nil {
			return "", err
		}
	}
	if e.Setup != nil {
		if err := setUp(g, e.Setup); err != nil {
			return "", err
		}
	}
	if l := g.Check(); len(l) > 0 {
		return "", l
	}
	g.Title = retitled(g.Title, was, form.TuningText(g))
	return string(rig.Format(g)), nil
}

// retitled returns the title of a rig that had one tuning and now has another: a
// title that tells the tuning follows it, any other stays.
func retitled(title, was, now string) string {
	head, tail, tells := strings.Cut(title, " in "+was)
	if next, _ := utf8.DecodeRuneInString(tail); !tells || tail != "" && (unicode.IsLetter(next) || unicode.IsDigit(next)) {
		return title
	}
	return head + " in " + now + tail
}
