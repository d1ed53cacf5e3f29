package arrange

import (
	"cmp"
	"context"
	"fmt"

	"lapwright/inorder"
	"lapwright/rig"
	"lapwright/steel"
	"lapwright/tab"
	"lapwright/tune"
)

// Alternative is an arrangement that differs from the cheapest in a way that a
// player would notice.
type Alternative struct {
	Name   string // "the cheapest", "no open strings", "below the 7th fret" …
	Result *Result
}

// manner is a wish that makes an arrangement noticeably different.
type manner struct {
	name string
	wish func(*Options)
}

// manners are the ways to differ: with or without open strings, with or without
// slants, and the regions of the neck.
var manners = []manner{
	{"no open strings", func(o *Options) { o.Closed = true }},
	{"the bar always square", func(o *Options) { o.Square = true }},
	{"near the nut", func(o *Options) { o.High = 7 }},
	{"in the middle of the neck", func(o *Options) { o.Low, o.High = 5, 12 }},
	{"no open strings, in the middle of the neck", func(o *Options) { o.Closed, o.Low, o.High = true, 5, 12 }},
	{"high on the neck", func(o *Options) { o.Low = 10 }},
	{"no open strings, high on the neck", func(o *Options) { o.Closed, o.Low = true, 10 }},
}

// Alternatives returns up to k arrangements in the key, octave and capo that
// Arrange would choose: the cheapest, and for each manner of playing the
// cheapest of that manner, in order of cost. Of two that a player could not
// tell apart (the same neck region, open strings and slants in every bar) the
// cheaper stays. None breaks more than the first does. A clamp-on capo that would save
// something is one more manner.
func Alternatives(ctx context.Context, t *tune.Tune, r *rig.Rig, o Options, k int) ([]Alternative, error) {
	if k < 1 {
		return nil, refuse("\"%d\" arrangements were asked for", k)
	}
	q, err := newRequest(newWatch(ctx), t, r, o)
	if err != nil {
		return nil, err
	}
	first, err := q.arrange()
	if err != nil {
		return nil, err
	}
	out := []Alternative{{"the cheapest", first}}
	seen := map[string]bool{look(first.Tab): true}
	var more []Alternative
	for _, m := range manners {
		with := q.o
		m.wish(&with)
		if o.High > 0 {
			with.High = o.High
		}
		if o.Low > 0 {
			with.Low = o.Low
		}
		if with.check(t, r) != nil {
			continue
		}
		in := *q
		in.o = with
		res, err := in.arrangeIn(first.Setting())
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil || len(res.Tab.Compromises) > len(first.Tab.Compromises) {
			continue // the tune can't be had in that manner
		}
		more = append(more, Alternative{m.name, res})
	}
	offers, played, err := q.offers(first)
	if err != nil {
		return nil, err
	}
	for i := range offers {
		more = append(more, Alternative{fmt.Sprintf("with the capo at fret %d", offers[i].Capo), played[i]})
	}
	inorder.Stable(more, func(a, b Alternative) int { return cmp.Compare(a.Result.Cost, b.Result.Cost) })
	for _, a := range more {
		if l := look(a.Result.Tab); !seen[l] && len(out) < k {
			seen[l] = true
			out = append(out, a)
		}
	}
	return out, nil
}

// look boils a tab down to what a player notices: for every bar the regions of
// the neck (a region is five frets), open strings, and slants.
func look(t *tab.Tab) string {
	var b []byte
	now := -1
	var regions uint16
	open, slanted := false, false
	flush := func() {
		if now >= 0 {
			b = append(b, byte(regions), byte(regions>>8))
			for _, is := range [2]bool{open, slanted} {
				b = append(b, map[bool]byte{true: 1, false: 0}[is])
			}
		}
		regions, open, slanted = 0, false, false
	}
	for i := range t.Strokes {
		s := &t.Strokes[i]
		if s.BarIndex != now {
			flush()
			now = s.BarIndex
		}
		slanted = slanted || s.Placement.Slanted()
		for _, p := range s.Plucks {
			if p.Fret == 0 {
				open = true
			} else if s.Placement.Kind != steel.Lifted {
				regions |= 1 << min(int(p.Fret)/5, 15)
			}
		}
	}
	flush()
	return string(b)
}
