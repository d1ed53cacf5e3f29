package web

import (
	"fmt"
	"net/http"
	"strings"

	"lapwright/fault"
	"lapwright/pitch"
	"lapwright/retune"
	"lapwright/rig"
)

// setup is what a rig's page edits beside the strings: the body, the sliding
// capo and the benders.
type setup struct {
	Body    rig.Body     `json:"body"`
	Capo    capoView     `json:"capo"`
	Benders []benderView `json:"benders"`
}

// capoView is a sliding capo, in frets from the nut.
type capoView struct {
	Highest int `json:"highest"` // 0 when the rig has none
	At      int `json:"at"`      // 0 when it is off
}

// benderView is one bender as a row of the page's table.
type benderView struct {
	Name string         `json:"name"`
	Mark string         `json:"mark"`
	Kind rig.BenderKind `json:"kind"`
	// Moves has one figure for each string, string 1 first: semitones up, 0 for
	// a string that stays.
	Moves []int `json:"moves"`
}

func setupOf(r *rig.Rig) *setup {
	out := &setup{Body: r.Body, Capo: capoView{r.Capo.Highest, r.Capo.At}, Benders: []benderView{}}
	for _, b := range r.Benders {
		v := benderView{b.Name, b.Mark, b.Kind, make([]int, len(r.Strings))}
		for _, m := range b.Moves {
			v.Moves[m.String-1] = m.Semitones
		}
		out.Benders = append(out.Benders, v)
	}
	return out
}

// apply sets a rig up so. Where the capo is moved the strings stay as they are
// tuned, and what is counted from the capo moves with it.
func (s *setup) apply(g *rig.Rig) error {
	if s.Capo.At != g.Capo.At {
		bare := g.WithoutCapo()
		bare.Capo.Highest = s.Capo.Highest
		moved, err := bare.WithCapo(s.Capo.At)
		if err != nil {
			return &fault.Fault{Msg: err.Error()}
		}
		*g = *moved
	}
	g.Body, g.Capo.Highest, g.Benders = s.Body, s.Capo.Highest, nil
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

// stringEdit is what a rig's page edits of one string.
type stringEdit struct {
	Number int    `json:"number"`
	Open   string `json:"open"` // what it is tuned to, without the capo
	Gauge  string `json:"gauge"`
}

func (e *stringEdit) apply(g *rig.Rig) error {
	if e.Number < 1 || e.Number > len(g.Strings) {
		return &fault.Fault{Msg: fmt.Sprintf("there is no string %d", e.Number)}
	}
	str := &g.Strings[e.Number-1]
	open, err := pitch.ParseName(strings.NewReplacer("♯", "#", "♭", "b").Replace(strings.TrimSpace(e.Open)))
	if err != nil {
		return &fault.Fault{Msg: err.Error()}
	}
	// Another tuning goes by another name.
	if tuned := g.TunedNames()[e.Number-1]; open != tuned {
		str.Open, g.Tuning = open.Up(pitch.From(tuned, str.Open)), ""
	}
	if e.Gauge != retune.GaugeText(str.Wire) {
		gauges, err := retune.ParseGauges(e.Gauge)
		if err != nil {
			return &fault.Fault{Msg: err.Error()}
		}
		if len(gauges) != 1 {
			return &fault.Fault{Msg: fmt.Sprintf("%q is not one gauge", e.Gauge)}
		}
		str.Wire = gauges[0]
	}
	return nil
}

// editRig changes one string, or all beside the strings, in a rig's text and
// gives the new text.
func (s *Site) editRig(w http.ResponseWriter, r *http.Request) error {
	var ask struct {
		Text   string      `json:"text"`
		String *stringEdit `json:"string"`
		Setup  *setup      `json:"setup"`
	}
	if err := readJSON(r, &ask); err != nil {
		return err
	}
	var text string
	err := safely(func() error {
		g, err := rig.Parse([]byte(ask.Text), "rig")
		if err != nil {
			return err
		}
		if ask.String != nil {
			if err := ask.String.apply(g); err != nil {
				return err
			}
		}
		if ask.Setup != nil {
			if err := ask.Setup.apply(g); err != nil {
				return err
			}
		}
		if l := g.Check(); len(l) > 0 {
			return l
		}
		text = string(rig.Format(g))
		return nil
	})
	if err != nil {
		return err
	}
	s.json(w, http.StatusOK, map[string]any{"text": text})
	return nil
}
