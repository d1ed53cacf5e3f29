package report

import (
	"fmt"
	"strings"

	"lapwright/arrange/frame"
)

// Phrase is an intro, turnaround or ending that can stand around a tune.
type Phrase struct {
	Kind  string   `json:"kind"` // intro, turnaround or ending
	Name  string   `json:"name"`
	Words string   `json:"words"`
	Made  []string `json:"madeFor"` // words of kinds of tune; empty for any
	Modes []string `json:"modes"`
	Meter string   `json:"meter"`
	Bars  string   `json:"bars"` // as docs/frames.md reads them
	// Cost is what it asks of the player on a rig, in points a note; nil where no rig
	// and tune are named, and where the rig can't play it.
	Cost *float64 `json:"cost,omitempty"`
}

// PhraseOf gives a phrase.
func PhraseOf(p *frame.Phrase) Phrase {
	out := Phrase{Kind: p.Kind.String(), Name: p.Name, Words: p.Words, Made: list(p.Suits), Modes: []string{}, Meter: fmt.Sprintf("%d/%d", p.Beats, p.Unit), Bars: p.Text}
	for _, m := range p.Modes {
		out.Modes = append(out.Modes, m.String())
	}
	return out
}

// Costs says what a phrase asks of the player, in points a note.
func (p *Phrase) Costs(each float64) {
	each = points(each)
	p.Cost = &each
}

// Line says it in one line of a list.
func (p Phrase) Line() string {
	more := ""
	if len(p.Made) > 0 {
		more = "; made for " + strings.Join(p.Made, ", ")
	}
	if p.Cost != nil {
		more += fmt.Sprintf("; %.2f points a note", *p.Cost)
	}
	return fmt.Sprintf("%-10s  %-18s  %s; %s, %s%s", p.Kind, p.Name, p.Words, strings.Join(p.Modes, " and "), p.Meter, more)
}

// PhrasesOf gives those that were judged for a rig.
func PhrasesOf(all []frame.Judged) []Phrase {
	out := []Phrase{}
	for _, j := range all {
		p := PhraseOf(j.Phrase)
		if j.Plays {
			p.Costs(j.Cost)
		}
		out = append(out, p)
	}
	return out
}

// Phrases lists all of them.
func Phrases() []Phrase {
	out := []Phrase{}
	for _, k := range frame.Kinds() {
		for _, p := range frame.All(k) {
			out = append(out, PhraseOf(p))
		}
	}
	return out
}

// FramePart is a phrase that stands around a tune.
type FramePart struct {
	Kind    string `json:"kind"` // intro, turnaround or ending
	Name    string `json:"name"`
	FromBar int    `json:"fromBar"` // as printed in the framed tune
	ToBar   int    `json:"toBar"`   // included
}

// Line says where it stands.
func (p FramePart) Line() string {
	bars := fmt.Sprintf("bar %d", p.FromBar)
	if p.ToBar > p.FromBar {
		bars = fmt.Sprintf("bars %d–%d", p.FromBar, p.ToBar)
	}
	return fmt.Sprintf("%s: %s, %s", p.Kind, p.Name, bars)
}

// FrameOf gives what stands around a tune, in the order in which it is written.
func FrameOf(f *frame.Framed) []FramePart {
	out := []FramePart{}
	for _, p := range f.Parts {
		out = append(out, FramePart{p.Phrase.Kind.String(), p.Phrase.Name, f.Tune.Bars[p.From].Number, f.Tune.Bars[p.To-1].Number})
	}
	return out
}
