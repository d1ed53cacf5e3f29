package frame

import (
	"context"
	"fmt"

	"lapwright/arrange"
	"lapwright/fault"
	"lapwright/rig"
	"lapwright/tune"
)

// Names are the wishes for a frame: for each Kind a phrase's name, Any, or "" for none.
type Names [3]string

// None reports whether nothing is asked for.
func (n Names) None() bool { return n == Names{} }

// Choose returns what is asked for: the phrases named, and for Any the one of those
// made for the kind of tune, or else for any, that the arranger finds easiest to play
// on the rig, counted by note; of equals the first told, and without a rig the first.
func Choose(ctx context.Context, t *tune.Tune, r *rig.Rig, o arrange.Options, n Names) (Set, error) {
	var out Set
	if len(t.Bars) == 0 {
		return out, &fault.Fault{Msg: "the tune has no bars"}
	}
	for _, k := range Kinds() {
		var err error
		switch n[k] {
		case "":
		case Any:
			out[k], err = choose(ctx, t, r, o, k)
		default:
			if out[k], err = Find(k, n[k]); err != nil {
				err = &fault.Fault{Msg: err.Error()}
			}
		}
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

func choose(ctx context.Context, t *tune.Tune, r *rig.Rig, o arrange.Options, k Kind) (*Phrase, error) {
	all := Fitting(k, t)
	if len(all) == 0 {
		b := beside(t, k)
		return nil, &fault.Fault{Msg: fmt.Sprintf("no %s fits a tune in %s and %s", k, b.Key, meterText(b.Meter))}
	}
	// Those of the first rank alone: what is made for another kind of tune waits.
	suited := all[:0:0]
	for _, p := range all {
		if p.suits(t.Rhythm) == all[0].suits(t.Rhythm) && (p.Suits == nil) == (all[0].Suits == nil) {
			suited = append(suited, p)
		}
	}
	var best *Phrase
	least := 0.0
	if r == nil {
		return suited[0], nil
	}
	for _, p := range suited {
		cost, err := Cost(ctx, t, r, o, p)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err == nil && (best == nil || cost < least) {
			best, least = p, cost
		}
	}
	if best == nil {
		best = suited[0]
	}
	return best, nil
}

// Cost returns what a phrase asks of the player beside a tune on a rig, in points a
// note, the lower the easier. It fails where the rig can't play it.
func Cost(ctx context.Context, t *tune.Tune, r *rig.Rig, o arrange.Options, p *Phrase) (float64, error) {
	alone, err := Alone(t, p)
	if err != nil {
		return 0, err
	}
	o.Pins, o.Harmony, o.Shape = nil, arrange.NoHarmony, nil
	if r.Capo.Clamp && o.Capo == nil {
		o.Capo = &r.Capo.At // where it is: no phrase is worth what another fret would save
	}
	res, err := arrange.Arrange(ctx, alone, r, o)
	if err != nil {
		return 0, err
	}
	return res.Cost / float64(max(len(res.Tab.Strokes), 1)), nil
}

// Judged is a phrase with what it asks on a rig.
type Judged struct {
	*Phrase
	Cost  float64 // as Cost has it
	Plays bool    // the rig can play it; Cost says nothing otherwise
}

// Judge returns the phrases that fit a tune, kind by kind, with what each asks of the
// player on a rig. Its only error is that of ctx.
func Judge(ctx context.Context, t *tune.Tune, r *rig.Rig, o arrange.Options) ([]Judged, error) {
	var out []Judged
	for _, k := range Kinds() {
		for _, p := range Fitting(k, t) {
			cost, err := Cost(ctx, t, r, o, p)
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			out = append(out, Judged{p, cost, err == nil})
		}
	}
	return out, nil
}

// Book returns the phrases that fit a tune, kind by kind, each as a tune of its own. It
// fails where none fits.
func Book(t *tune.Tune) ([]*tune.Tune, error) {
	var out []*tune.Tune
	for _, k := range Kinds() {
		for _, p := range Fitting(k, t) {
			alone, err := Alone(t, p)
			if err != nil {
				return nil, err
			}
			alone.Index, alone.Title = len(out)+1, k.String()+": "+p.Name
			out = append(out, alone)
		}
	}
	if len(out) == 0 {
		return nil, &fault.Fault{Msg: fmt.Sprintf("no phrase fits \"%s\"", t.Title)}
	}
	return out, nil
}

// Alone returns a phrase as a tune of its own: in the key, the meter and the register that
// it has beside a tune, at the tune's tempo.
func Alone(t *tune.Tune, p *Phrase) (*tune.Tune, error) {
	at := 0
	if p.Kind == Ending {
		at = len(t.Bars) - 1
	}
	alone := &tune.Tune{Index: 1, Title: p.Name, Voices: []tune.Voice{{ID: "1"}}, Rhythm: t.Rhythm, Swing: t.Swing}
	b := &binder{t: alone}
	bars, err := b.bars(p, beside(t, p.Kind), near(t.Bars, at), 0)
	if err != nil {
		return nil, err
	}
	bars[0].Tempos = t.Bars[0].Tempos
	tune.Number(bars)
	alone.Bars = bars
	return alone, nil
}

// Pins returns the pins of a tune as its framed bars are numbered.
func (f *Framed) Pins(pins []arrange.Pin) []arrange.Pin {
	var out []arrange.Pin
	for _, p := range pins {
		p.FromBarNumber += f.Shift
		if p.ToBarNumber > 0 {
			p.ToBarNumber += f.Shift
		}
		out = append(out, p)
	}
	return out
}
