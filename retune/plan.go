package retune

import (
	"cmp"
	"fmt"
	"math"

	"lapwright/inorder"
	"lapwright/pitch"
	"lapwright/rig"
	"lapwright/wire"
)

// Move is one string brought from one pitch to another.
type Move struct {
	String    int // 1-based
	From, To  pitch.Name
	Semitones int         // up positive; 0 for a string that stays
	Cents     pitch.Cents // from present to new frequency, a new reference pitch included
	Before    rig.StringLoad
	After     rig.StringLoad
	// Instead is a string that suits the new pitch better, when this one should
	// be changed; Why says why it should.
	Instead *wire.String
	Why     string
}

// Step is one string moved on the way; Load is the total pull after it.
type Step struct {
	String int
	From   pitch.Name
	To     pitch.Name
	Load   wire.Newtons
}

// Plan is the way from one tuning to another on the same strings.
type Plan struct {
	From, To *rig.Rig
	Moves    []Move // every string, string 1 first
	Steps    []Step // the order to move them in; strings that stay are left out
	Kept     int    // strings beyond the new tuning, left as they are
	Start    wire.Newtons
	End      wire.Newtons
	Peak     wire.Newtons // the greatest total on the way
	Limit    wire.Newtons
	// Passes is how often to go round all strings until they hold within
	// settled: an estimate from how much this kind of body gives.
	Passes  int
	Finding rig.Finding // of the rig when it is there
	Reasons []string
	// Changed is the load there once every string whose Move says Instead is
	// changed for that one; nil when none says so.
	Changed *rig.Load
}

// settled is how near its target a string must come to rest before another
// pass is not needed, in cents: half of what is just heard.
const settled pitch.Cents = 2.5

// give is the share of a change of load that the body takes out of the other
// strings: bodies bend, and solid ones least (common practice, no source).
var give = map[rig.Body]float64{
	rig.SquareNeckResonator: 0.10,
	rig.Tricone:             0.10,
	rig.HollowNeckAcoustic:  0.20,
	rig.RoundNeckAcoustic:   0.15,
	rig.LapSteel:            0.05,
	rig.PedalSteel:          0.10,
}

// NewPlan plans the way from a rig to other pitches, string 1 first, named name,
// under a reference pitch (0 keeps the rig's). Strings that go down are slackened
// first, the most load first, so that the total never exceeds the greater of
// what it is at the start and at the end.
func NewPlan(r *rig.Rig, pitches []pitch.Name, name string, a4 pitch.Hz) (*Plan, error) {
	r = r.WithoutCapo() // pegs are turned with the capo off
	to, err := Retuned(r, pitches, name)
	if err != nil {
		return nil, err
	}
	if a4 != 0 {
		to.Reference = a4
		if l := to.Check(); len(l) > 0 {
			return nil, l
		}
	}
	before, after := r.Load(), to.Load()
	p := &Plan{
		From: r, To: to, Kept: len(r.Strings) - len(pitches),
		Start: before.Total, End: after.Total, Peak: before.Total, Limit: after.Limit,
		Finding: after.Finding, Reasons: after.Reasons,
	}
	for i := range r.Strings {
		a, b := r.Strings[i], to.Strings[i]
		m := Move{
			String: i + 1, From: a.Open, To: b.Open, Semitones: b.Open.Key() - a.Open.Key(),
			Cents:  pitch.Between(a.Open.Hz(r.Reference), b.Open.Hz(to.Reference)),
			Before: before.Strings[i], After: after.Strings[i],
		}
		m.change(to)
		p.Moves = append(p.Moves, m)
	}
	p.changed()
	p.order()
	p.passes()
	return p, nil
}

// changed judges the rig with the strings that the moves would change.
func (p *Plan) changed() {
	var to *rig.Rig
	for _, m := range p.Moves {
		if m.Instead == nil {
			continue
		}
		if to == nil {
			to = p.To.Clone()
		}
		to.Strings[m.String-1].Wire = *m.Instead
	}
	if to != nil {
		l := to.Load()
		p.Changed = &l
	}
}

// rise returns how much load a move adds.
func (m Move) rise() wire.Newtons { return m.After.Pull - m.Before.Pull }

// order puts the moves in an order: all that slacken, the most first, then
// those that tighten, the least first.
func (p *Plan) order() {
	var down, up []Move
	for _, m := range p.Moves {
		switch {
		case math.Abs(float64(m.Cents)) < 0.05:
		case m.rise() < 0:
			down = append(down, m)
		default:
			up = append(up, m)
		}
	}
	byRise := func(a, b Move) int { return cmp.Compare(a.rise(), b.rise()) }
	inorder.Stable(down, byRise)
	inorder.Stable(up, byRise)
	load := p.Start
	for _, m := range append(down, up...) {
		load += m.rise()
		p.Steps = append(p.Steps, Step{m.String, m.From, m.To, load})
		p.Peak = max(p.Peak, load)
	}
}

// passes estimates how often to go round. When a pass changes the total by
// ΔT, the body gives and takes the share g of it out of strings already tuned,
// so that they are off by 600·log2(1 + g·ΣΔT/T) cents (f goes with √T); the
// next pass mends that and leaves g of it again.
func (p *Plan) passes() {
	if len(p.Steps) == 0 {
		return
	}
	moved := 0.0
	for _, m := range p.Moves {
		moved += math.Abs(float64(m.rise()))
	}
	g := give[p.To.Body]
	for off := g * moved / float64(p.End); ; off *= g {
		p.Passes++
		if pitch.Cents(600*math.Log2(1+off)) < settled {
			return
		}
	}
}

// muchTighter is how much more a string may pull than before until a lighter
// one should take its place: three semitones' worth (common practice, no source).
const muchTighter = 0.5

// change reports whether the string should be changed rather than moved, and for
// which.
func (m *Move) change(to *rig.Rig) {
	switch more := float64(m.After.Pull/m.Before.Pull) - 1; {
	case m.Semitones == 0 && m.After.Finding == m.Before.Finding:
		return
	case m.After.Finding != rig.Fine:
		m.Why = m.After.Reasons[0]
	case more > muchTighter:
		m.Why = fmt.Sprintf("it would pull %.0f %% more than now", 100*more)
	default:
		return
	}
	old := to.Strings[m.String-1].Wire
	wrap := wrapOf(to, m.String)
	hz := func(key int) pitch.Hz { return pitch.Equal(float64(key), to.Reference) }
	best := math.Inf(1)
	for _, s := range wire.Sold(wrap) {
		pull := s.Tension(to.Scale, m.To.Hz(to.Reference))
		bent := s.Tension(to.Scale, hz(m.After.BentKey))
		if pull < rig.Slackest || float64(bent/s.BreakingLoad()) >= wire.CautionShare {
			continue
		}
		if off := math.Abs(math.Log(float64(pull / m.Before.Pull))); off < best && s != old {
			best, m.Instead = off, &s
		}
	}
}

// wrapOf returns the wrap to look for in place of a string: its own, or that of
// the nearest wound string.
func wrapOf(r *rig.Rig, s int) wire.Material {
	for far := range len(r.Strings) {
		for _, i := range []int{s - 1 + far, s - 1 - far} {
			if i >= 0 && i < len(r.Strings) && r.Strings[i].Wire.Wound {
				return r.Strings[i].Wire.Material
			}
		}
	}
	return wire.NickelPlated
}

// Reached is one known tuning, tried on a rig's strings.
type Reached struct {
	Tuning  Tuning
	Load    rig.Load
	Up      int // semitones raised, over all strings
	Down    int // semitones lowered
	Finding rig.Finding
	Reasons []string
}

// Reach tries every known tuning for as many strings as the rig has. Those
// come first that rig.Load finds fine, the least moved first.
func Reach(r *rig.Rig) ([]Reached, error) {
	r = r.WithoutCapo() // pegs are turned with the capo off
	var out []Reached
	for _, t := range catalogue() {
		if len(t.Pitches) != len(r.Strings) {
			continue
		}
		to, err := Retuned(r, t.Pitches, t.Title)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", t.Name, err)
		}
		load := to.Load()
		e := Reached{Tuning: t, Load: load, Finding: load.Finding, Reasons: load.Reasons}
		for i := range r.Strings {
			d := to.Strings[i].Open.Key() - r.Strings[i].Open.Key()
			e.Up += max(d, 0)
			e.Down += max(-d, 0)
		}
		out = append(out, e)
	}
	rank := map[rig.Finding]int{rig.Fine: 0, rig.Caution: 1, rig.DoNot: 2}
	inorder.Stable(out, func(a, b Reached) int {
		return cmp.Or(cmp.Compare(rank[a.Finding], rank[b.Finding]), cmp.Compare(a.Up+a.Down, b.Up+b.Down))
	})
	return out, nil
}
